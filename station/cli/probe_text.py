"""What the probe found, as people and programs read it."""

from typing import Any

from hardware.machine import Machine
from hardware.probe import PartReport, Spread, Verdict
from hardware.signal_probe import SignalReport
from station.domain.figures import TempUnit, temp_text

_MARKS = {
    Verdict.GOOD: "good",
    Verdict.WEAK: "works, but poorly",
    Verdict.BAD: "bad",
    Verdict.ABSENT: "no answer",
    Verdict.CLOSED: "cannot be opened",
}


def probe_json(
    machine: Machine, reports: tuple[PartReport, ...], signs: tuple[SignalReport, ...] = (), old: tuple[str, ...] = ()
) -> dict[str, Any]:
    """Return the probe for programs.

    Args:
        machine: what it ran on.
        reports: of what measures.
        signs: of lamp, buzzer and button.
        old: sensors whose humidity correction is older than a year.
    """
    return {
        "machine": machine.model or None,
        "parts": [_part_json(report) for report in reports],
        "signals": [_sign_json(report) for report in signs],
        "correct_again": list(old),
    }


def _sign_json(report: SignalReport) -> dict[str, Any]:
    return {
        "name": report.name,
        "verdict": str(report.sign),
        "reason": report.reason or None,
        "advice": report.advice or None,
    }


def _part_json(report: PartReport) -> dict[str, Any]:
    return {
        "name": report.name,
        "part": report.kind,
        "asked": report.asked,
        "answered": report.answered,
        "share": round(report.share, 3),
        "values": {
            spread.quantity: {
                "last": round(spread.last, 2),
                "median": round(spread.middle, 2),
                "low": round(spread.low, 2),
                "high": round(spread.high, 2),
            }
            for spread in report.spreads
        },
        "saturated": report.saturated,
        "misses": dict(report.reasons),
        "verdict": str(report.verdict),
        "advice": report.advice or None,
    }


def probe_text(
    reports: tuple[PartReport, ...], signs: tuple[SignalReport, ...], old: tuple[str, ...], unit: TempUnit
) -> str:
    """Return the probe for people: a few lines a part."""
    lines = [line for report in reports for line in _part_lines(report, unit)]
    lines += [line for report in signs for line in _sign_lines(report)]
    return "\n".join([*lines, *(_old_text(name) for name in old)])


def _sign_lines(report: SignalReport) -> list[str]:
    return [f"{report.name}: {report.sign}", *(f"  {text}" for text in (report.reason, report.advice) if text)]


def _old_text(name: str) -> str:
    return (
        f"{name}: its humidity correction is older than a year; do it again: "
        f"jarside calibrate humidity --salt sodium-chloride --sensor {name}"
    )


def _part_lines(report: PartReport, unit: TempUnit) -> list[str]:
    share = f", {report.answered} of {report.asked} reads good" if report.asked else ""
    lines = [f"{report.name} ({report.kind}): {_MARKS[report.verdict]}{share}"]
    lines += [f"  {_spread_text(spread, unit)}" for spread in report.spreads]
    if report.verdict is Verdict.CLOSED:
        lines += [f"  {reason}" for reason, _ in report.reasons]
    elif report.reasons:
        lines.append("  misses: " + "; ".join(f"{reason} ({count})" for reason, count in report.reasons))
    if report.advice:
        lines.append(f"  {report.advice}")
    return lines


def _spread_text(spread: Spread, unit: TempUnit) -> str:
    last, low, high = (_value_text(spread.quantity, value, unit) for value in (spread.last, spread.low, spread.high))
    return f"now {last}, from {low} to {high}"


def _value_text(quantity: str, value: float, unit: TempUnit) -> str:
    if quantity == "temp_c":
        return temp_text(value, unit)
    return f"{value:.1f} %RH" if quantity == "rh_pct" else f"{value:,.0f} lx"
