"""Reading the pages as a person does: their words, without the markup."""

from html.parser import HTMLParser

from tests.dashboard.world import Shelf

EVIL = "<script>alert(1)</script><img src=x onerror=alert(1)> \"'&amp; {{ 7777 * 7777 }}"
"""What somebody may type that must stay text."""


class Words(HTMLParser):
    """The text of a page, and every tag with its attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.ids: list[str] = []
        self._words: list[str] = []
        self.feed(page)
        self.text = " ".join(" ".join(self._words).replace("\u00a0", " ").replace("\u2011", "-").split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.ids += [value for name, value in attrs if name == "id" and value]

    def handle_data(self, data: str) -> None:
        self._words.append(data)


def read(shelf: Shelf, path: str, status: int = 200) -> Words:
    """Open a page of a shelf, which must be answered with this status."""
    with shelf.client() as client:
        answer = client.get(path)
    assert answer.status_code == status, answer.text
    return Words(answer.text)
