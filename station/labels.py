"""Labels drawn: an SVG for one, an HTML page for a sheet. Measures are millimetres throughout."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from html import escape

import segno

from station.domain.label_sheets import Sheet, check_size, laid_out
from station.domain.labels import Label
from station.errors import JarsideError

PAD_MM = 2.0
QUIET = 4
"""Modules of white around a QR code (ISO/IEC 18004)."""
SINGLE_MM = (64.0, 36.0)
_FONT = "Helvetica, Arial, sans-serif"
_MM_PER_PT = 0.352778
_EM, _BOLD_EM = 0.60, 0.68
"""Mean width of small letters and digits in wide sans-serif fonts, regular and bold, in ems."""


def label_svg(label: Label, width_mm: float = SINGLE_MM[0], height_mm: float = SINGLE_MM[1]) -> str:
    """Return one label as a complete SVG document of its true size.

    Args:
        label: what stands on it.
        width_mm, height_mm: its size.

    Raises:
        JarsideError: it is too small to be read, or too large.
    """
    check_size(width_mm, height_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" height="{height_mm:g}mm" '
        f'viewBox="0 0 {width_mm:g} {height_mm:g}" role="img">{_title(label)}'
        f'<rect width="{width_mm:g}" height="{height_mm:g}" fill="#fff"/>'
        f"{_drawn(label, width_mm, height_mm)}</svg>\n"
    )


def _title(label: Label) -> str:
    return f"<title>{_escaped(f'Label of {label.id}: {label.title}')}</title>"


def _escaped(text: str) -> str:
    """Return a text as a drawing holds it; without what no XML may hold (XML 1.0, 2.2), even escaped."""
    return escape(_NO_XML.sub("", text))


_NO_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def _drawn(label: Label, width_mm: float, height_mm: float) -> str:
    warning_mm, id_mm = min(3.6, height_mm * 0.1), min(2.6, height_mm * 0.08)
    above_mm = height_mm - 2 * PAD_MM - warning_mm * 1.4
    qr_mm = min(above_mm - id_mm * 1.2, width_mm * 0.36)
    text_w_mm = width_mm - qr_mm - 3 * PAD_MM
    qr_x_mm = width_mm - PAD_MM - qr_mm
    return "".join(
        [
            *_texts(label, text_w_mm, above_mm),
            _qr(label.url, qr_x_mm, PAD_MM, qr_mm),
            _text(label.id, qr_x_mm + qr_mm / 2, PAD_MM + qr_mm + id_mm, id_mm, qr_mm, anchor="middle"),
            _warning(label.warning, width_mm, height_mm, warning_mm),
        ]
    )


def _warning(text: str, width_mm: float, height_mm: float, size_mm: float) -> str:
    """The warning in a band across the foot of the label; it is never shortened."""
    band_mm = size_mm * 1.4 + PAD_MM / 2
    fitted_mm = min(size_mm, (width_mm - 2 * PAD_MM) / _ems(text.upper(), _BOLD_EM))
    base_mm = height_mm - band_mm / 2 + fitted_mm * 0.36
    return (
        f'<rect x="0" y="{height_mm - band_mm:.2f}" width="{width_mm:g}" height="{band_mm:.2f}" fill="#000"/>'
        f'<text x="{width_mm / 2:.2f}" y="{base_mm:.2f}" font-size="{fitted_mm:.2f}" '
        f'font-weight="bold" text-anchor="middle" fill="#fff" font-family="{_FONT}">{_escaped(text.upper())}</text>'
    )


def _texts(label: Label, width_mm: float, height_mm: float) -> Iterator[str]:
    """Yield the title and below it the facts, all of one size, the largest at which they have room."""
    title_mm = min(5.6, height_mm * 0.2)
    yield from _heading(label.title, title_mm, width_mm)
    size_mm, lines = _wrapped_to_fit(label.lines, width_mm, height_mm - title_mm)
    for number, line in enumerate(lines, start=1):
        yield _text(line, PAD_MM, PAD_MM + title_mm + number * size_mm * _LEADING, size_mm, width_mm)


def _heading(title: str, size_mm: float, width_mm: float) -> Iterator[str]:
    """The title on one line; on two smaller ones when that shows more of it."""
    half_mm = size_mm * 0.52
    lines = [title] if _ems(title, _BOLD_EM) * half_mm <= width_mm else _wrapped(title, width_mm / half_mm, _BOLD_EM)
    if len(lines) > 1:
        yield _text(lines[0], PAD_MM, PAD_MM + half_mm * 0.85, half_mm, width_mm, weight="bold")
        yield _text(" ".join(lines[1:]), PAD_MM, PAD_MM + half_mm * 1.9, half_mm, width_mm, weight="bold")
    else:
        yield _text(title, PAD_MM, PAD_MM + size_mm * 0.8, size_mm, width_mm, weight="bold")


_LEADING = 1.25
_SIZES_MM = tuple(size / 10.0 for size in range(34, 17, -1))


def _wrapped_to_fit(facts: Sequence[str], width_mm: float, height_mm: float) -> tuple[float, tuple[str, ...]]:
    for size_mm in _SIZES_MM:
        lines = tuple(line for fact in facts for line in _wrapped(fact, width_mm / size_mm))
        if len(lines) * size_mm * _LEADING <= height_mm:
            return size_mm, lines
    size_mm = _SIZES_MM[-1]
    return size_mm, tuple(facts[: max(1, int(height_mm / (size_mm * _LEADING)))])


def _wrapped(text: str, width_em: float, em: float = _EM) -> list[str]:
    """Break a text between its words, so that no line is wider than `width_em`, as far as its words allow."""
    lines: list[str] = []
    for word in text.split(" "):  # a no-break space holds
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and _ems(longer, em) <= width_em:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _text(
    text: str,
    x_mm: float,
    y_mm: float,
    size_mm: float,
    width_mm: float,
    *,
    weight: str = "normal",
    anchor: str = "start",
) -> str:
    """One line of text, made smaller, and at last shortened, so that it stays within its width."""
    fitted, fitted_mm = _fitted(text, size_mm, width_mm, _BOLD_EM if weight == "bold" else _EM)
    return (
        f'<text x="{x_mm:.2f}" y="{y_mm:.2f}" font-size="{fitted_mm:.2f}" font-weight="{weight}" '
        f'text-anchor="{anchor}" font-family="{_FONT}">{_escaped(fitted)}</text>'
    )


LEAST_MM = 5.0 * _MM_PER_PT
"""Text is shortened rather than set smaller than 5 points."""


def _fitted(text: str, size_mm: float, width_mm: float, em: float) -> tuple[str, float]:
    needed_mm = _ems(text, em) * size_mm
    if needed_mm <= width_mm:
        return text, size_mm
    fitted_mm = max(size_mm * width_mm / needed_mm, min(LEAST_MM, size_mm))
    while len(text) > 1 and _ems(text, em) * fitted_mm > width_mm:
        text = text[:-2].rstrip() + "…"
    return text, fitted_mm


def _ems(text: str, em: float) -> float:
    """How wide a text is in ems: a guess on the safe side, since the printer's fonts are not known."""
    return sum(_em_of(sign, em) for sign in text)


def _em_of(sign: str, em: float) -> float:
    if unicodedata.combining(sign) or sign in "\u200d\ufe0f":
        return 0.0
    if unicodedata.east_asian_width(sign) in "WF":
        return 1.3
    if sign in "mwMW@%&+=":
        return em * 1.5
    return em * 1.2 if sign.isupper() else em * 0.6 if sign in " \u00a0iljt.,:;'()|" else em


def _qr(url: str, x_mm: float, y_mm: float, size_mm: float) -> str:
    """The QR code of an address, with its white border, as one path."""
    modules = qr_modules(url)
    scale = size_mm / len(modules)
    path = "".join(
        f"M{column} {row}h{run}v1h-{run}z" for row, line in enumerate(modules) for column, run in _runs(line)
    )
    return f'<path transform="translate({x_mm:.3f} {y_mm:.3f}) scale({scale:.5f})" d="{path}" fill="#000"/>'


def qr_modules(url: str) -> tuple[tuple[bool, ...], ...]:
    """Return the QR code of an address, dark modules True, with its quiet zone."""
    try:
        code = segno.make(url, error="m", micro=False)
    except segno.DataOverflowError as error:
        raise JarsideError(
            f"an address of {len(url)} signs does not fit into a QR code",
            "Give a shorter one with --url.",
            "Name this machine more shortly in allowed_hosts under [dashboard] in the settings.",
        ) from error
    return tuple(tuple(bool(module) for module in row) for row in code.matrix_iter(border=QUIET))


def _runs(line: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """Yield begin and length of each run of dark modules."""
    begin = None
    for column, dark in enumerate((*line, False)):
        if dark and begin is None:
            begin = column
        elif not dark and begin is not None:
            yield begin, column - begin
            begin = None


def page_svgs(labels: Sequence[Label], sheet: Sheet, first: int = 1) -> tuple[str, ...]:
    """Return the pages of a sheet, each as one SVG of the paper's size.

    Args:
        labels: in order.
        sheet: paper and label sizes.
        first: the first free place of the first page, counted from 1.

    Raises:
        JarsideError: the sheet has no such place.
    """
    pages: dict[int, list[str]] = {}
    for label, (page, place) in zip(labels, laid_out(len(labels), sheet, first), strict=True):
        x_mm, y_mm = sheet.corner_mm(place)
        box = f'x="{x_mm:g}" y="{y_mm:g}" width="{sheet.label_w_mm:g}" height="{sheet.label_h_mm:g}"'
        view = f'viewBox="0 0 {sheet.label_w_mm:g} {sheet.label_h_mm:g}"'
        drawn = _drawn(label, sheet.label_w_mm, sheet.label_h_mm)
        pages.setdefault(page, []).append(f"<svg {box} {view}>{_title(label)}{drawn}</svg>")
    return tuple(_page(drawn, sheet) for drawn in pages.values())


def _page(drawn: Iterable[str], sheet: Sheet) -> str:
    size = f'width="{sheet.width_mm:g}mm" height="{sheet.height_mm:g}mm"'
    view = f'viewBox="0 0 {sheet.width_mm:g} {sheet.height_mm:g}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet" {size} {view}>{"".join(drawn)}</svg>'


def sheet_html(labels: Sequence[Label], sheet: Sheet, first: int = 1) -> str:
    """Return an HTML page that prints a sheet of labels at their true size: set the printer to 100 %, no margins.

    Args:
        labels: in order.
        sheet: paper and label sizes.
        first: the first free place of the first page, counted from 1.

    Raises:
        JarsideError: the sheet has no such place.
    """
    pages = "\n".join(page_svgs(labels, sheet, first))
    size = f"{sheet.width_mm:g}mm {sheet.height_mm:g}mm"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>Labels</title>\n<style>\n'
        f"@page {{ size: {size}; margin: 0 }}\n"
        "html, body { margin: 0; padding: 0; background: #fff }\n"
        ".sheet { display: block; break-after: page }\n.sheet:last-of-type { break-after: auto }\n"
        "p { font: 4mm sans-serif; margin: 4mm }\n@media print { p { display: none } }\n"
        "</style>\n</head>\n<body>\n<p>Print at 100 %, without margins.</p>\n"
        f"{pages}\n</body>\n</html>\n"
    )
