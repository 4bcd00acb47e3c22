"""Who is let in, in plain words."""

from dataclasses import dataclass

from dashboard.views.manner import Manner
from station.domain.moments import date_text, moment_text
from station.store.access_file import Session, Token

_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
_SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Windows", "Windows"),
    ("Mac OS X", "a Mac"),
    ("Linux", "Linux"),
)
"""Signs in the User-Agent header and what they mean; the first that is there counts, as most name others too."""


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One browser that is let in."""

    id: str
    browser: str
    seen: str
    made: str
    own: bool


@dataclass(frozen=True, slots=True)
class TokenLine:
    """One program that is let in."""

    name: str
    made: str
    used: str


def browser_words(user_agent: str) -> str:
    """Return what a browser calls itself, in plain words: "Firefox on Android"."""
    browser = next((name for sign, name in _BROWSERS if sign in user_agent), "A browser")
    system = next((name for sign, name in _SYSTEMS if sign in user_agent), "")
    return f"{browser} on {system}" if system else browser


def session_lines(sessions: tuple[Session, ...], own_id: str, manner: Manner) -> list[SessionLine]:
    """Return the sessions as they are listed, the reader's own first."""
    ordered = sorted(sessions, key=lambda session: session.id != own_id)
    return [
        SessionLine(
            session.id,
            session.browser,
            moment_text(session.seen_at, manner.zone),
            moment_text(session.made_at, manner.zone),
            session.id == own_id,
        )
        for session in ordered
    ]


def token_lines(tokens: tuple[Token, ...], manner: Manner) -> list[TokenLine]:
    """Return the tokens as they are listed."""
    return [
        TokenLine(
            token.name,
            date_text(token.made_at, manner.zone),
            "never" if token.used_at is None else date_text(token.used_at, manner.zone),
        )
        for token in tokens
    ]
