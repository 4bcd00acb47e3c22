"""Passphrases: what may be one, and the slow hash in which alone it is kept (Argon2id, RFC 9106)."""

import unicodedata
from threading import Lock

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

from station.errors import JarsideError

SHORTEST, LONGEST = 10, 200
"""Characters. Ten of a phrase that nobody else uses outlast the slow-down on wrong attempts (own choice)."""
HASHER = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
"""The second choice of RFC 9106, section 4, for machines with little memory: 64 MiB, three passes, four lanes."""


class AccessError(JarsideError):
    """A passphrase, a session or a token cannot be taken as it is."""


_working = Lock()
"""One hash at a time: a hundred guesses at once take the memory of one."""


def plain(passphrase: str) -> str:
    """Return a passphrase as it is compared: composed (RFC 8265 uses NFC), without the spaces phones put around it."""
    return unicodedata.normalize("NFC", passphrase).strip()


def checked(passphrase: str) -> str:
    """Return a new passphrase, made plain.

    Raises:
        AccessError: it is shorter than 10 or longer than 200 characters, or holds bytes that are no text.
    """
    text = plain(passphrase)
    if not _encodable(text):
        raise AccessError("the passphrase holds bytes that are no UTF-8 text", "Type it again, or give another.")
    if not SHORTEST <= len(text) <= LONGEST:
        raise AccessError(
            f"the passphrase has {len(text)} characters", f"Give one of {SHORTEST} to {LONGEST}: four words make one."
        )
    return text


def _encodable(text: str) -> bool:
    """Whether a text holds no halves of signs: what stands for bytes that could not be read as text."""
    return not any("\ud800" <= sign <= "\udfff" for sign in text)


def hash_of(passphrase: str, hasher: PasswordHasher = HASHER) -> str:
    """Return what is kept of a passphrase: its salted hash with the way it was made."""
    with _working:
        return hasher.hash(passphrase)


def fits(passphrase: str, kept: str, hasher: PasswordHasher = HASHER) -> bool:
    """Return whether a passphrase is the one whose hash was kept."""
    text = plain(passphrase)[:LONGEST]
    if not _encodable(text):
        return False
    with _working:
        try:
            return hasher.verify(kept, text)
        except (VerificationError, InvalidHashError):
            return False
