"""Trials: seeds soaked in diluted juice against plain ones."""

from fastapi import APIRouter

from dashboard.api.asking import CHANGES, UNKNOWN, Name, Once, TakeBackIn, area, moment
from dashboard.api.trial_models import CountsIn, EndIn, SowIn, TrialOut
from dashboard.desk import Desk
from station.domain.trials import Arm, Counted, CountTakenBack, Ended, Sown, control_among
from station.store.trials import Trials


def trial_routes(desk: Desk) -> APIRouter:
    """Return the routes about trials."""
    router = area("/trials", "trials")
    _add_reading(router, desk)
    _add_writing(router, desk)
    return router


def _add_reading(router: APIRouter, desk: Desk) -> None:
    @router.get("", summary="Trials, in order of recording")
    def get_trials() -> list[TrialOut]:
        return [TrialOut.of(trial) for trial in desk.records.trials()]

    @router.get("/{name}", summary="One trial, and what it has shown so far", responses=UNKNOWN)
    def get_trial(name: Name) -> TrialOut:
        return TrialOut.of(desk.records.trial(name))


def _add_writing(router: APIRouter, desk: Desk) -> None:
    @router.post("", summary="Record a trial that was sown", status_code=201, responses=CHANGES)
    def sow(sent: SowIn, token: Once) -> TrialOut:
        arms = tuple(Arm(arm.name.strip(), tuple(arm.dishes)) for arm in sent.arms)
        control = (sent.control or control_among(arms)).strip()
        at, seeds = moment(sent.at, desk.now()), sent.seeds.strip()
        model = Sown("", at, seeds, arms, control, sent.bottle or "", sent.treatment.strip(), sent.note.strip())
        with desk.books.writing() as notebook:
            return TrialOut.of(Trials(notebook).sow(model, now_at=desk.now(), token=token))

    @router.post("/{name}/counts", summary="Record counts", responses=CHANGES)
    def count(name: Name, sent: CountsIn, token: Once) -> TrialOut:
        trial, at = desk.records.trial(name), moment(sent.at, desk.now())
        entries = [Counted(trial.id, at, one.arm, one.germinated, one.dish) for one in sent.counts]
        with desk.books.writing() as notebook:
            return TrialOut.of(Trials(notebook).record(*entries, now_at=desk.now(), token=token))

    @router.post("/{name}/counts/take-back", summary="Take a count back that was a slip", responses=CHANGES)
    def take_back(name: Name, sent: TakeBackIn, token: Once) -> TrialOut:
        trial, now_at = desk.records.trial(name), desk.now()
        last_at = trial.last_counts[0].at if trial.counts else now_at
        entry = CountTakenBack(trial.id, now_at, moment(sent.at, last_at))
        with desk.books.writing() as notebook:
            return TrialOut.of(Trials(notebook).record(entry, now_at=now_at, token=token))

    @router.post("/{name}/end", summary="End a trial", responses=CHANGES)
    def end(name: Name, sent: EndIn, token: Once) -> TrialOut:
        entry = Ended(desk.records.trial(name).id, moment(sent.at, desk.now()), sent.note.strip())
        with desk.books.writing() as notebook:
            return TrialOut.of(Trials(notebook).record(entry, now_at=desk.now(), token=token))
