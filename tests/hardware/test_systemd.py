"""The units and the installer: verified by systemd's own tools, laid down twice, taken away with the data kept."""

import configparser
import os
import re
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from hardware.rig import check_pins
from station.settings_file import load
from station.store.access import Access

SYSTEMD = Path(__file__).parents[2] / "systemd"
UNITS = ("jarside-watch.service", "jarside-dashboard.service")
ANALYZE = shutil.which("systemd-analyze")


@pytest.fixture(autouse=True)
def _the_tool_is_there_where_it_must_be(request: pytest.FixtureRequest) -> None:
    """Without systemd-analyze a test that needs it is skipped by name, except in CI, where that is a failure."""
    if "analyze" not in request.fixturenames or ANALYZE:
        return
    if os.environ.get("CI") == "true":
        pytest.fail("systemd-analyze is missing: apt-get install systemd")
    pytest.skip(f"needs systemd-analyze: {request.node.name}")


@pytest.fixture
def analyze() -> str:
    """The path of systemd-analyze."""
    return ANALYZE or ""


def run(*words: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(word) for word in words], capture_output=True, text=True, check=False, env={**os.environ, **environment}
    )


def installed(root: Path, *options: str) -> str:
    result = run("bash", SYSTEMD / "install", "--root", root, *options)
    assert result.returncode == 0, result.stderr
    return result.stdout


def tree(root: Path) -> dict[str, tuple[int, bytes]]:
    """Every file and folder below a root, with its mode and what is in it."""
    return {
        str(path.relative_to(root)): (stat.S_IMODE(path.stat().st_mode), path.read_bytes() if path.is_file() else b"")
        for path in sorted(root.rglob("*"))
    }


def unit(name: str) -> dict[str, str]:
    parser = configparser.ConfigParser(strict=False, interpolation=None, delimiters=("=",))
    parser.optionxform = str  # type: ignore[assignment,method-assign]
    parser.read(SYSTEMD / name)
    return dict(parser["Unit"]) | dict(parser["Service"]) | dict(parser["Install"])


def test_the_units_are_verified_without_complaint(analyze: str, tmp_path: Path):
    installed(tmp_path)
    program = tmp_path / "opt/jarside/venv/bin/jarside"
    program.parent.mkdir(parents=True)
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    result = run(analyze, "verify", "--man=no", "--recursive-errors=no", f"--root={tmp_path}", *UNITS)
    assert (result.returncode, result.stdout, result.stderr) == (0, "", "")


@pytest.mark.parametrize("name", UNITS)
def test_the_units_are_hardened(analyze: str, name: str):
    result = run(analyze, "security", "--offline=true", "--threshold=20", "--no-pager", SYSTEMD / name)
    assert result.returncode == 0, result.stdout


def test_that_threshold_can_fail(analyze: str, tmp_path: Path):
    soft = tmp_path / "soft.service"
    soft.write_text("[Service]\nExecStart=/bin/true\n")
    assert run(analyze, "security", "--offline=true", "--threshold=20", "--no-pager", soft).returncode != 0


def test_only_the_station_reaches_pins_and_buses():
    watch, dashboard = (unit(name) for name in UNITS)
    assert watch["SupplementaryGroups"] == "gpio i2c spi"
    assert "SupplementaryGroups" not in dashboard
    assert dashboard["PrivateDevices"] == "yes"
    assert {watch["User"], dashboard["User"]} == {"jarside"}


@pytest.mark.parametrize("name", UNITS)
def test_a_unit_starts_again_for_ever(name: str):
    settings = unit(name)
    assert settings["Restart"] == "always"
    assert settings["RestartSec"] == "5"
    assert settings["StartLimitIntervalSec"] == "0"


def test_the_station_has_a_watchdog_and_never_waits_for_the_networks_time():
    watch = unit("jarside-watch.service")
    assert watch["Type"] == "notify"
    assert int(watch["WatchdogSec"]) >= 2 * 60, "it is fed once a minute"
    assert "time-set.target" in watch["After"]
    assert "time-sync.target" not in (SYSTEMD / "jarside-watch.service").read_text()


def test_what_a_pi_needs_from_proc_is_not_hidden():
    """The boot id and the Pi's revision are in /proc; a refused call must not end the process."""
    watch = unit("jarside-watch.service")
    assert "ProcSubset" not in watch
    assert watch["SystemCallErrorNumber"] == "EPERM"


def test_installing_twice_gives_the_same_tree(tmp_path: Path):
    installed(tmp_path, *broker())
    before = tree(tmp_path)
    said = installed(tmp_path, *broker())
    assert tree(tmp_path) == before
    assert "kept /etc/jarside/jarside.toml" in said


def broker() -> tuple[str, ...]:
    """With the broker where mosquitto's own tool is there."""
    return ("--broker",) if shutil.which("mosquitto_passwd") else ()


@pytest.fixture
def protecting(tmp_path: Path) -> dict[str, str]:
    """What the installer needs below a root to make passphrase and token: the program, run from here."""
    program = tmp_path / "jarside"
    program.write_text(f'#!/bin/sh\ncd "{SYSTEMD.parent}" && exec "{sys.executable}" -m station "$@"\n')
    program.chmod(0o755)
    return {"JARSIDE_PROGRAM": str(program)}


def opens(root: Path, passphrase: str) -> bool:
    with Access.open(root / "var/lib/jarside/access.db") as access:
        return access.matches(passphrase)


def test_a_passphrase_is_made_at_random_shown_once_and_kept(tmp_path: Path, protecting: dict[str, str]):
    root = tmp_path / "root"
    said = run("bash", SYSTEMD / "install", "--root", root, **protecting).stdout
    made = re.search(r"shown only now: (.+)\n", said)
    assert made
    assert re.fullmatch(r"([a-z2-9]{5} ){3}[a-z2-9]{5}", made[1])
    assert opens(root, made[1])
    again = run("bash", SYSTEMD / "install", "--root", root, **protecting).stdout
    assert "kept the passphrase" in again
    assert "shown only now" not in again
    assert opens(root, made[1])


def test_a_passphrase_is_taken_from_the_environment_and_never_printed(tmp_path: Path, protecting: dict[str, str]):
    words = "plum lantern gravel nine"
    result = run("bash", SYSTEMD / "install", "--root", tmp_path / "root", JARSIDE_PASSPHRASE=words, **protecting)
    assert result.returncode == 0, result.stderr
    assert words not in result.stdout + result.stderr
    assert opens(tmp_path / "root", words)


def test_a_passphrase_that_cannot_be_ends_the_installation_with_the_reason(tmp_path: Path, protecting: dict[str, str]):
    protecting |= {"JARSIDE_PASSPHRASE": "short"}
    result = run("bash", SYSTEMD / "install", "--root", tmp_path / "root", **protecting)
    assert result.returncode == 1
    assert "the passphrase has 5 characters" in result.stderr


def test_a_token_is_made_once_for_the_station_and_root_and_again_when_it_was_lost(
    tmp_path: Path, protecting: dict[str, str]
):
    root = tmp_path / "root"
    path = root / "etc/jarside/token"
    run("bash", SYSTEMD / "install", "--root", root, **protecting)
    first = path.read_text().strip()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert "kept /etc/jarside/token" in run("bash", SYSTEMD / "install", "--root", root, **protecting).stdout
    path.unlink()
    run("bash", SYSTEMD / "install", "--root", root, **protecting)
    with Access.open(root / "var/lib/jarside/access.db") as access:
        assert access.token(first) is None
        assert access.token(path.read_text().strip()) is not None
        assert [token.name for token in access.tokens()] == ["installed"]


@pytest.mark.parametrize(
    ("words", "told"), [(["backup", "all.zip"], True), (["notebook", "export", "all.csv"], True), (["status"], False)]
)
def test_root_is_told_in_which_folder_files_are_read_and_written(tmp_path: Path, words: list[str], told: bool):
    home = tmp_path / "home of the station"
    home.mkdir()
    for name, does in (("id", "echo 0"), ("getent", "exit 2"), ("setpriv", 'pwd; echo "$@"')):
        (tmp_path / name).write_text(f"#!/bin/sh\n{does}\n", encoding="utf-8")
        (tmp_path / name).chmod(0o755)
    script = (SYSTEMD / "jarside").read_text().replace("cd /var/lib/jarside", f"cd '{home}'")

    said = run("sh", "-c", script, "jarside", *words, PATH=f"{tmp_path}:{os.environ['PATH']}")

    folder, command = said.stdout.splitlines()
    assert folder == str(home)
    assert command.endswith(" ".join(words))
    assert ("of /var/lib/jarside" in said.stderr) == told


@pytest.mark.parametrize("left", ["nothing", "half made", "of another Python", "whole"])
def test_an_environment_that_cannot_install_is_made_anew(tmp_path: Path, left: str) -> None:
    """Ended half way, `python3 -m venv` leaves a Python without pip; after an upgrade of the system, that of before."""
    venv = tmp_path / "my venv"
    if left != "nothing":
        run(sys.executable, "-m", "venv", *([] if left == "whole" else ["--without-pip"]), venv)
    if left == "of another Python":
        (venv / "lib" / "python3.2" / "site-packages" / "pip").mkdir(parents=True)
    if left == "whole":
        (venv / "mine").touch()
    function = next(line for line in (SYSTEMD / "install").read_text().splitlines() if line.startswith("make_venv()"))

    made = run("bash", "-c", f'{function}\nmake_venv "{venv}"')

    assert made.returncode == 0, made.stderr
    assert run(venv / "bin" / "python", "-m", "pip", "--version").returncode == 0
    assert (venv / "mine").exists() == (left == "whole")


def test_a_changed_setting_is_kept_and_a_changed_unit_follows_the_version(tmp_path: Path):
    installed(tmp_path)
    settings = tmp_path / "etc/jarside/jarside.toml"
    settings.write_text(settings.read_text() + "\n[limits]\ncold_c = 14\n")
    old_unit = tmp_path / "etc/systemd/system/jarside-watch.service"
    old_unit.write_text("[Unit]\nDescription=an earlier version\n")
    installed(tmp_path)
    assert load(settings).limits.cold_c == 14
    assert old_unit.read_text() == (SYSTEMD / "jarside-watch.service").read_text()


def test_the_settings_it_writes_are_valid_and_nobody_else_reads_them(tmp_path: Path):
    installed(tmp_path)
    path = tmp_path / "etc/jarside/jarside.toml"
    assert load(path).data == Path("/var/lib/jarside")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o750


def test_every_part_its_settings_suggest_can_be_switched_on_as_written(tmp_path: Path):
    text = (SYSTEMD / "jarside.toml").read_text()
    path = tmp_path / "all.toml"
    path.write_text(re.sub(r"^# (?=\[|[a-z_]+ = )", "", text, flags=re.MULTILINE))
    settings = load(path)
    assert len(settings.sensors) == 3
    assert [target.name for target in settings.notify] == ["phone"]
    assert settings.signal.button_pin is not None
    assert settings.place.lat_deg is not None
    check_pins(settings)


@pytest.mark.skipif(not shutil.which("mosquitto_passwd"), reason="needs mosquitto: the broker's password")
def test_the_broker_gets_a_password_once_and_other_users_stay(tmp_path: Path):
    installed(tmp_path, "--broker")
    password, store = tmp_path / "etc/jarside/mqtt-password", tmp_path / "etc/mosquitto/jarside.passwd"
    assert len(password.read_text()) == 48
    assert password.read_text() not in store.read_text()
    assert stat.S_IMODE(password.stat().st_mode) == stat.S_IMODE(store.stat().st_mode) == 0o640
    mqtt = load(tmp_path / "etc/jarside/jarside.toml").mqtt
    assert (mqtt.host, mqtt.username, mqtt.password_file) == (
        "127.0.0.1",
        "jarside",
        Path("/etc/jarside/mqtt-password"),
    )

    store.write_text(store.read_text() + "jarside-reader:hashed\n")
    first = password.read_text()
    password.unlink()
    installed(tmp_path, "--broker")
    assert password.read_text() != first
    assert {line.split(":")[0] for line in store.read_text().splitlines()} == {"jarside", "jarside-reader"}
    assert (tmp_path / "etc/jarside/jarside.toml").read_text().count("[mqtt]") == 1


def test_uninstalling_keeps_what_is_the_growers(tmp_path: Path):
    installed(tmp_path)
    recorded = tmp_path / "var/lib/jarside/notebook.db"
    recorded.parent.mkdir(parents=True)
    recorded.write_text("jars")
    (tmp_path / "opt/jarside/venv").mkdir(parents=True)
    result = run("bash", SYSTEMD / "uninstall", "--root", tmp_path)
    assert result.returncode == 0, result.stderr
    left = {name for name in tree(tmp_path) if (tmp_path / name).is_file()}
    assert left == {"etc/jarside/jarside.toml", "var/lib/jarside/notebook.db"}
    assert run("bash", SYSTEMD / "uninstall", "--root", tmp_path).returncode == 0


@pytest.mark.parametrize("script", ["install", "uninstall"])
@pytest.mark.parametrize("words", [["--what"], ["--root"]])
def test_wrong_use_ends_with_2_in_one_line(script: str, words: list[str]):
    result = run("bash", SYSTEMD / script, *words)
    assert (result.returncode, result.stderr.count("\n")) == (2, 1)


def test_a_system_that_lacks_something_is_told_all_of_it_and_nothing_is_changed(tmp_path: Path):
    """Here with a path on which nothing but the shell's basics is found, as on a machine without systemd."""
    for tool in ("bash", "dirname", "id", "df", "tail", "tr", "grep", "getent"):
        found = shutil.which(tool)
        assert found
        (tmp_path / tool).symlink_to(found)
    result = run("bash", SYSTEMD / "install", PATH=str(tmp_path))
    assert result.returncode == 1
    assert result.stderr.startswith("install: ")
    assert result.stderr.endswith("missing: nothing was changed.\n")
    for word in ("systemd", "Python 3.11 to 3.13", "sudo apt-get install python3-venv"):
        assert word in result.stdout
