"""A reader process: holds one part open and reads it when it is asked. `python -m hardware.reader PART`.

Drivers run here and not in the station because a driver can hang where nothing but the end of its process frees the
pin again, and because a DHT tells its bits apart by tens of microseconds, which needs an interpreter of its own.
"""

import os
import signal
import sys
from typing import TYPE_CHECKING, BinaryIO

from hardware.lines import answer_line, part_of, ready_line, refused_line
from hardware.parts import adapter_of
from station.errors import SensorError

if TYPE_CHECKING:
    from station.ports import Sensor

MOST_S = 60
"""A read or an opening that takes longer ends this process by itself, should the station not be there to do it."""


def serve(sensor: "Sensor", asked: BinaryIO, answers: BinaryIO) -> None:
    """Open the part, then answer one line with one sample until the asking side hangs up."""
    signal.alarm(MOST_S)
    try:
        sensor.open()
    except SensorError as error:
        answers.write(refused_line(error))
        return
    # After the import: a driver's pulse helper sets a handler of its own, and the end comes by the closed pipe.
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    answers.write(ready_line())
    signal.alarm(0)
    while asked.readline():
        signal.alarm(MOST_S)
        answers.write(answer_line(sensor.sample()))
        signal.alarm(0)
    sensor.close()


def main() -> None:
    """Serve the part named by the first argument over standard input and output."""
    answers = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)  # whatever a driver prints goes to the log, not among the answers
    with os.fdopen(0, "rb", buffering=0) as asked, answers:
        serve(adapter_of(part_of(sys.argv[1])), asked, answers)


if __name__ == "__main__":
    main()
