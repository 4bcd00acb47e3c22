"""A reader process over the real DHT driver, its wire scripted: `python -m tests.hardware.scripted_reader WORD...`."""

import os
import signal
import sys

os.environ["BLINKA_OS_AGNOSTIC"] = "1"

from unittest.mock import patch

from hardware import reader
from hardware.dht import Dht
from tests.hardware.frames import a_climate


def _train(words: list[str]):
    word = words.pop(0) if len(words) > 1 else words[0]
    if word == "hang":
        signal.pause()
    return a_climate(65.2, 35.1) if word == "good" else a_climate(65.2, 35.1)[:20]


class Rude(Dht):
    """A part whose driver does at import what it should not."""

    def open(self) -> None:
        """Take over SIGTERM, print, then open."""
        if "takes-sigterm" in sys.argv:
            signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
        if "chatty" in sys.argv:
            print('{"ready": true}\n{"temp_c": 99.0}', flush=True)
        super().open()


def main() -> None:
    """Serve a DHT22 on pin 17 that sends the words of the command line."""
    import adafruit_dht
    import board

    words = [word for word in sys.argv[1:] if word in ("good", "bad", "hang")]
    board.D17 = object()
    with (
        patch.object(adafruit_dht.DHTBase, "_get_pulses_bitbang", lambda _: _train(words)),
        patch.object(reader, "adapter_of", lambda _: Rude("air", 17)),
        patch.object(reader, "part_of", lambda _: None),
    ):
        reader.main()


if __name__ == "__main__":
    main()
