"""`jarside label`: labels to print."""

import re
from pathlib import Path

import click

from station.cli.frame import App, force_option, json_option, pass_app, print_json
from station.cli.words import Id, measures_of
from station.domain.addresses import bottle_page, jar_page, leads_elsewhere, page_address
from station.domain.bottling import Bottle
from station.domain.jars import Jar
from station.domain.label_sheets import PAPERS, Sheet
from station.domain.labels import Label
from station.domain.outlook import Outlook
from station.domain.preparations import Preparation
from station.errors import JarsideError


@click.command()
@click.argument("names", nargs=-1, required=True, type=Id("jar", "bottle"), metavar="JAR_OR_BOTTLE...")
@click.option("--out", type=click.Path(path_type=Path), help="The file to write; else it is printed.")
@click.option("--sheet", type=click.Choice(PAPERS), help="An HTML page to print on this paper; else one SVG.")
@click.option("--start", type=int, default=1, show_default=True, help="The first free place on the sheet.")
@click.option("--size", metavar="WxH", help="A label's width and height in mm, such as 63.5x38.1.")
@click.option("--margin", metavar="LEFTxTOP", help="The sheet's margins in mm; else the labels are centred.")
@click.option("--gap", metavar="XxY", default="0x0", show_default=True, help="Between the labels, in mm.")
@click.option("--copies", type=click.IntRange(1, 100), default=1, show_default=True, help="Of each label.")
@click.option("--url", help="The dashboard's address for the QR code, such as http://kitchen.local:8420.")
@force_option
@json_option
@pass_app
def label(
    app: App,
    names: tuple[str, ...],
    *,
    out: Path | None,
    sheet: str | None,
    start: int,
    size: str | None,
    margin: str | None,
    gap: str,
    copies: int,
    url: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Make printable labels: plant, ratio, dates, dilution, a warning, and a QR code to the page.

    \b
    Example: jarside label comfrey-1 > comfrey-1.svg
             jarside label comfrey-1 comfrey-1-a --sheet a4 --start 4 --out labels.html
    """
    from station.labels import SINGLE_MM, label_svg, sheet_html

    address = _address(app, url)
    labels = [one for one in _labels(app, names, address) for _ in range(copies)]
    if as_json:
        print_json([_label_json(one) for one in labels])
        _mind(address)
        return
    if sheet is None:
        if len(labels) > 1:
            raise JarsideError(f"{len(labels)} labels", "Say --sheet a4 or --sheet letter for more than one.")
        text = label_svg(labels[0], *(_pair(size, "size") if size else SINGLE_MM))
    else:
        text = sheet_html(labels, _sheet(sheet, size, margin, gap), start)
    _write(out, text, force=force)
    _mind(address)


def _labels(app: App, names: tuple[str, ...], address: str) -> list[Label]:
    from station.store.bottles import Bottles

    with app.notebook() as notebook:
        jars = {jar.id: jar for jar in notebook.jars()}
        bottles = {bottle.id: bottle for bottle in Bottles(notebook).bottles()}
    outlooks = {outlook.jar_id: outlook for outlook in app.shelf().outlooks()}
    found = []
    for name in names:
        whole = _chosen(name, tuple(jars), tuple(bottles))
        if whole in jars:
            found.append(_jar_label(app, jars[whole], outlooks.get(whole), address))
        else:
            bottle = bottles[whole]
            found.append(_bottle_label(app, bottle, jars.get(bottle.jar_id), address))
    return found


def _chosen(name: str, jars: tuple[str, ...], bottles: tuple[str, ...]) -> str:
    """Return the jar or bottle meant; a jar is not made ambiguous by its own bottles, whose names begin with its."""
    from station.store.ids import chosen

    ids = (*jars, *bottles)
    wanted = name.strip().lower()
    among = [one for one in jars if wanted and one.startswith(wanted)]
    if len(among) == 1 and all(one.startswith(among[0]) for one in ids if one.startswith(wanted)):
        return among[0]
    return chosen(wanted, ids, "jar or bottle", "jarside jar list --all, jarside bottle list --all")


def _jar_label(app: App, jar: Jar, outlook: Outlook | None, address: str) -> Label:
    from station.domain.labels import jar_label

    return jar_label(jar, outlook, jar_page(address, jar.id), app.zone, measures_of(app))


def _bottle_label(app: App, bottle: Bottle, jar: Jar | None, address: str) -> Label:
    from station.domain.labels import bottle_label

    preparation = jar.packing.preparation if jar else Preparation.FERMENT
    keeping = app.settings.keeping.keeping()
    return bottle_label(bottle, bottle_page(address, bottle.id), app.zone, measures_of(app), keeping, preparation)


def _address(app: App, url: str | None) -> str:
    """Return where the pages are: as said, else the first name by which others may ask for them."""
    if url:
        if not url.startswith(("http://", "https://")) or any(sign.isspace() for sign in url):
            raise JarsideError(f"{url!r} is not an address", "Write it as http://kitchen.local:8420.")
        return url.rstrip("/")
    settings = app.settings.dashboard
    return page_address(settings.allowed_hosts, settings.port)


def _mind(address: str) -> None:
    if not leads_elsewhere(address):
        click.echo(
            "The QR code opens on this machine only. For a phone: --url http://NAME:PORT, or this machine's name in "
            "allowed_hosts under [dashboard] in the settings.",
            err=True,
        )


def _label_json(one: Label) -> dict[str, object]:
    return {"id": one.id, "title": one.title, "lines": list(one.lines), "warning": one.warning, "url": one.url}


def _sheet(name: str, size: str | None, margin: str | None, gap: str) -> Sheet:
    from station.domain.label_sheets import paper

    return paper(
        name,
        _pair(size, "size") if size else None,
        _pair(margin, "margin") if margin else None,
        _pair(gap, "gap"),
    )


def _pair(text: str, what: str) -> tuple[float, float]:
    match = re.fullmatch(r"(\d{1,4}(?:\.\d+)?)\s*[x×]\s*(\d{1,4}(?:\.\d+)?)", text.strip().lower())
    if match is None:
        raise JarsideError(f"--{what} {text!r} cannot be read", "Write millimetres such as 63.5x38.1.")
    return float(match[1]), float(match[2])


def _write(out: Path | None, text: str, *, force: bool) -> None:
    from station.store.writing_aside import written_aside

    if out is None:
        click.echo(text, nl=False)
        return
    with written_aside(out, overwrite=force) as aside:
        aside.write_text(text, encoding="utf-8")
    click.echo(f"Wrote {out}. Print it at 100 %, without margins.")
