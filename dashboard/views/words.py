"""Small turns of phrase that several pages share."""

from urllib.parse import quote


def place_in_path(*parts: str) -> str:
    """Return an address within these pages; the parts after the first are quoted."""
    first, *rest = parts
    return "/".join([first, *(quote(part, safe="") for part in rest)])
