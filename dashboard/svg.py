"""SVG as text: elements with escaped attributes and text, and numbers cut to what a screen can show."""

import re
from collections.abc import Iterable
from functools import cache
from html import escape


def number(value: float) -> str:
    """Return a coordinate with at most one decimal, never "-0"."""
    text = f"{value:.1f}"
    if text[-1] != "0":
        return text
    return "0" if text == "-0.0" else text[:-2]


def element(name: str, *children: str, **attributes: str | float | None) -> str:
    """Return one element.

    Args:
        name: the tag.
        children: markup that is already safe; text goes through `text_of` first.
        attributes: `class_` becomes `class`, `stroke_width` becomes `stroke-width`; None leaves the attribute out.
    """
    written = "".join(
        [f' {_attribute(key)}="{_written(value)}"' for key, value in attributes.items() if value is not None]
    )
    return f"<{name}{written}>{''.join(children)}</{name}>" if children else f"<{name}{written}/>"


def _written(value: str | float) -> str:
    """Return an attribute's value; a page has thousands, and few hold anything to escape."""
    if not isinstance(value, str):
        return number(value)
    return escape(value) if _UNSAFE.search(value) else value


_UNSAFE = re.compile("[&<>\"']")


@cache
def _attribute(key: str) -> str:
    name = key.rstrip("_")
    return name.replace("_", "-")


def text_of(text: str) -> str:
    """Return text made safe to stand between tags."""
    return escape(text, quote=False)


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """Return the `d` of a path through the points."""
    return "M" + "L".join(["%.1f %.1f" % point for point in points])  # noqa: UP031 - three times as fast, many points


def paper_tag(words: str, x: float, y: float, string: str, turn: str) -> str:
    """Return a paper tag on its string, as jars and bottles have it; "" without words.

    Args:
        words: what is written on it.
        x, y: the middle of its upper edge.
        string: the path of the string.
        turn: how it hangs, as a transform.
    """
    if not words:
        return ""
    wide = 14 + 6.6 * len(words)
    return element(
        "g",
        element("path", d=string, class_="string"),
        element("rect", x=x - wide / 2, y=y, width=wide, height=20, rx=3, class_="tag"),
        element("text", text_of(words), x=x, y=y + 14, text_anchor="middle", class_="tag-text"),
        transform=turn,
    )
