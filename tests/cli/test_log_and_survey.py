"""`jarside export`, `import` and `survey`: the log out, in, and summed up."""

from pathlib import Path

import pytest

from tests.cli.shell import a_log, a_steady_log, jarside, refused


def test_a_log_that_is_imported_comes_out_as_it_went_in(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 19.25, 24)
    said = jarside("import", log, "--json", data=tmp_path / "data").json
    assert (said["added"], said["known"], said["rejected"]) == (145, 0, 0)
    out = tmp_path / "out.csv"
    assert jarside("export", out, "--json", data=tmp_path / "data").json["readings"] == 145
    rows = out.read_text(encoding="utf-8").splitlines()
    assert rows[0] == "time,temp_c,rh_pct,light_lx"
    assert rows[1].startswith("2026-05-04T06:00:00")
    assert [float(row.split(",")[1]) for row in rows[1:]] == [19.25] * 145
    assert all(row.endswith(",") for row in rows[1:])


def test_importing_twice_adds_nothing(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 19.0, 12)
    jarside("import", log, data=tmp_path / "data")
    said = jarside("import", log, "--json", data=tmp_path / "data").json
    assert (said["added"], said["known"]) == (0, 73)


def test_a_bad_row_imports_nothing_at_all(tmp_path: Path) -> None:
    good = [f"2026-05-04T06:{minute:02d}:00Z,20,50," for minute in range(30)]
    log = a_log(tmp_path, *good, "2026-05-04T07:00:00Z,400,50,")
    refused(jarside("import", log, data=tmp_path / "data"), "log.csv", "line 32", "400")
    said = jarside("import", a_log(tmp_path, *good, name="good.csv"), "--json", data=tmp_path / "data").json
    assert said["known"] == 0


def test_an_export_without_a_log_is_refused(tmp_path: Path) -> None:
    refused(jarside("export", tmp_path / "out.csv", data=tmp_path / "data"), "shelf.db", "jarside watch")
    assert not (tmp_path / "out.csv").exists()


def test_an_export_overwrites_only_when_asked(tmp_path: Path) -> None:
    jarside("import", a_steady_log(tmp_path, 19.0, 12), data=tmp_path / "data")
    out = tmp_path / "out.csv"
    out.write_text("mine", encoding="utf-8")
    refused(jarside("export", out, data=tmp_path / "data"), "out.csv", "--force")
    assert out.read_text(encoding="utf-8") == "mine"
    assert jarside("export", out, "--force", "--json", data=tmp_path / "data").json["readings"] == 73


def test_two_spots_stand_side_by_side(tmp_path: Path) -> None:
    kitchen = a_steady_log(tmp_path, 20.0, 48, name="kitchen.csv")
    scullery = a_steady_log(tmp_path, 11.0, 48, name="scullery.csv")
    out = jarside("survey", kitchen, scullery).out
    assert "kitchen: A good spot" in out
    assert "scullery: Not a good spot: it is too cold" in out
    spots = jarside("survey", kitchen, scullery, "--json").json
    assert spots[0]["warm_days_a_day"] == pytest.approx(1.0)
    assert spots[1]["hours"]["cold"] == pytest.approx(48.0, abs=0.7)


def test_a_survey_of_nothing_is_refused(tmp_path: Path) -> None:
    refused(jarside("survey", data=tmp_path / "data"), "shelf.db")
    refused(jarside("survey", tmp_path / "nowhere.csv"), "nowhere.csv")
