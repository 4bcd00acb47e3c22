"""The Pi's header and the parts' legs, as rows of terminals."""

from collections.abc import Sequence
from dataclasses import dataclass

from hardware.drawings.sheet import Sheet

PI_LEFT, PI_WIDTH = 20, 190
PI_EDGE = PI_LEFT + PI_WIDTH
ROW = 46
TALL = 84
"""Rows far enough apart for a resistor to stand between them."""
TOP = 60


@dataclass(frozen=True, slots=True)
class HeaderPin:
    """One pin of the 40-pin header: its number and what it is."""

    number: int
    name: str


THREE_VOLTS = HeaderPin(1, "3.3 V")
GROUND = HeaderPin(9, "GND")
SDA, SCL = HeaderPin(3, "GPIO 2 (SDA)"), HeaderPin(5, "GPIO 3 (SCL)")
PROBE = HeaderPin(7, "GPIO 4")
AIR = HeaderPin(11, "GPIO 17")
LIGHT = HeaderPin(13, "GPIO 27")
RED, GREEN, BLUE = HeaderPin(15, "GPIO 22"), HeaderPin(16, "GPIO 23"), HeaderPin(18, "GPIO 24")
BUZZER, BUTTON = HeaderPin(22, "GPIO 25"), HeaderPin(29, "GPIO 5")
MOSI, MISO = HeaderPin(19, "GPIO 10 (MOSI)"), HeaderPin(21, "GPIO 9 (MISO)")
SCLK, CE0 = HeaderPin(23, "GPIO 11 (SCLK)"), HeaderPin(24, "GPIO 8 (CE0)")

USED = {
    THREE_VOLTS: "supply of all parts",
    SDA: "light sensor on I²C",
    SCL: "light sensor on I²C",
    PROBE: "jar probes (1-Wire)",
    GROUND: "ground of all parts",
    AIR: "air: DHT22 or DHT11",
    LIGHT: "photoresistor with capacitor",
    RED: "lamp, red",
    GREEN: "lamp, green",
    BLUE: "lamp, blue",
    MOSI: "MCP3008",
    MISO: "MCP3008",
    SCLK: "MCP3008",
    CE0: "MCP3008",
    BUZZER: "buzzer",
    BUTTON: "button",
}
"""What each pin is for, when everything is fitted."""


def pi(sheet: Sheet, pins: Sequence[HeaderPin], row: float = ROW) -> list[float]:
    """Draw the Pi with some of its pins on its right edge; return their heights."""
    heights = _rows(len(pins), row)
    sheet.box((PI_LEFT, TOP), PI_WIDTH, heights[-1] - TOP + 24)
    sheet.text((PI_LEFT + 14, TOP + 24), "Raspberry Pi", kind="bold")
    for pin, y in zip(pins, heights, strict=True):
        sheet.text((PI_EDGE - 12, y + 5), f"{pin.name} · pin {pin.number}", anchor="end")
        sheet.circle((PI_EDGE, y), 4)
    return heights


def part(sheet: Sheet, left: float, width: float, name: str, legs: Sequence[str], row: float = ROW) -> list[float]:
    """Draw a part with its legs on its left edge; return their heights."""
    heights = _rows(len(legs), row)
    sheet.box((left, TOP), width, heights[-1] - TOP + 24)
    sheet.text((left + 14, TOP + 24), name, kind="bold")
    for leg, y in zip(legs, heights, strict=True):
        sheet.text((left + 14, y + 5), leg)
        sheet.circle((left, y), 4)
    return heights


def _rows(count: int, row: float) -> list[float]:
    return [TOP + 58 + row * number for number in range(count)]
