"""The floor of the pages: a bare FastAPI application with one Jinja template, as anyone would write it."""

from dataclasses import dataclass

from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from jinja2 import Environment

_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>{{ title }}</title></head>
<body><h1>{{ title }}</h1>
<table>{% for row in rows %}
<tr><th scope="row">{{ row.when }}</th>
<td>{{ row.temp }} (18.2 to 22.1)</td><td>{{ row.rh }}</td><td>{{ row.light }}</td></tr>
{%- endfor %}
</table></body></html>
"""


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table."""

    when: str
    temp: str
    rh: str
    light: str


def bare_app() -> FastAPI:
    """Return an application whose page `/N` has about N bytes."""
    template = Environment(autoescape=True).from_string(_PAGE)
    empty = len(template.render(title="A bare page", rows=[]))
    each = len(template.render(title="A bare page", rows=_rows(1))) - empty
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)

    @app.get("/{size}", response_class=HTMLResponse)
    def page(size: int) -> str:
        return template.render(title="A bare page", rows=_rows((size - empty) // each))

    return app


def _rows(count: int) -> list[Row]:
    return [Row(f"{number % 24:02}:00", f"{18 + number % 5}.5", "55", "120") for number in range(count)]
