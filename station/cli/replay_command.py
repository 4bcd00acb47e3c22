"""`jarside replay`: a logged week through the same rules."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.replay_text import no_dates_because, replay_text
from station.cli.times import moment
from station.domain.jars import Jar
from station.errors import JarsideError

if TYPE_CHECKING:
    from datetime import tzinfo

    from sim.replay import Replay
    from station.config import Settings
    from station.domain.outlook import Outlook

JAR_ML = 1000.0


@click.command()
@click.argument("log", type=click.Path(path_type=Path))
@click.option("--jar", "jars", multiple=True, metavar="PLANT@TIME", help="A jar packed then; may be repeated.")
@click.option(
    "--set", "changes", multiple=True, metavar="KEY=VALUE", help="What if: a limit, such as limits.cold_c=14."
)
@click.option(
    "--shift-temp", "shift_c", type=float, default=0.0, metavar="C", help="What if the shelf were warmer by C."
)
@click.option("--skip-bad", is_flag=True, help="Leave out rows that cannot be used, and count them.")
@json_option
@pass_app
def replay(
    app: App,
    log: Path,
    jars: tuple[str, ...],
    changes: tuple[str, ...],
    shift_c: float,
    *,
    skip_bad: bool,
    as_json: bool,
) -> None:
    """Play a log file through the station's rules: conditions, alerts, each jar's warmth and range.

    With --set or --shift-temp the answers stand beside the plain ones.

    Example: jarside replay kitchen.csv --jar "comfrey@2026-05-14T07:00" --shift-temp -2
    """
    plain = app.settings
    packed = _jars(jars, app)
    outcome, rejected = _played(log, plain, packed, skip_bad=skip_bad)
    what_if = None
    if changes or shift_c:
        what_if, _ = _played(log, app.settings_with(changes), packed, shift_c, skip_bad=skip_bad)
    if as_json:
        answer = _as_json(outcome, rejected, app.zone)
        if what_if is not None:
            answer["what_if"] = {"set": list(changes), "shift_temp_c": shift_c, **_as_json(what_if, rejected, app.zone)}
        print_json(answer)
    else:
        click.echo(replay_text(outcome, rejected, plain))
        if what_if is not None:
            click.echo(f"\nWhat if {_change_text(changes, shift_c)}:\n")
            click.echo(replay_text(what_if, rejected, app.settings_with(changes)))


def _jars(texts: tuple[str, ...], app: App) -> tuple[Jar, ...]:
    return tuple(_jar(number, text, app) for number, text in enumerate(texts, 1))


def _jar(number: int, text: str, app: App) -> Jar:
    plant, sign, time = text.rpartition("@")
    if not sign or not plant.strip():
        raise JarsideError(f"--jar {text}: not of the form PLANT@TIME", 'Example: --jar "comfrey@2026-05-14T07:00".')
    plant = plant.strip()
    return Jar(f"{plant}-{number}", plant, moment(time.strip(), app.zone), JAR_ML)


def _played(
    log: Path, settings: "Settings", jars: tuple[Jar, ...], shift_c: float = 0.0, *, skip_bad: bool
) -> "tuple[Replay, int]":
    from sim.replay import replay as run
    from sim.replay import shifted
    from station.cli.progress import counting
    from station.store.log_files import read_log

    source = read_log(log, skip_bad=skip_bad)
    with counting("replaying", "readings") as on_progress:
        outcome = run(shifted(source, shift_c) if shift_c else source, settings, jars, on_progress)
    if not outcome.count:
        raise JarsideError(f"{log}: there are no readings in it", "Export one with: jarside export.")
    return outcome, source.rejected


def _change_text(changes: tuple[str, ...], shift_c: float) -> str:
    shift = (f"the shelf were {abs(shift_c):g} °C {'warmer' if shift_c > 0 else 'cooler'}",) if shift_c else ()
    return " and ".join((*shift, *changes))


def _as_json(outcome: "Replay", rejected: int, zone: "tzinfo") -> dict[str, Any]:
    tallies = {"temp_c": outcome.temp_c, "rh_pct": outcome.rh_pct, "light_lx": outcome.light_lx}
    return {
        "readings": {
            "count": outcome.count,
            "first": outcome.first_at,
            "last": outcome.last_at,
            "gaps": outcome.gaps,
            "rejected": rejected,
        },
        "shelf": {
            **{name: {"min": one.least, "mean": one.mean, "max": one.most} for name, one in tallies.items()},
            "hours": {str(kind): round(hours, 3) for kind, hours in outcome.condition_h.items()},
        },
        "alerts": [
            {
                "kind": str(alert.kind),
                "jar": alert.jar_id or None,
                "raised_at": alert.raised_at,
                "cleared_at": alert.cleared_at,
                "peak": alert.peak if alert.kind.unit else None,
            }
            for alert in outcome.alerts
        ],
        "jars": [_jar_json(jar, outlook, outcome, zone) for jar, outlook in outcome.jars],
    }


def _jar_json(jar: Jar, outlook: "Outlook | None", outcome: "Replay", zone: "tzinfo") -> dict[str, Any]:
    head = {"plant": jar.plant, "packed_at": jar.packed_at}
    if outlook is None:
        return {**head, "degree_hours": 0.0, "warm_days": 0.0, "observed_h": 0.0, "missing_h": 0.0}
    warmth = outlook.heat.warmth
    return {
        **head,
        "degree_hours": round(outlook.degree_hours, 3),
        "warm_days": round(outlook.warm_days, 4),
        "observed_h": round(warmth.observed_h, 3),
        "bridged_h": round(warmth.bridged_h, 3),
        "missing_h": round(warmth.missing_h, 3),
        "need": round(outlook.need_likely, 3),
        "need_range": {"low": round(outlook.need_low, 3), "high": round(outlook.need_high, 3)},
        **_dates_json(jar, outlook, outcome, zone),
    }


def _dates_json(jar: Jar, outlook: "Outlook", outcome: "Replay", zone: "tzinfo") -> dict[str, Any]:
    why = no_dates_because(jar, outlook, outcome.first_at, zone)
    if why:
        nothing = {"early": None, "likely": None, "late": None}
        return {"ready": nothing, "ready_at": None, "strain_evening": None, "caveats": [*outlook.caveats, why]}
    return {
        "ready": {
            "early": outlook.ready_early_at,
            "likely": outlook.ready_likely_at,
            "late": outlook.ready_late_at,
        },
        "ready_at": outlook.ready_at,
        "strain_evening": outcome.evenings.get(jar.id, outlook.evening_at),
        "caveats": list(outlook.caveats),
    }
