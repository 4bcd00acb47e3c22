"""SVG as text: elements with escaped attributes and text, and numbers cut to what a screen can show."""

from collections.abc import Iterable
from html import escape


def number(value: float) -> str:
    """Return a coordinate with at most one decimal, never "-0"."""
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text


def element(name: str, *children: str, **attributes: str | float | None) -> str:
    """Return one element.

    Args:
        name: the tag.
        children: markup that is already safe; text goes through `text_of` first.
        attributes: `class_` becomes `class`, `stroke_width` becomes `stroke-width`; None leaves the attribute out.
    """
    written = "".join(
        f' {_attribute(key)}="{escape(number(value) if isinstance(value, float | int) else value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    return f"<{name}{written}>{''.join(children)}</{name}>" if children else f"<{name}{written}/>"


def _attribute(key: str) -> str:
    name = key.rstrip("_")
    return name.replace("_", "-")


def text_of(text: str) -> str:
    """Return text made safe to stand between tags."""
    return escape(text, quote=False)


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """Return the `d` of a path through the points."""
    return "M" + "L".join(["%.1f %.1f" % point for point in points])  # noqa: UP031 - three times as fast, many points
