"""The file of access: what it keeps, what it never keeps, and when a session is over."""

import stat
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.low_level import Type

from station.errors import StoreError
from station.store.access import MOST_SESSIONS, MOST_TOKENS, Access
from station.store.access_file import IDLE, LASTING, NAME
from station.store.backup import back_up, restore
from station.store.notebook import Notebook
from station.store.passphrases import HASHER, AccessError
from tests.builders import START

WORDS = "plum lantern gravel nine"
QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / NAME


def opened(path: Path) -> Access:
    return Access.open(path, QUICK)


def test_a_new_file_is_for_its_owner_alone_and_lets_everyone_in(path: Path) -> None:
    with opened(path) as access:
        assert not access.protected
        assert not access.matches("")
        assert access.sessions(START) == ()

    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_file_that_others_could_read_is_closed_to_them(path: Path) -> None:
    opened(path).close()
    path.chmod(0o644)
    opened(path).close()

    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_passphrase_is_known_again_after_a_restart(path: Path) -> None:
    with opened(path) as access:
        access.set_passphrase(WORDS)
    with opened(path) as access:
        assert access.protected
        assert access.matches(WORDS)
        assert access.matches(f" {WORDS}\n"), "phones put a space behind what they complete"
        assert not access.matches(WORDS.title())
        assert not access.matches("")


def test_an_accent_may_be_typed_in_one_sign_or_in_two(path: Path) -> None:
    """U+00E9 and U+0065 U+0301 are the same text in two forms (Unicode Standard Annex 15)."""
    with opened(path) as access:
        access.set_passphrase("caf\u00e9 au bord de mer")
        assert access.matches("cafe\u0301 au bord de mer")


@pytest.mark.parametrize("text", ["", "too short", "x" * 201, " " * 30])
def test_a_passphrase_that_is_too_short_or_too_long_is_refused(path: Path, text: str) -> None:
    with opened(path) as access:
        with pytest.raises(AccessError, match="characters"):
            access.set_passphrase(text)
        assert not access.protected


def test_the_first_passphrase_is_set_only_once(path: Path) -> None:
    with opened(path) as access:
        assert access.set_first_passphrase(WORDS)
        assert not access.set_first_passphrase("another one of them")
        assert access.matches(WORDS)


def test_passphrases_are_hashed_as_rfc_9106_says_for_small_machines() -> None:
    """RFC 9106, section 4, the second recommended option: Argon2id, t = 3, p = 4, m = 2^16 KiB."""
    found = extract_parameters(HASHER.hash(WORDS))

    assert (found.type, found.time_cost, found.parallelism, found.memory_cost) == (Type.ID, 3, 4, 65536)


def test_nothing_in_the_file_lets_its_reader_in(path: Path) -> None:
    with opened(path) as access:
        access.set_passphrase(WORDS)
        session, token = access.begin("Firefox on Linux", START), access.make_token("meter", START)
    kept = b"".join(one.read_bytes() for one in path.parent.iterdir())

    for secret in (WORDS, session, token):
        assert secret.encode() not in kept


def test_a_backup_and_its_restoring_leave_it_out(path: Path, tmp_path: Path) -> None:
    with opened(path) as access:
        access.set_passphrase(WORDS)
    Notebook.open(path.parent / "notebook.db").close()

    assert back_up(path.parent, tmp_path / "all.zip") == ("notebook.db",)
    (tmp_path / "other").mkdir()
    restore(tmp_path / "all.zip", tmp_path / "other")
    assert not (tmp_path / "other" / NAME).exists()


def test_a_session_is_known_by_its_secret_alone(path: Path) -> None:
    with opened(path) as access:
        secret = access.begin("Firefox on Linux", START)
        session = access.session(secret, START)

        assert session is not None
        assert session.browser == "Firefox on Linux"
        assert access.session_of(session.id, START) == session
        assert access.session(session.id, START) is None, "its name lets nobody in"
        assert access.session("", START) is None
        assert access.session("\udcff", START) is None
        assert access.begin("another", START) != secret


def test_a_session_ends_when_it_is_not_seen_and_at_the_latest_after_half_a_year(path: Path) -> None:
    with opened(path) as access:
        secret = access.begin("one", START)
        assert access.session(secret, START + IDLE) is not None
        assert access.session(secret, START + IDLE + HOUR) is None
        for days in range(20, 200, 20):
            see(access, secret, START + days * DAY)
        assert access.session(secret, START + LASTING) is not None
        assert access.session(secret, START + LASTING + HOUR) is None


def test_what_has_ended_is_forgotten(path: Path) -> None:
    with opened(path) as access:
        access.begin("old", START)
        later = START + LASTING + HOUR
        see(access, access.begin("new", later), later)

        assert [one.browser for one in access.sessions(START)] == ["new"]


def see(access: Access, secret: str, now_at: datetime) -> None:
    session = access.session(secret, now_at)
    if session is not None:
        access.seen(session, now_at)


def test_a_clock_that_was_behind_ends_no_session(path: Path) -> None:
    """A Pi begins in the past until the network tells it the time."""
    with opened(path) as access:
        secret = access.begin("one", START)

        assert access.session(secret, START - 90 * DAY) is not None


def test_one_session_ends_or_all_others(path: Path) -> None:
    with opened(path) as access:
        secrets = [access.begin(name, START) for name in ("phone", "desk", "kitchen")]
        phone, desk, kitchen = (access.session(secret, START) for secret in secrets)
        assert phone is not None
        assert desk is not None
        assert kitchen is not None

        access.end(phone.id)
        assert {one.browser for one in access.sessions(START)} == {"desk", "kitchen"}
        access.end_others(desk.id)
        assert [one.browser for one in access.sessions(START)] == ["desk"]


def test_a_new_passphrase_ends_every_session_but_the_one_that_set_it(path: Path) -> None:
    with opened(path) as access:
        mine, other = access.begin("mine", START), access.begin("other", START)
        access.set_passphrase(WORDS, keep=access.session(mine, START).id)  # type: ignore[union-attr]
        assert access.session(mine, START) is not None
        assert access.session(other, START) is None
        access.set_passphrase(WORDS)
        assert access.sessions(START) == ()


def test_sessions_do_not_pile_up(path: Path) -> None:
    with opened(path) as access:
        for number in range(MOST_SESSIONS + 5):
            secret = access.begin(f"{number}", START + number * HOUR)

        assert len(access.sessions(START)) == MOST_SESSIONS
        assert access.session(secret, START) is not None


def test_a_token_is_listed_used_and_ended_by_its_name(path: Path) -> None:
    with opened(path) as access:
        secret = access.make_token(" meter in the shed ", START)
        token = access.token(secret)
        assert token is not None
        assert (token.name, token.used_at) == ("meter in the shed", None)
        access.used(token, START + DAY)
        assert [one.used_at for one in access.tokens()] == [START + DAY]

        access.end_token("meter in the shed")
        assert access.token(secret) is None
        with pytest.raises(AccessError, match="no token called meter"):
            access.end_token("meter")


@pytest.mark.parametrize("name", ["", "  ", "x" * 41, "two\nlines", "meter"])
def test_a_token_needs_a_name_of_its_own(path: Path, name: str) -> None:
    with opened(path) as access:
        access.make_token("meter", START)
        with pytest.raises(AccessError):
            access.make_token(name, START)
        assert len(access.tokens()) == 1


def test_there_is_an_end_to_tokens(path: Path) -> None:
    with opened(path) as access:
        for number in range(MOST_TOKENS):
            access.make_token(f"{number}", START)
        with pytest.raises(AccessError, match=f"{MOST_TOKENS} tokens already"):
            access.make_token("one more", START)


def test_the_key_of_the_marks_outlives_a_restart_and_is_each_shelfs_own(path: Path, tmp_path: Path) -> None:
    with opened(path) as one, opened(path) as same:
        key = one.mark_key()
        assert same.mark_key() == key
    with opened(path) as again, opened(tmp_path / "other.db") as other:
        assert again.mark_key() == key
        assert len(key) == 32
        assert other.mark_key() != key


def test_another_kind_of_file_is_refused(path: Path) -> None:
    Notebook.open(path).close()

    with pytest.raises(StoreError, match="not a file of access"):
        opened(path)


def test_a_folder_that_is_not_there_is_named(path: Path) -> None:
    with pytest.raises(StoreError, match="nowhere"):
        opened(path.parent / "nowhere" / NAME)
