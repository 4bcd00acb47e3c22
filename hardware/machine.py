"""What this machine has that parts can be wired to."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Machine:
    """The machine, as its files tell.

    Args:
        model: what it calls itself; empty if it does not say.
        pins: it has GPIO pins.
        i2c: the I²C bus is switched on.
        spi: the SPI bus is switched on.
        one_wire: 1-Wire is switched on.
    """

    model: str
    pins: bool
    i2c: bool
    spi: bool
    one_wire: bool

    @property
    def can_measure(self) -> bool:
        """Whether any part could be wired to it."""
        return self.pins or self.i2c or self.spi or self.one_wire


def this_machine(root: Path = Path("/")) -> Machine:
    """Return what the machine has; tests give another root."""
    model = root / "proc/device-tree/model"
    return Machine(
        model=model.read_text(encoding="utf-8", errors="replace").strip("\0\n ") if model.is_file() else "",
        pins=any((root / "dev").glob("gpiochip*")),
        i2c=any((root / "dev").glob("i2c-[0-9]*")),
        spi=any((root / "dev").glob("spidev*")),
        one_wire=(root / "sys/bus/w1/devices").is_dir(),
    )
