"""What goes wrong around the commands: settings, folders, files, ports. One line, exit 1, nothing half written."""

import errno
import json
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from station.cli import cli
from station.domain.readiness import LOG_SD_BOUNDS
from tests.cli.shell import a_steady_log, jarside, refused


@pytest.mark.parametrize(
    ("text", "fragments"),
    [
        ("[limits]\ncolder_c = 3", ["limits.colder_c", "cold_c"]),
        ('[limits]\ncold_c = "chilly"', ["limits.cold_c", "chilly"]),
        ("[place]\nlat_deg = 95\nlon_deg = 1", ["place.lat_deg", "95", "90"]),
        ("[place]\nlat_deg = 50", ["lon_deg"]),
        ('[place]\nzone = "Nowhere/Land"', ["place.zone", "Nowhere/Land", "IANA"]),
        ("[limits]\ncold_c = 30", ["cold_c", "hot_c"]),
        ("[strain]\nneed_warm_days = 400", ["strain.need_warm_days", "400"]),
        ("[strain]\nneed_log_sd = 0.05", ["strain.need_log_sd", "0.05", str(LOG_SD_BOUNDS[0])]),
        ('station = "kitchen\\n"', ["station", "kitchen"]),
        ('station = "Kitchen shelf"', ["station", "Kitchen shelf", "must be lower-case letters, digits and dashes"]),
        ('station = ""', ["station", "must not be empty"]),
        ('[quiet]\nfrom = "late"', ["quiet.from = 'late': must be a time of day such as 19:00:00"]),
        ('[units]\ntemperature = "K"', ["units.temperature = 'K': must be 'C' or 'F'"]),
        ("sensors = 5", ["sensors = 5: must be a list in square brackets"]),
        ('[[sensors]]\npart = "dht22"', ["sensors.0.name: is missing"]),
        ('[[sensors]]\nname = "a"\npart = "photoresistor"\nresistor_ohm = 2e6', ["must be 1000000 at most"]),
        ("this is not TOML", ["not valid TOML", "line 1"]),
        pytest.param(f"[limits]\ncold_c = {'9' * 5000}", ["not valid TOML", "4300 digits"], id="a number without end"),
        pytest.param(f"data = {'[' * 9999}", ["not valid TOML"], id="brackets without end"),
        ('[[sensors]]\nname = "a"\npart = "abacus"', ["sensors.0.part", "abacus", "dht22"]),
        (
            '[[sensors]]\nname = "a"\npart = "dht22"\n[[sensors]]\nname = "a"\npart = "dht11"',
            ["two sensors are called 'a'"],
        ),
    ],
)
def test_a_wrong_setting_is_named_with_file_key_and_what_is_allowed(
    tmp_path: Path, text: str, fragments: list[str]
) -> None:
    config = tmp_path / "jarside.toml"
    config.write_text(text, encoding="utf-8")
    refused(jarside("watch", "--check", config=config), str(config), *fragments)


def test_a_value_set_for_one_replay_that_is_no_value_is_refused(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 20.0, hours=1)
    for text in ("9" * 5000, "[" * 9999):
        refused(jarside("replay", log, "--set", f"limits.cold_c={text}"), "limits.cold_c")


def test_a_settings_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    refused(jarside("watch", "--check", config=tmp_path / "none.toml"), "none.toml", "jarside init")


def test_the_address_of_a_phone_that_is_not_understood_is_refused_without_showing_it(tmp_path: Path) -> None:
    pytest.importorskip("apprise")
    config = tmp_path / "jarside.toml"
    config.write_text('[[notify]]\nname = "phone"\naddress = "nonsense://wet-leaves"\n', encoding="utf-8")
    said = jarside("watch", "--check", config=config)
    refused(said, "The address of phone is not understood", "apprise")
    assert "wet-leaves" not in said.err
    config.write_text('[[notify]]\nname = "phone"\naddress = "json://127.0.0.1:9"\n', encoding="utf-8")
    assert "settings fine" in jarside("watch", "--check", config=config).out


def test_a_file_with_a_secret_that_everybody_can_read_is_warned_of(tmp_path: Path) -> None:
    pytest.importorskip("apprise")
    config, password = tmp_path / "jarside.toml", tmp_path / "password"
    password.write_text("wet-leaves", encoding="utf-8")
    broker = f'[mqtt]\nhost = "127.0.0.1"\nusername = "jarside"\npassword_file = "{password}"\n'
    config.write_text(f'{broker}[[notify]]\nname = "phone"\naddress = "json://127.0.0.1:9"\n', encoding="utf-8")
    warned = [
        f"{path} holds a secret, and every user of this machine can read it. Run: " for path in (config, password)
    ]
    for modes, expected in (((0o644, 0o644), warned), ((0o640, 0o644), warned[1:]), ((0o600, 0o640), [])):
        config.chmod(modes[0])
        password.chmod(modes[1])
        said = jarside("watch", "--check", config=config)
        assert (said.code, "settings fine" in said.out) == (0, True)
        assert [line.partition("chmod")[0] for line in said.err.splitlines()] == expected
    config.write_text("# no secret in it\n", encoding="utf-8")
    config.chmod(0o644)
    assert jarside("watch", "--check", config=config).err == ""


def test_the_file_that_init_writes_is_accepted_and_not_overwritten(tmp_path: Path) -> None:
    config = tmp_path / "deep" / "jarside.toml"
    assert "Wrote" in jarside("init", config).out
    assert "settings fine" in jarside("watch", "--check", config=config).out
    config.write_text("# mine\n", encoding="utf-8")
    refused(jarside("init", config), "jarside.toml", "--force")
    assert config.read_text(encoding="utf-8") == "# mine\n"


def test_a_settings_file_that_is_written_anew_is_still_read_by_its_owner_alone(tmp_path: Path) -> None:
    config = tmp_path / "jarside.toml"
    config.write_text("# with the password of a phone\n", encoding="utf-8")
    config.chmod(0o600)
    jarside("init", config, "--force")
    assert "[place]" in config.read_text(encoding="utf-8")
    assert config.stat().st_mode & 0o777 == 0o600


def test_a_settings_file_that_does_not_fit_on_the_disk_is_not_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, *_: object, **__: object) -> None:
        path.touch()
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_text", full)
    refused(jarside("init", tmp_path / "jarside.toml"), "jarside.toml", "No space left", "full")
    assert list(tmp_path.iterdir()) == []


def test_a_data_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    refused(jarside("jar", "list", data=tmp_path / "file" / "data"), "file", "--data")
    refused(jarside("jar", "list", data=tmp_path / "file"), "file")


def test_what_the_system_refuses_is_one_line_too(tmp_path: Path) -> None:
    nowhere = tmp_path / ("n" * 300)
    refused(jarside("status", data=nowhere), str(nowhere), "Check the name")
    jarside("jar", "pack", "comfrey", data=tmp_path)
    refused(jarside("label", "comfrey-1", "--url", f"http://{'n' * 3000}", data=tmp_path), "QR code", "--url")


@pytest.mark.parametrize(
    "words", [("jar", "pack", "com\udcfffrey"), ("token", "end", "\udcff"), ("export", "\udcff.csv")]
)
def test_bytes_that_are_no_text_are_refused(tmp_path: Path, words: tuple[str, ...]) -> None:
    said = jarside(*words, data=tmp_path)
    assert said.code == 2
    assert "is no UTF-8 text" in said.err
    assert list(tmp_path.iterdir()) == []


def test_a_terminal_that_does_not_know_a_sign_is_told_its_number(tmp_path: Path) -> None:
    jarside("jar", "pack", "comfrey", data=tmp_path)
    jarside("jar", "note", "comfrey-1", "half a 🌿 leaf", data=tmp_path)
    assert "half a \\U0001f33f leaf" in in_latin("--data", tmp_path, "jar", "show", "comfrey-1")
    shown = json.loads(in_latin("--data", tmp_path, "jar", "show", "comfrey-1", "--json"))
    assert shown["notes"][0]["text"] == "half a 🌿 leaf"


def in_latin(*words: str | Path) -> str:
    """Run a command on a terminal that knows the signs of Western Europe alone (ISO 8859-1)."""
    latin = {**os.environ, "PYTHONIOENCODING": "latin-1"}
    command = [sys.executable, "-m", "station", *map(str, words)]
    shown = subprocess.run(command, capture_output=True, text=True, encoding="latin-1", env=latin)
    assert (shown.returncode, shown.stderr) == (0, "")
    return shown.stdout


_ENDED_HALF_WAY = """
import os, signal
from station.cli import main
from station.store import writing_aside
writing_aside.make_durable = lambda path: os.kill(os.getpid(), signal.SIGTERM)
main()
"""


def test_a_command_that_is_told_to_end_leaves_nothing_behind(tmp_path: Path) -> None:
    jarside("jar", "pack", "comfrey", data=tmp_path)
    before = sorted(tmp_path.iterdir())
    words = ("--data", str(tmp_path), "notebook", "export", str(tmp_path / "all.json"))
    ended = subprocess.run([sys.executable, "-c", _ENDED_HALF_WAY, *words], capture_output=True, text=True)
    assert (ended.returncode, ended.stderr) == (-signal.SIGTERM, "")
    assert sorted(tmp_path.iterdir()) == before


def test_a_database_that_is_none_is_refused_and_left_alone(tmp_path: Path) -> None:
    notebook = tmp_path / "notebook.db"
    notebook.write_bytes(b"dear diary, " * 400)
    refused(jarside("jar", "list", data=tmp_path), "notebook.db", "not a database")
    assert notebook.read_bytes() == b"dear diary, " * 400


def test_a_port_in_use_is_refused(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        refused(jarside("dashboard", "--port", port, data=tmp_path), port)
        refused(jarside("demo", "--port", port), port)


def test_the_pages_are_not_served_beyond_this_machine_without_a_passphrase(tmp_path: Path) -> None:
    refused(jarside("dashboard", "--host", "0.0.0.0", data=tmp_path), "0.0.0.0")  # noqa: S104


def test_an_unknown_scenario_names_those_there_are() -> None:
    refused(jarside("demo", "--scenario", "spa"), "spa", "ordinary-kitchen", "heatwave-loft")


def test_every_command_can_be_loaded_and_explains_itself_with_an_example() -> None:
    for name in cli.list_commands(None):  # type: ignore[arg-type]
        said = jarside(name, "--help")
        assert said.code == 0
        command = cli.get_command(None, name)  # type: ignore[arg-type]
        assert command is not None
        assert hasattr(command, "commands") or "Example:" in said.out, name


def test_wrong_usage_is_exit_two() -> None:
    assert jarside("replay").code == 2
    assert jarside("knit").code == 2


@pytest.mark.parametrize(
    "words",
    [
        ("feed", "soak", "--minutes", "nan"),
        ("feed", "soak", "--most", "inf"),
        ("feed", "soak", "--most", "1e300"),
        ("demo", "--days", "nan"),
        ("backtest", "log.csv", "--true-need", "nan"),
    ],
)
def test_a_number_out_of_bounds_is_wrong_usage(words: tuple[str, ...]) -> None:
    said = jarside(*words)
    assert said.code == 2
    assert f"Invalid value for '{words[-2]}'" in said.err


def test_what_is_no_file_is_never_overwritten(tmp_path: Path) -> None:
    jarside("jar", "pack", "comfrey", data=tmp_path)
    pipe = tmp_path / "pipe.json"
    os.mkfifo(pipe)
    refused(jarside("notebook", "export", pipe, "--force", data=tmp_path), "pipe.json is no file", "another name")
    refused(jarside("init", tmp_path, "--force"), "is no file")
    assert pipe.is_fifo()


def test_times_in_an_error_are_those_of_the_users_zone(tmp_path: Path) -> None:
    """Half past eight in Adelaide in June is 23:00 of the day before in UTC (UTC+9:30, IANA tz database)."""
    config = tmp_path / "jarside.toml"
    config.write_text('[place]\nzone = "Australia/Adelaide"\n', encoding="utf-8")
    jarside("jar", "pack", "comfrey", "--at", "2026-06-02T08:30", data=tmp_path, config=config)
    said = jarside("jar", "strain", "comfrey-1", "--at", "2026-06-02T07:15", data=tmp_path, config=config)
    refused(said, "cannot be strained at 2026-06-02 07:15: it was packed at 2026-06-02 08:30")


def test_settings_that_cannot_be_read_are_explained_without_their_zone(tmp_path: Path) -> None:
    config = tmp_path / "jarside.toml"
    config.write_text('[place]\nzone = "Atlantis/Port"\n', encoding="utf-8")
    refused(jarside("jar", "list", data=tmp_path, config=config), "Atlantis/Port")
