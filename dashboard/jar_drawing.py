"""A jar as inline SVG: leaves under a cloth, a paper tape on the glass, and the juice that rises with the warmth.

What all jars share is drawn in templates/shapes.svg, which a page holds once; colours are in the stylesheet.
"""

from dataclasses import dataclass
from functools import lru_cache
from random import Random
from zlib import crc32

from dashboard.svg import element, number, paper_tag
from station.domain.jars import Stage

FLOOR, BRIM = 199.0, 112.0
"""Where the juice stands, in the picture's units, with no warmth and with as much as the plant is likely to need."""
FULLEST = 1.25
"""The juice is drawn no higher than this many needs."""
CLOTHS, LEAVES = 4, 3
"""How many kinds of each there are in shapes.svg."""
TAPE_X = 112.0


@dataclass(frozen=True, slots=True)
class JarPicture:
    """What is drawn of a jar.

    Args:
        key: the jar's id: the same jar always has the same cloth and leaves.
        plant: the same plant always has the same kind of leaf.
        stage: where it stands.
        level: warmth over the likely need, from 0; above 1 it has had more. None where nothing was measured: then
            neither juice nor sugar is drawn, and a question mark stands on the tape.
        ready_low, ready_high: 10 and 90 % of the need over the likely need.
        need: the likely need in warm-days: the tape has a mark for each.
        tag: a few letters on the tag at its neck.
    """

    key: str
    plant: str
    stage: Stage
    level: float | None
    ready_low: float
    ready_high: float
    need: float
    tag: str = ""


@lru_cache(maxsize=256)
def jar_svg(picture: JarPicture) -> str:
    """Return the jar; hidden from screen readers, because the words beside it say it all."""
    dice = Random(crc32(picture.key.encode()))
    cloth = f"url(#cloth-{dice.randrange(CLOTHS)})"
    match picture.stage:
        case Stage.DRAINING:
            drawn = _strainer(picture, dice)
        case Stage.BOTTLED:
            drawn = _bottle()
        case Stage.DISCARDED:
            drawn = [_shared("shade"), _shared("inner", class_="empty-place")]
        case _:
            drawn = _jar(picture, dice, cloth)
    return element("svg", *drawn, class_="jar-picture", viewBox="0 0 160 208", aria_hidden="true")


def _height(level: float) -> float:
    return FLOOR - (FLOOR - BRIM) * min(max(level, 0.0), FULLEST)


def _age(level: float) -> str:
    return "young" if level < 0.35 else "middle" if level < 0.85 else "old"


def _shared(name: str, **attributes: str | float | None) -> str:
    return element("use", href=f"#{name}", **attributes)


def _wave(y: float) -> str:
    """Return a slightly uneven line across the jar: nothing in a kitchen is ruled."""
    return (
        f"M28 {number(y)}C45 {number(y + 2)} 60 {number(y - 1.5)} 80 {number(y)}S118 {number(y + 1.5)} 132 {number(y)}"
    )


def _jar(picture: JarPicture, dice: Random, cloth: str) -> list[str]:
    level = picture.level or 0.0
    juice_y = _height(level)
    look = "past" if picture.stage is Stage.PAST_READY else _age(level)
    working = picture.stage is Stage.WORKING and level > 0.12
    contents = element(
        "g",
        _shared("inner", class_="air"),
        *_packing(picture, dice, top=96.0 + 8.0 * min(level, 1.0)),
        *_juice(juice_y, look),
        *(_bubbles(juice_y, dice) if working else ()),
        clip_path="url(#inside)",
    )
    cover = [_shared("cover", fill=cloth, class_="cloth"), _shared("string")]
    return [_shared("shade"), contents, _tape(picture), _shared("glass"), *cover, _tag(picture.tag)]


def _leaf(picture: JarPicture, x: float, y: float, turn: float, look: int) -> str:
    shape = crc32(picture.plant.casefold().encode()) % LEAVES
    turned = f"translate({number(x)} {number(y)}) rotate({number(turn)})"
    return _shared(f"leaf-{shape}", transform=turned, class_=f"leaf-{look % 3}")


def _packing(picture: JarPicture, dice: Random, top: float) -> list[str]:
    """Return the packed leaves, the sugar cap that melts away within the first days, and the stone on top."""
    row_height = (FLOOR - top) / 5
    leaves = [
        _leaf(
            picture,
            x=44 + 24 * column + dice.uniform(-6, 6),
            y=top + 10 + row_height * row + dice.uniform(-4, 4),
            turn=dice.uniform(-60, 60),
            look=row + column,
        )
        for row in range(5)
        for column in range(4)
    ]
    heap = element("path", d=f"{_wave(top)}V204H28Z", class_="heap")
    sugar = 0.0 if picture.level is None else max(0.0, 1.0 - picture.level / 0.3) * 9.0
    cap = element("path", d=f"{_wave(top - sugar)}V{number(top + 4)}H28Z", class_="sugar") if sugar > 0.5 else ""
    stone = f"M56 {number(top + 2 - sugar)}c-4 -9 8 -16 24 -16s29 7 25 15s-45 9 -49 1z"
    return [
        element("g", heap, *leaves, class_=f"leaves {_age(picture.level or 0.0)}"),
        cap,
        element("path", d=stone, class_="stone"),
    ]


def _juice(y: float, look: str) -> list[str]:
    if y > FLOOR - 1.0:
        return []
    return [
        element("path", d=f"{_wave(y)}V204H28Z", class_=f"juice {look}"),
        element("path", d=_wave(y), class_="surface"),
    ]


def _bubbles(y: float, dice: Random) -> list[str]:
    room = FLOOR - y - 8.0
    places = [(dice.uniform(40, 104), y + 6 + dice.random() * room, dice.uniform(1.2, 2.6)) for _ in range(7)]
    return [
        element("circle", cx=x, cy=at, r=radius, class_=f"bubble bubble-{n % 3}")
        for n, (x, at, radius) in enumerate(places)
    ]


def _tape(picture: JarPicture) -> str:
    """Return the paper tape on the glass: a mark for each warm-day, and the stretch in which the jar is ready."""
    low, high = _height(picture.ready_low), _height(picture.ready_high)
    if picture.level is None:
        asked = element("text", "?", x=TAPE_X + 5.5, y=high + 14, text_anchor="middle", class_="tag-text")
        return element("g", _paper(high), asked)
    days = range(1, int(picture.need * picture.ready_high) + 1)
    marks = "".join(f"M{number(TAPE_X)} {number(_height(day / picture.need))}h5" for day in days)
    return element(
        "g",
        _paper(high),
        element("rect", x=TAPE_X, y=high, width=11, height=low - high, class_="ready-band"),
        element("path", d=marks, class_="tape-marks") if marks else "",
    )


def _paper(high: float) -> str:
    return element("rect", x=TAPE_X, y=high - 3, width=11, height=FLOOR - 5 - high, rx=1.5, class_="tape")


def _tag(tag: str) -> str:
    return paper_tag(tag, 116, 62, "M104 49C110 52 114 58 116 63", "rotate(5 110 62)")


def _strainer(picture: JarPicture, dice: Random) -> list[str]:
    """Return a bowl with a cloth hung in it: the jar was tipped out and drips under its own weight."""
    leaves = [
        _leaf(
            picture,
            x=44 + 18 * n + dice.uniform(-4, 4),
            y=108 + dice.uniform(-6, 6),
            turn=dice.uniform(-70, 70),
            look=n,
        )
        for n in range(5)
    ]
    drops = [
        element("path", d=f"M{x} 163c-3 5 -3 8 0 8s3 -3 0 -8z", class_=f"drop drop-{n}")
        for n, x in enumerate((71, 81, 90))
    ]
    heap = element("g", *leaves, class_="leaves old")
    return [_shared("shade"), heap, *drops, _shared("bowl"), _shared("rim", fill="url(#cloth-0)", class_="cloth")]


def _bottle() -> list[str]:
    """Return a bottle two thirds full, its stopper loose."""
    juice = [_shared("inner-bottle", class_="air"), *_juice(128.0, "old")]
    return [_shared("shade"), element("g", *juice, clip_path="url(#inside-bottle)"), _shared("bottle")]
