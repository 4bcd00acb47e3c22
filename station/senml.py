"""Sensor Measurement Lists (SenML) in JSON, RFC 8428: written, read and resolved."""

import base64
import json
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any, TypeAlias

from station.errors import PackError

CONTENT_TYPE = "application/senml+json"
VERSION = 10
"""The version of RFC 8428 itself."""

Value: TypeAlias = float | bool | str | bytes | None

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_ABSOLUTE_S = float(2**28)  # section 4.5.3: times below this are relative to now
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9\-:./_]*")  # section 4.5.1
_BASE64 = re.compile(r"[A-Za-z0-9_\-]*")
_VALUES = ("v", "vs", "vb", "vd")
_REGULAR = frozenset(("n", "u", "t", "ut", "s", *_VALUES))
_READ_THE_RFC = "Send a pack as RFC 8428 describes it."


@dataclass(frozen=True, slots=True)
class Record:
    """One resolved record: it stands by itself.

    Args:
        name: the full name; letters, digits and `-:./_`, the first a letter or a digit.
        unit: a unit of the SenML registry, such as `Cel`; "" for none.
        value: a number, a truth value, a string or bytes; None only beside a sum.
        at: when it was measured, aware UTC, to the microsecond until 2106; None in a record to be written means
            "about now".
        sum: the integral of the values so far, or None.
        update_s: within how many seconds the next value can be expected, or None.
        version: the version of the format that the pack was written in.
    """

    name: str
    unit: str = ""
    value: Value = None
    at: datetime | None = None
    sum: float | None = None
    update_s: float | None = None
    version: int = VERSION


@dataclass(frozen=True, slots=True)
class _Base:
    """The base values that hold at one place of the pack (section 4.1)."""

    name: str = ""
    time_s: float = 0.0
    unit: str = ""
    value: float | None = None
    sum: float | None = None


def encode(records: Iterable[Record], base_name: str = "") -> bytes:
    """Write a pack.

    Args:
        records: what to write, at least one, in order.
        base_name: what all names begin with; it is written once.

    Raises:
        PackError: a record breaks RFC 8428, or its time lies before 1978-07-04, where times would read as relative.
    """
    listed = tuple(records)
    if not listed:
        raise PackError("a pack without records", "Give at least one record.")
    base_s = int(_seconds(listed[0].at)) if listed[0].at and all(record.at for record in listed) else 0
    pack = [_written(record, base_name, base_s) for record in listed]
    pack[0] = _head(base_name, base_s, {record.version for record in listed}) | pack[0]
    return json.dumps(pack, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()


def decode(pack: bytes | str, received_at: datetime) -> tuple[Record, ...]:
    """Read a pack and resolve it (section 4.6): full names, absolute times, in the order of time.

    Args:
        pack: the JSON text.
        received_at: aware UTC; what relative times count from.

    Raises:
        PackError: it is not JSON, breaks RFC 8428, or asks for something this reader does not understand.
    """
    items = _parsed(pack)
    version = _version(items)
    base, records = _Base(), []
    for number, item in enumerate(items, start=1):
        where = f"record {number}"
        base = _rebased(base, item, where)
        if not _REGULAR.isdisjoint(item):
            records.append(replace(_resolved(base, item, where, received_at), version=version))
    return tuple(sorted(records, key=_order))


def _head(base_name: str, base_s: int, versions: set[int]) -> dict[str, Any]:
    if len(versions) > 1 or not 0 < min(versions) <= max(versions) <= VERSION:
        raise PackError(f"versions {sorted(versions)} in one pack", f"Write one version, up to {VERSION}.")
    head: dict[str, Any] = {"bn": base_name} if base_name else {}
    head |= {} if versions == {VERSION} else {"bver": min(versions)}
    return head | ({"bt": base_s} if base_s else {})


def _order(record: Record) -> datetime:
    return record.at or _EPOCH


def _seconds(at: datetime, base_s: int = 0) -> float:
    """Return the seconds from the base to `at`: a whole number where it is one, as it takes less room."""
    if (at - _EPOCH) / timedelta(seconds=1) < _ABSOLUTE_S:
        raise PackError(f"time {at.isoformat()} lies before 1978-07-04", "Leave the time out while the clock is wrong.")
    seconds = (at - _EPOCH - timedelta(seconds=base_s)) / timedelta(seconds=1)
    return int(seconds) if seconds.is_integer() else seconds


def _written(record: Record, base_name: str, base_s: int) -> dict[str, Any]:
    if not record.name.startswith(base_name) or not _NAME.fullmatch(record.name):
        raise PackError(f"record {record.name!r}: not a name below {base_name!r}", _READ_THE_RFC)
    if record.value is None and record.sum is None:
        raise PackError(f"record {record.name!r}: neither a value nor a sum", "Leave out what was not measured.")
    fields: dict[str, Any] = {"n": record.name.removeprefix(base_name), "u": record.unit}
    fields |= _written_time(record.at, base_s) | _written_value(record)
    fields |= {"s": _finite(record.sum, record.name), "ut": _finite(record.update_s, record.name)}
    return {label: field for label, field in fields.items() if field is not None and (field != "" or label in _VALUES)}


def _written_time(at: datetime | None, base_s: int) -> dict[str, float]:
    seconds = None if at is None else _seconds(at, base_s)
    return {"t": seconds} if seconds else {}


def _written_value(record: Record) -> dict[str, Any]:
    match record.value:
        case bool():
            return {"vb": record.value}
        case str():
            return {"vs": record.value}
        case bytes():
            return {"vd": base64.urlsafe_b64encode(record.value).decode().rstrip("=")}
        case _:
            return {"v": _finite(record.value, record.name)}


def _finite(number: float | None, name: str) -> float | None:
    if number is not None and not math.isfinite(number):
        raise PackError(f"record {name!r}: {number} is not a number of JSON", "Leave out what was not measured.")
    return number


def _parsed(pack: bytes | str) -> list[Mapping[str, Any]]:
    try:
        text = pack if isinstance(pack, str) else pack.decode()  # section 5: UTF-8 only
        items = json.loads(text, object_pairs_hook=_once, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise PackError(f"SenML pack: not JSON ({error})", _READ_THE_RFC) from error
    if not isinstance(items, list) or not items or not all(isinstance(item, dict) for item in items):
        raise PackError("SenML pack: not a list of at least one object", _READ_THE_RFC)
    for number, item in enumerate(items, start=1):
        _check_labels(item, f"record {number}")
    return items


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        raise ValueError("a label twice in one object")
    return fields


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is not a number of JSON")


def _check_labels(item: Mapping[str, Any], where: str) -> None:
    """Section 4.4: labels that end in "_" must be understood; this reader knows none. Others may be passed over."""
    unknown = next((label for label in item if label.endswith("_")), None)
    if unknown is not None:
        raise PackError(f"{where}: {unknown!r} must be understood, and is not", "Send the pack without that label.")


def _version(items: list[Mapping[str, Any]]) -> int:
    """Section 4.4: one version for all records, and none that is newer than the reader."""
    version = VERSION
    for number, item in enumerate(items, start=1):
        own = item.get("bver", version)
        if type(own) is not int or not 0 < own <= VERSION or (number > 1 and own != version):
            raise PackError(f"record {number}: 'bver' = {own!r} is not allowed", f"Send one version, up to {VERSION}.")
        version = own
    return version


def _rebased(base: _Base, item: Mapping[str, Any], where: str) -> _Base:
    time_s, value, total = (_number(item, label, where) for label in ("bt", "bv", "bs"))
    return replace(
        base,
        name=base.name if "bn" not in item else _text(item, "bn", where),
        unit=base.unit if "bu" not in item else _text(item, "bu", where),
        time_s=base.time_s if time_s is None else time_s,
        value=base.value if value is None else value,
        sum=base.sum if total is None else total,
    )


def _resolved(base: _Base, item: Mapping[str, Any], where: str, received_at: datetime) -> Record:
    name = base.name + _text(item, "n", where)
    if not _NAME.fullmatch(name):
        raise PackError(f"{where}: the name {name!r} is not allowed", _READ_THE_RFC)
    value, total = _value(base, item, where), _total(base.sum, _number(item, "s", where))
    if value is None and total is None:
        raise PackError(f"{where}: neither a value nor a sum", _READ_THE_RFC)
    return Record(
        name,
        _text(item, "u", where) if "u" in item else base.unit,
        value,
        _moment(base.time_s + (_number(item, "t", where) or 0.0), where, received_at),
        total,
        _number(item, "ut", where),
    )


def _value(base: _Base, item: Mapping[str, Any], where: str) -> Value:
    given = [label for label in _VALUES if label in item]
    match given:
        case [] | ["v"]:
            return _total(base.value, _number(item, "v", where))
        case ["vs"]:
            return _text(item, "vs", where)
        case ["vb"] if isinstance(item["vb"], bool):
            return bool(item["vb"])
        case ["vd"]:
            return _data(_text(item, "vd", where), where)
    raise PackError(f"{where}: {' and '.join(map(repr, given))} do not make one value", _READ_THE_RFC)


def _total(base: float | None, own: float | None) -> float | None:
    """Section 4.1: base and own value are added; if only one is there, the other counts as 0."""
    return None if base is None and own is None else (base or 0.0) + (own or 0.0)


def _data(text: str, where: str) -> bytes:
    if not _BASE64.fullmatch(text) or len(text) % 4 == 1:
        raise PackError(f"{where}: 'vd' = {text!r} is not base64 with the URL alphabet, unpadded", _READ_THE_RFC)
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def _text(item: Mapping[str, Any], label: str, where: str) -> str:
    text = item.get(label, "")
    if not isinstance(text, str):
        raise PackError(f"{where}: {label!r} = {text!r} is not a string", _READ_THE_RFC)
    return text


def _number(item: Mapping[str, Any], label: str, where: str) -> float | None:
    if label not in item:
        return None
    number = item[label]
    try:
        finite = not isinstance(number, bool) and math.isfinite(number)
    except (TypeError, OverflowError):
        finite = False
    if not finite:
        raise PackError(f"{where}: {label!r} = {number!r} is not a number", _READ_THE_RFC)
    return float(number)


def _moment(time_s: float, where: str, received_at: datetime) -> datetime:
    since = _EPOCH if time_s >= _ABSOLUTE_S else received_at
    try:
        return since + timedelta(seconds=time_s)
    except OverflowError:
        raise PackError(f"{where}: {time_s} s is not a time", _READ_THE_RFC) from None
