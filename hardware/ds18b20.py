"""DS18B20: a temperature probe on a jar, read by way of the kernel's 1-Wire files."""

from pathlib import Path

from hardware.opening import opening, reason_of
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample
from station.errors import SensorError

DEVICES = Path("/sys/bus/w1/devices")
FAMILY = "28-"
SPACING_S = 2.0
"""A conversion at 12 bits takes 0.75 s (DS18B20 data sheet)."""
POWER_ON_C = 85.0
RANGE_C = (-55.0, 125.0)
WIRE_ON = "Switch 1-Wire on: add dtoverlay=w1-gpio to /boot/firmware/config.txt and restart the Pi."


class Ds18b20:
    """A DS18B20 probe.

    Args:
        name: its name in the settings.
        serial: its number as the kernel writes it, such as 28-0316a2794aff; None takes the only one there is.
        spacing_s: seconds between two reads.
        devices: the kernel's folder; tests give another.
    """

    def __init__(
        self, name: str, serial: str | None = None, spacing_s: float = SPACING_S, devices: Path = DEVICES
    ) -> None:
        self.name = name
        self.spacing_s = spacing_s
        self._serial = serial
        self._devices = devices
        self._open = False

    def open(self) -> None:
        """See that 1-Wire is on and which probe is meant. The probe itself may be plugged in later.

        Raises:
            SensorError: 1-Wire is off, or there are several probes and none is named.
        """
        with opening(self.name, "1-Wire", WIRE_ON):
            present = self._present()
        if self._serial is None and len(present) > 1:
            listed = ", ".join(probe.name for probe in present)
            raise SensorError(f"{self.name}: {len(present)} probes: {listed}", "Give its serial in the settings.")
        self._open = True

    def _present(self) -> list[Path]:
        return sorted(probe for probe in self._devices.iterdir() if probe.name.startswith(FAMILY))

    def sample(self) -> Sample | Miss:
        """Read the probe once; the kernel starts a conversion and waits for it."""
        if not self._open:
            return Miss(self.name, Reason.NOT_OPEN)
        try:
            probes = [self._devices / self._serial] if self._serial else self._present()
            if len(probes) != 1:
                return Miss(self.name, Reason.NO_ANSWER)
            text = (probes[0] / "w1_slave").read_text(encoding="ascii", errors="replace")
        except OSError as error:
            return Miss(self.name, reason_of(error))
        temp_c = temperature_c(text)
        return Miss(self.name, temp_c) if isinstance(temp_c, Reason) else Sample(self.name, temp_c=temp_c)

    def close(self) -> None:
        """Nothing is held open."""
        self._open = False


def temperature_c(text: str) -> float | Reason:
    """Return the temperature in the kernel's two lines, °C, or why there is none.

    The first two bytes are the temperature in sixteenths of a degree, low byte first (DS18B20 data sheet, table 1).
    """
    first, _, _ = text.partition("\n")
    words, _, verdict = first.partition(":")
    try:
        scratchpad = bytes.fromhex(words.strip())
    except ValueError:
        return Reason.BAD_CHECKSUM
    if not verdict.rstrip().endswith("YES") or len(scratchpad) != 9:
        return Reason.BAD_CHECKSUM
    if not any(scratchpad):  # a line held low: nine zeros are a valid check sum
        return Reason.EMPTY_FRAME
    temp_c = int.from_bytes(scratchpad[:2], "little", signed=True) / 16.0
    if temp_c == POWER_ON_C:
        return Reason.POWER_ON
    return temp_c if RANGE_C[0] <= temp_c <= RANGE_C[1] else Reason.OUT_OF_RANGE
