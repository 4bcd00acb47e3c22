"""The passphrase and the tokens, from the shell."""

import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from click.testing import CliRunner

from station.cli import cli
from station.store.access import Access
from station.store.access_file import NAME
from tests.cli.shell import jarside, refused

WORDS = "plum lantern gravel nine"


def typed(folder: Path, text: str, *words: str) -> tuple[int, str]:
    """Run a command with something on its standard input."""
    result = CliRunner().invoke(cli, ["--data", str(folder), *words], input=text, prog_name="jarside")
    return result.exit_code, result.output


def known(folder: Path, passphrase: str) -> bool:
    with Access.open(folder / NAME) as access:
        return access.matches(passphrase)


@pytest.mark.parametrize(("text", "words"), [(f"{WORDS}\n{WORDS}\n", ()), (f"{WORDS}\n", ("--stdin",))])
def test_the_passphrase_is_asked_twice_or_read_and_never_shown(
    tmp_path: Path, text: str, words: tuple[str, ...]
) -> None:
    code, said = typed(tmp_path, text, "passphrase", *words)

    assert code == 0, said
    assert WORDS not in said
    assert known(tmp_path, WORDS)


@pytest.mark.parametrize("text", [f"{WORDS}\n{WORDS}!\n", "short\nshort\n"])
def test_two_that_differ_or_one_that_is_too_short_change_nothing(tmp_path: Path, text: str) -> None:
    code, said = typed(tmp_path, text, "passphrase")

    assert code == 1
    assert "jarside: the" in said
    with Access.open(tmp_path / NAME) as access:
        assert not access.protected


def test_bytes_that_are_no_text_are_no_passphrase(tmp_path: Path) -> None:
    for line in (b"plum lantern \xff nine\n", b"plum lantern \xed\xa0\x80 nine\n"):
        result = CliRunner().invoke(cli, ["--data", str(tmp_path), "passphrase", "--stdin"], input=line)
        assert (result.exit_code, result.stdout) == (1, "")
        assert "no UTF-8 text" in result.stderr
    assert not known(tmp_path, "plum lantern \udcff nine")


def test_one_can_ask_whether_there_is_a_passphrase(tmp_path: Path) -> None:
    refused(jarside("passphrase", "--check", data=tmp_path), "no passphrase yet", "jarside passphrase")
    typed(tmp_path, f"{WORDS}\n", "passphrase", "--stdin")
    assert jarside("passphrase", "--check", data=tmp_path).out == "A passphrase is set.\n"


def test_an_empty_input_is_no_passphrase(tmp_path: Path) -> None:
    assert typed(tmp_path, "", "passphrase", "--stdin")[0] == 1


def test_a_token_is_printed_once_listed_and_ended(tmp_path: Path) -> None:
    made = jarside("token", "make", "shed meter", data=tmp_path)
    secret = made.out.strip()
    with Access.open(tmp_path / NAME) as access:
        assert access.token(secret) is not None
    assert "only once" in made.err

    listed = jarside("token", "list", data=tmp_path)
    assert listed.out.startswith("shed meter: made ")
    assert "last used never" in listed.out
    assert secret not in listed.out
    assert jarside("token", "list", "--json", data=tmp_path).json[0]["name"] == "shed meter"

    assert jarside("token", "end", "shed meter", data=tmp_path).code == 0
    assert "There are none" in jarside("token", "list", data=tmp_path).out


def test_a_program_gets_its_token_as_json(tmp_path: Path) -> None:
    made = jarside("token", "make", "meter", "--json", data=tmp_path).json

    with Access.open(tmp_path / NAME) as access:
        assert access.token(made["token"]) is not None


def test_an_unknown_token_and_a_name_twice_are_refused(tmp_path: Path) -> None:
    jarside("token", "make", "meter", data=tmp_path)

    refused(jarside("token", "make", "meter", data=tmp_path), "called meter", "end that one first")
    refused(jarside("token", "end", "other", data=tmp_path), "other", "jarside token list")


def a_dashboard(folder: Path) -> tuple[list[str], str]:
    """The command as a program of its own, and where its pages will be."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "station", "--data", str(folder), "dashboard", "--port", str(port)]
    return command, f"http://127.0.0.1:{port}/"


@pytest.mark.parametrize("words", ["", WORDS])
def test_the_dashboard_says_at_once_where_it_is_and_for_whom(tmp_path: Path, words: str) -> None:
    """The command itself: what it prints must come through a pipe while it runs."""
    if words:
        with Access.open(tmp_path / NAME) as access:
            access.set_passphrase(words)
    command, url = a_dashboard(tmp_path)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as dashboard:
        try:
            said = dashboard.stdout.readline() if dashboard.stdout else ""
        finally:
            dashboard.terminate()
    assert url in said
    assert ("behind a passphrase" in said) is bool(words)
    assert "Ctrl-C ends it" in said


def test_the_key_that_ends_the_dashboard_ends_it_without_a_complaint(tmp_path: Path) -> None:
    command, url = a_dashboard(tmp_path)
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as dashboard:
        try:
            assert dashboard.stdout is not None
            assert dashboard.stdout.readline()
            with urllib.request.urlopen(url, timeout=60.0) as answer:  # noqa: S310 - loopback; it hears signals now
                assert answer.status == 200
            dashboard.send_signal(signal.SIGINT)
            _, complaint = dashboard.communicate(timeout=30.0)
        finally:
            dashboard.kill()
    assert (dashboard.returncode, complaint) == (0, "")


def test_the_pages_do_not_listen_beyond_this_machine_without_a_passphrase(tmp_path: Path) -> None:
    refused(jarside("dashboard", "--host", "0.0.0.0", data=tmp_path), "0.0.0.0", "jarside passphrase")  # noqa: S104
