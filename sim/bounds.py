"""The kinds of number a scenario file may hold, with their ranges; a string is never taken for a number."""

from typing import Annotated, TypeAlias

from pydantic import ConfigDict, Field

KEYS = ConfigDict(extra="forbid")
"""Every table of a scenario refuses keys that it does not know."""

Number: TypeAlias = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive: TypeAlias = Annotated[float, Field(strict=True, gt=0.0, allow_inf_nan=False)]
NotNegative: TypeAlias = Annotated[float, Field(strict=True, ge=0.0, allow_inf_nan=False)]
Share: TypeAlias = Annotated[float, Field(strict=True, ge=0.0, le=1.0)]
Temperature: TypeAlias = Annotated[float, Field(strict=True, ge=-60.0, le=80.0)]
Hour: TypeAlias = Annotated[float, Field(strict=True, ge=0.0, le=24.0)]
"""Hour of the local day, with its minutes as a fraction."""
Span: TypeAlias = tuple[NotNegative, NotNegative]
"""From and until, in hours or days since the scenario's start, as the field's name says."""
Name: TypeAlias = Annotated[str, Field(max_length=40, pattern=r"^[a-z0-9][a-z0-9-]*$")]
"""What sensors and jars are called."""
