"""What a person asks for through the command topic: to acknowledge an alert, or to put it off."""

from datetime import datetime, timedelta
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from station.ports import Answer

TOPIC = "command"
LONGEST_BYTES = 1000
EXAMPLE = '{"alert": "ID", "do": "acknowledge"}'


class _Command(BaseModel):
    """`{"alert": "cold-…", "do": "acknowledge"}` or `{"alert": "cold-…", "do": "later", "hours": 2}`."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    alert: str = Field(min_length=1, max_length=200)
    do: Literal["acknowledge", "later"]
    hours: float = Field(2.0, gt=0, le=24)


def answer_of(payload: bytes, at: datetime) -> Answer | None:
    """Return what was asked for, or None if it cannot be understood.

    Args:
        payload: the message as it came.
        at: when it came, aware UTC.
    """
    if len(payload) > LONGEST_BYTES:
        return None
    try:
        command = _Command.model_validate_json(payload)
    except ValidationError:
        return None
    until_at = at + timedelta(hours=command.hours) if command.do == "later" else None
    return Answer(command.alert, at, until_at)
