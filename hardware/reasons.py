"""Why a part gave no usable answer, and what a person can do about it."""

import enum


class Reason(enum.StrEnum):
    """The reasons that a `Miss` of a real part carries."""

    NOT_OPEN = "it is not open"
    TOO_SOON = "it was asked again too soon"
    TOO_SLOW = "the read was held up half way"
    NO_ANSWER = "no answer"
    BAD_FRAME = "no whole, valid frame"
    EMPTY_FRAME = "a frame of zeros"
    BAD_CHECKSUM = "the check sum is wrong"
    OUT_OF_RANGE = "a value that the part cannot have measured"
    POWER_ON = "the value it shows before its first measurement"
    IN_USE = "another program holds its pin"
    NOT_ALLOWED = "no permission"
    HUNG = "the driver did not come back"
    DIED = "the reader ended"
    RUBBISH = "the reader said what nobody can read"
    STARTING = "the reader is starting"
    RESTING = "the reader failed and waits before it tries again"
    REFUSED = "the driver cannot be opened"


ADVICE: dict[Reason, str] = {
    Reason.TOO_SOON: "Raise spacing_s in the settings.",
    Reason.TOO_SLOW: "The machine is too busy: stop other programs, or use a faster card.",
    Reason.NO_ANSWER: "Check supply, ground and data wire against hardware/README.md, then its pin or address.",
    Reason.BAD_FRAME: "Check the wiring; fit a pull-up of 4.7 to 10 kΩ from data to 3.3 V; keep the lead under 2 m.",
    Reason.EMPTY_FRAME: "The line is held low: fit 4.7 kΩ from data to 3.3 V and look for a short.",
    Reason.BAD_CHECKSUM: "Shorten the lead, keep it away from mains cables, and check the pull-up and the supply.",
    Reason.OUT_OF_RANGE: "Check that `part` in the settings names the part that is fitted, then the pull-up.",
    Reason.POWER_ON: "Its supply fails while it measures: wire all three leads, with 4.7 kΩ from data to 3.3 V.",
    Reason.IN_USE: "Stop the program that holds the pin; for the station: sudo systemctl stop jarside-watch.",
    Reason.NOT_ALLOWED: "Add yourself to the groups: sudo usermod -aG gpio,i2c,spi $USER; then log in again.",
    Reason.HUNG: "Unplug the part and plug it in again; if it goes on, replace it.",
    Reason.DIED: "Read the lines above for the reason; reinstall the drivers: pip install 'jarside[pi]'.",
}
"""What to do, for those reasons where a person can do something."""
