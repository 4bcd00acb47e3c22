"""Opening a driver: whatever goes wrong becomes one sentence and a remedy."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager

from hardware.reasons import ADVICE, Reason
from station.errors import SensorError

PINS_ON = "Run this on a Raspberry Pi; to try Jarside without one: jarside demo."
INSTALL = "Install the drivers: pip install 'jarside[pi]'."


@contextmanager
def opening(name: str, interface: str, switch_on: str) -> Iterator[None]:
    """Turn what a driver raises while it is loaded and takes its pins into a SensorError.

    Args:
        name: the part's name in the settings.
        interface: what it is reached by, such as `the pins`.
        switch_on: what to do when this machine has the interface, but not switched on.

    Raises:
        SensorError: no driver, no pins, no permission, in use.
    """
    try:
        yield
    except ImportError as error:
        raise SensorError(f"{name}: the driver {error.name or error} is not installed", INSTALL) from error
    except PermissionError as error:
        raise SensorError(f"{name}: no permission to use {interface}", ADVICE[Reason.NOT_ALLOWED]) from error
    except (FileNotFoundError, NotImplementedError) as error:
        raise SensorError(f"{name}: {interface} cannot be found on this machine", switch_on) from error
    except OSError as error:
        if error.errno == errno.EBUSY:
            raise SensorError(f"{name}: another program uses {interface}", ADVICE[Reason.IN_USE]) from error
        raise SensorError(f"{name}: {interface} cannot be used ({error})", ADVICE[Reason.NO_ANSWER]) from error


def reason_of(error: OSError) -> Reason:
    """Return why a part could not be read, by the error number of the system."""
    if error.errno == errno.EBUSY:
        return Reason.IN_USE
    return Reason.NOT_ALLOWED if error.errno in (errno.EACCES, errno.EPERM) else Reason.NO_ANSWER
