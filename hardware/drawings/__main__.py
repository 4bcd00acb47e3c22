"""Write the drawings beside this file: `python -m hardware.drawings`."""

from pathlib import Path

from hardware.drawings import circuits
from hardware.drawings.place import place

DRAWINGS = {
    "header.svg": circuits.header,
    "dht.svg": circuits.dht,
    "one-wire.svg": circuits.one_wire,
    "i2c.svg": circuits.i2c,
    "photoresistor.svg": circuits.photoresistor,
    "mcp3008.svg": circuits.mcp3008,
    "signals.svg": circuits.signals,
    "place.svg": place,
}


def main() -> None:
    """Write every drawing."""
    for name, draw in DRAWINGS.items():
        (Path(__file__).parent / name).write_text(draw(), encoding="utf-8")


if __name__ == "__main__":
    main()
