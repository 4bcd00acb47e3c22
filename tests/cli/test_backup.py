"""`jarside backup` and `jarside restore`: every remedy that names them can be followed."""

from pathlib import Path

from station.store.set_up import keep_set_up
from tests.cli.shell import a_steady_log, jarside, refused


def a_data_folder(folder: Path) -> Path:
    data = folder / "data"
    jarside("import", a_steady_log(folder, 19.0, 24), data=data)
    jarside("jar", "pack", "comfrey", "--at", "2026-05-04T06:00Z", data=data)
    return data


def test_what_was_saved_comes_back_whole(tmp_path: Path) -> None:
    data, archive = a_data_folder(tmp_path), tmp_path / "saved.zip"
    assert jarside("backup", archive, "--json", data=data).json["files"] == ["notebook.db", "shelf.db"]
    assert "Restored" in jarside("restore", archive, data=tmp_path / "new").out
    assert jarside("jar", "list", "--json", data=tmp_path / "new").json[0]["id"] == "comfrey-1"
    assert jarside("export", tmp_path / "out.csv", "--json", data=tmp_path / "new").json["readings"] == 145


def test_what_was_set_on_the_pages_comes_back_and_is_in_use(tmp_path: Path) -> None:
    data, archive = a_data_folder(tmp_path), tmp_path / "saved.zip"
    keep_set_up(data, {"units": {"temperature": "F"}})
    said = jarside("backup", archive, data=data).out
    assert said == f"Saved notebook.db, shelf.db and set-up.toml to {archive}.\n"
    assert jarside("restore", archive, "--json", data=tmp_path / "new").json["files"][-1] == "set-up.toml"
    assert "66.2 °F" in jarside("survey", data=tmp_path / "new").out  # 19 °C
    refused(jarside("restore", archive, data=tmp_path / "new"), "notebook.db, shelf.db and set-up.toml", "--force")


def test_a_damaged_notebook_is_replaced_only_when_asked(tmp_path: Path) -> None:
    data, archive = a_data_folder(tmp_path), tmp_path / "saved.zip"
    jarside("backup", archive, data=data)
    (data / "notebook.db").write_bytes(b"soaked in juice " * 99)
    refused(jarside("jar", "list", data=data), "notebook.db", "jarside restore")
    refused(jarside("restore", archive, data=data), str(data))
    assert jarside("restore", archive, "--force", data=data).code == 0
    assert jarside("jar", "list", "--json", data=data).json[0]["plant"] == "comfrey"


def test_a_backup_is_neither_made_of_nothing_nor_over_another(tmp_path: Path) -> None:
    refused(jarside("backup", tmp_path / "saved.zip", data=tmp_path / "empty"), "nothing to save")
    data = a_data_folder(tmp_path)
    (tmp_path / "saved.zip").write_text("mine", encoding="utf-8")
    refused(jarside("backup", tmp_path / "saved.zip", data=data), "saved.zip")
    assert (tmp_path / "saved.zip").read_text(encoding="utf-8") == "mine"


def test_a_file_that_is_no_backup_is_refused(tmp_path: Path) -> None:
    (tmp_path / "holiday.zip").write_text("beach", encoding="utf-8")
    refused(jarside("restore", tmp_path / "holiday.zip", data=tmp_path / "data"), "holiday.zip", "not a backup")


def test_a_database_is_not_overwritten_by_its_own_backup_or_export(tmp_path: Path) -> None:
    data = a_data_folder(tmp_path)
    before = (data / "shelf.db").read_bytes()
    for command in ("backup", "export"):
        for words in ([], ["--force"]):
            refused(jarside(command, data / "shelf.db", *words, data=data), "shelf.db is a database", "another name")
    assert (data / "shelf.db").read_bytes() == before
