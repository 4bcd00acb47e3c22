"""What a grower of the model world did beside the jars: bottles from before, what was given from them, two trials."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo

from station.domain.bottling import Drawn, Emptied, Filled, LidClosed
from station.domain.feeding import Fed, Method
from station.domain.rounds import RoundSet
from station.domain.trials import Arm, Counted, Ended, Sown
from station.store.bottles import Bottles, Fill
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.rounds import Rounds
from station.store.trials import Trials

ARMS = (Arm("soaked", (25, 25)), Arm("plain", (25, 25)))
LETTUCE = ((7.0, (6, 4, 2, 3)), (6.0, (14, 13, 8, 7)), (5.0, (19, 18, 13, 12)), (3.0, (22, 23, 17, 18)))
RADISH = ((19.0, (15, 13, 14, 12)), (18.0, (21, 20, 20, 22)), (16.0, (23, 22, 23, 23)))
"""Days before the present, and how many had come up in each dish: soaked, soaked, plain, plain. Invented."""


@dataclass(frozen=True, slots=True)
class Days:
    """Moments before the present, in the grower's zone."""

    now_at: datetime
    zone: tzinfo

    def ago(self, days: float, hour: int | None = None) -> datetime:
        """Return the moment so many days ago, at an hour of that day if one is given."""
        then = self.now_at - timedelta(days=days)
        return then if hour is None else datetime.combine(then.astimezone(self.zone).date(), time(hour), self.zone)


def tend(notebook: Notebook, now_at: datetime, zone: tzinfo) -> None:
    """Write down what was done with bottles, feedings, rounds and trials up to the present.

    Args:
        notebook: written in as a person would.
        now_at: the present, aware.
        zone: for the hours at which things are done.
    """
    days = Days(now_at, zone)
    _fill(Bottles(notebook), days)
    _feed(Rounds(notebook), Feedings(notebook), days)
    _sow(Trials(notebook), days)


def _fill(bottles: Bottles, days: Days) -> None:
    for ago, plant, note, *volumes in (
        (64.0, "horsetail", "a gift from the allotment next door", 140.0),
        (47.0, "yarrow", "made before there was a station", 200.0, 90.0),
        (33.0, "comfrey", "first cut; the last jar by guess", 220.0, 220.0),
    ):
        fills = [Fill(volume_ml, 330.0) for volume_ml in volumes]
        bottles.fill(fills, Filled("", days.ago(ago, 8), "", plant, 0.0, note=note), now_at=days.now_at)
    for entry in (
        LidClosed("yarrow-a", days.ago(28.0, 9)),
        Drawn("horsetail-a", days.ago(40.0, 9), 110.0, note="for the rose at the gate"),
        Drawn("yarrow-a", days.ago(20.0, 9), 60.0),
        Emptied("yarrow-b", days.ago(12.0, 17), "used up on the compost"),
    ):
        bottles.record(entry, now_at=days.now_at)


def _feed(rounds: Rounds, feedings: Feedings, days: Days) -> None:
    now_at = days.now_at
    spray, drench, soak = Method.LEAF_SPRAY, Method.DRENCH, Method.SEED_SOAK
    sill = rounds.set_up(RoundSet("", days.ago(27.0), spray, "seedlings on the sill", water_ml=2000.0), now_at=now_at)
    tub = rounds.set_up(RoundSet("", days.ago(27.0), drench, "the kale tub", 14, 21, water_ml=10_000.0), now_at=now_at)
    for fed in (
        Fed("", days.ago(26.0, 7), spray, 4.0, 2000.0, sill.rule.place, "comfrey-a", sill.id),
        Fed("", days.ago(25.0, 8), drench, 20.0, 10_000.0, tub.rule.place, "comfrey-a", tub.id, note="soil was dry"),
        Fed("", days.ago(17.0, 7), spray, 4.0, 2000.0, sill.rule.place, "comfrey-a", sill.id),
        Fed("", days.ago(9.0, 7), spray, 4.0, 2000.0, sill.rule.place, "comfrey-a", sill.id),
        Fed("", days.ago(8.0, 8), drench, 20.0, 10_000.0, tub.rule.place, "comfrey-a", tub.id),
        Fed("", now_at - timedelta(minutes=15), soak, 0.4, 200.0, "pea seeds", "yarrow-a"),
    ):
        feedings.feed(fed, now_at=now_at)


def _sow(trials: Trials, days: Days) -> None:
    treatment = "1 to 500, 20 minutes"
    lettuce = Sown("", days.ago(10.0, 9), "lettuce", ARMS, "plain", "comfrey-a", treatment, "damp paper, in the dark")
    radish = Sown("", days.ago(21.0, 9), "radish", ARMS, "plain", "yarrow-a", treatment)
    for sown, rows in ((radish, RADISH), (lettuce, LETTUCE)):
        trial = trials.sow(sown, now_at=days.now_at)
        places = [(arm.name, dish) for arm in ARMS for dish in (1, 2)]
        trials.record(
            *(
                Counted(trial.id, days.ago(ago, 18), arm, count, dish)
                for ago, counts in rows
                for (arm, dish), count in zip(places, counts, strict=True)
            ),
            now_at=days.now_at,
        )
    trials.record(Ended("radish-1", days.ago(15.0, 18), "hardly any difference"), now_at=days.now_at)
