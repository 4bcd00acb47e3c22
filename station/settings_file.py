"""The settings file: found, read, checked, and explained when it is wrong."""

import os
import tomllib
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from station.config import APP, Settings
from station.errors import SettingsError

ENVIRONMENT = "JARSIDE_CONFIG"
SET_UP = "set-up.toml"
"""In the data folder: what was set on the pages. It goes over the settings file, which the pages cannot write."""
CHANGEABLE: dict[str, frozenset[str]] = {
    "place": frozenset({"lat_deg", "lon_deg", "zone"}),
    "units": frozenset({"temperature", "amounts"}),
    "limits": frozenset({"cold_c", "hot_c", "sun_lx", "bright_lx", "damp_margin_pct", "silent_min"}),
    "strain": frozenset({"evening", "drip_until", "days_away"}),
}
"""What may be set there: nothing that says who may come in, or where messages go."""


_NO_TOML = (ValueError, RecursionError)
"""What its reader makes of a file that is none: a number of thousands of digits, and brackets within brackets, too."""


def candidates() -> tuple[Path, ...]:
    """Return where a settings file is looked for when none is named, in order."""
    import platformdirs

    named = os.environ.get(ENVIRONMENT)
    usual = (
        Path(platformdirs.user_config_dir(APP, appauthor=False)) / "jarside.toml",
        Path("/etc/jarside/jarside.toml"),
    )
    return (Path(named), *usual) if named else usual


def load(path: Path | None = None, changes: tuple[str, ...] = (), over: Path | None = None) -> Settings:
    """Read the settings.

    Args:
        path: the file; None looks in the usual places and takes the defaults when there is none.
        changes: `section.key=value` strings that override the file.
        over: a file with what was set on the pages, which goes over the first; None or a missing one changes nothing.

    Raises:
        SettingsError: the file is missing or unreadable, or a key or a value is not allowed.
    """
    named = path or (Path(os.environ[ENVIRONMENT]) if os.environ.get(ENVIRONMENT) else None)
    found = named or next((one for one in candidates() if one.is_file()), None)
    values = _parsed(found) if found else {}
    where = [str(found)] if found else []
    if over is not None and over.is_file():
        _put_over(values, over)
        where.append(str(over))
    for change in changes:
        _apply(values, change)
    return _checked(values, " with ".join(where) or "settings")


def check_set_up(path: Path) -> None:
    """Refuse a file that cannot be what was set on the pages; its values are judged with the settings it goes over.

    Raises:
        SettingsError: it cannot be read, or holds what may not be set there.
    """
    _put_over({}, path)


def _put_over(values: dict[str, Any], path: Path) -> None:
    """Put what was set on the pages over the parsed settings.

    Raises:
        SettingsError: it holds what may not be set there.
    """
    for section, keys in _parsed(path).items():
        allowed = CHANGEABLE.get(section, frozenset())
        strange = sorted(set(keys) - allowed) if isinstance(keys, dict) else [section]
        if strange or not allowed:
            raise SettingsError(
                f"{path}: {section}: {', '.join(strange) or 'it'} may not be set here", "Set it in the settings file."
            )
        values[section] = {**values.get(section, {}), **keys}


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise SettingsError(f"{path}: there is no such settings file", "Write one with: jarside init.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsError(f"{path}: cannot be read ({error})", "Check the path and its permissions.") from error
    except _NO_TOML as error:
        raise SettingsError(f"{path}: not valid TOML ({error})", "Correct that line.") from error


def _apply(values: dict[str, Any], change: str) -> None:
    """Put one `section.key=value` into the parsed settings."""
    name, sign, text = change.partition("=")
    *sections, key = name.strip().split(".")
    if not sign or not key:
        raise SettingsError(f"--set {change}: not of the form section.key=value", "Example: --set limits.cold_c=14.")
    for section in sections:
        values = values.setdefault(section, {})
        if not isinstance(values, dict):
            raise SettingsError(f"--set {change}: {section} is not a section", "Example: --set limits.cold_c=14.")
    try:
        values[key] = tomllib.loads(f"value = {text}")["value"]
    except _NO_TOML:
        values[key] = text.strip()


def _checked(values: dict[str, Any], where: str) -> Settings:
    try:
        return Settings.model_validate(values)
    except ValidationError as error:
        first = error.errors()[0]
        reason = _reason(first["type"], first["msg"], first.get("ctx", {}))
        raise SettingsError(*_explained(first["loc"], first["type"], reason, first["input"], where)) from None


_REASONS = {
    "less_than_equal": "must be {le:.10g} at most",
    "greater_than_equal": "must be {ge:.10g} at least",
    "less_than": "must be less than {lt:.10g}",
    "greater_than": "must be more than {gt:.10g}",
    "literal_error": "must be {expected}",
    "string_too_short": "must not be empty",
    "string_too_long": "must not be longer than {max_length} characters",
    "missing": "is missing",
    "model_type": "must be a section with keys of its own",
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float"), "must be a whole number"),
    **dict.fromkeys(("float_type", "float_parsing", "finite_number"), "must be a number"),
    **dict.fromkeys(("bool_type", "bool_parsing"), "must be true or false"),
    **dict.fromkeys(("string_type", "path_type"), "must be a text in quotes"),
    **dict.fromkeys(("time_type", "time_parsing"), "must be a time of day such as 19:00:00"),
    **dict.fromkeys(("tuple_type", "list_type"), "must be a list in square brackets"),
}
"""What the checker's complaints mean, by their kind; the others are told in its own words."""


def _reason(kind: str, message: str, bounds: dict[str, Any]) -> str:
    if kind == "string_pattern_mismatch" and bounds["pattern"].startswith("^[a-z0-9]"):
        return "must be lower-case letters, digits and dashes"
    known = _REASONS.get(kind)
    return message.removeprefix("Value error, ") if known is None else known.format(**bounds)


def _explained(loc: tuple[int | str, ...], kind: str, reason: str, value: Any, where: str) -> tuple[str, str]:
    """Return what is wrong and what to do, for one complaint of the checker."""
    key = ".".join(str(part) for part in loc)
    if kind == "extra_forbidden":
        known = ", ".join(_known_keys(loc[:-1]))
        return f"{where}: {key} is not a setting", f"Known here: {known}."
    if isinstance(value, BaseModel | dict):
        return f"{where}: {key + ': ' if key else ''}{reason}", "Correct the file."
    shown = "..." if loc[:1] == ("notify",) else repr(value)  # addresses of targets hold secrets
    return f"{where}: {key} = {shown}: {reason}", "Correct the value; jarside init writes a file that explains each."


def _known_keys(loc: tuple[int | str, ...]) -> list[str]:
    model: type[BaseModel] = Settings
    for part in loc:
        if isinstance(part, str):  # a number is a place in a list, whose model the list's own name has given
            model = _model_in(model.model_fields[part].annotation)
    return [field.alias or name for name, field in model.model_fields.items()]


def _model_in(annotation: Any) -> type[BaseModel]:
    """Return the section that an annotation such as `X` or `tuple[X, ...]` is about."""
    parts = (annotation, *get_args(annotation))
    return next(part for part in parts if isinstance(part, type) and issubclass(part, BaseModel))
