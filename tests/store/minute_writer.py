"""A process to be killed: keeps one full minute after the other and reports each once it is kept."""

import itertools
import sys
from pathlib import Path

from station.store.shelf_log import ShelfLog
from tests.store.worlds import a_minute


def main(path: Path, start: int) -> None:
    with ShelfLog.open(path) as log:
        print(start, flush=True)
        for number in itertools.count(start + 1):
            minute = a_minute(number)
            log.commit(type(minute)(minute.reading, minute.conditions, alerts=minute.alerts, messages=minute.messages))
            print(number, flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
