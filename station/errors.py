"""The errors that Jarside raises on purpose. A leaf: it imports nothing of the project."""


class JarsideError(Exception):
    """Something expected went wrong, and a person can put it right.

    Args:
        what: what happened, with the file, line, key or id and the offending value.
        remedy: what to do about it, as a sentence; may be empty.
    """

    def __init__(self, what: str, remedy: str = "") -> None:
        super().__init__(what, remedy)
        self.what = what
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.what}. {self.remedy}" if self.remedy else self.what


class SettingsError(JarsideError):
    """The settings file is missing, unreadable or holds a value that is not allowed."""


class LogFileError(JarsideError):
    """A log file (CSV) has a row or a header that cannot be used."""


class StoreError(JarsideError):
    """A database file cannot be opened, is not ours, is newer than this program, or cannot be written."""


class QuantityError(JarsideError):
    """A typed weight, volume or ratio cannot be read, or is outside what makes sense."""


class NotebookError(JarsideError):
    """What was asked of the notebook does not fit what is written there."""


class SensorError(JarsideError):
    """A part cannot be opened: no driver, no pins, no permission."""


class DeliveryError(JarsideError):
    """A message cannot be delivered, and trying again will not help."""


class PackError(JarsideError):
    """A SenML pack breaks RFC 8428, or asks for something this program does not understand."""
