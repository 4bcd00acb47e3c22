"""Log files: what is written comes back, and what cannot be used is named by file, line, value and reason."""

import io
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.domain.readings import Mark, Reading
from station.errors import LogFileError, StoreError
from station.store.log_files import BOOT_ID, LogReader, read_log, write_log, write_rows
from tests.builders import START, a_reading
from tests.store.worlds import after

HEADER = "time,temp_c,rh_pct,light_lx"
GOOD = "2026-05-04T06:00:00Z,17.43,36.87,120"


def a_file(folder: Path, text: str | bytes, name: str = "kitchen.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def a_log(folder: Path, *rows: str, header: str = HEADER, end: str = "\n") -> Path:
    return a_file(folder, end.join([header, *rows, ""]))


def minute_rows(count: int) -> list[str]:
    return [f"2026-05-04T06:{minute:02}:00Z,17.5,50.0,120.5" for minute in range(count)]


def refused(path: Path) -> LogFileError:
    with pytest.raises(LogFileError) as caught:
        list(read_log(path))
    return caught.value


class TestReading:
    def test_a_row_is_a_reading(self, tmp_path: Path) -> None:
        (reading,) = read_log(a_log(tmp_path, GOOD))
        assert reading == Reading(
            measured_at=START,
            boot_id=BOOT_ID,
            boot_s=1777874400.0,  # date -u -d 2026-05-04T06:00:00Z +%s
            temp_c=17.43,
            rh_pct=36.87,
            light_lx=120.0,
            good=1,
            missed=0,
            trusted=True,
            span_s=60.0,
            marks=Mark.IMPORTED,
        )
        assert reading.measured_at.tzinfo is UTC

    def test_an_empty_cell_is_not_measured(self, tmp_path: Path) -> None:
        rows = read_log(a_log(tmp_path, "2026-05-04T06:00:00Z,,50,", "2026-05-04T06:01:00Z,, ,"))
        assert [(one.temp_c, one.rh_pct, one.light_lx, one.good, one.missed) for one in rows] == [
            (None, 50.0, None, 1, 0),
            (None, None, None, 0, 1),
        ]

    @pytest.mark.parametrize(
        "time",
        ["2026-05-04T08:00:00+02:00", "2026-05-04T06:00:00Z", "2026-05-04 06:00:00+00:00", "2026-05-04T01:30-04:30"],
    )
    def test_any_offset_will_do(self, tmp_path: Path, time: str) -> None:
        (reading,) = read_log(a_log(tmp_path, f"{time},20,50,"))
        assert reading.measured_at == START

    def test_further_columns_are_ignored_and_the_order_is_free(self, tmp_path: Path) -> None:
        path = a_log(
            tmp_path, "kitchen,50,20,,2026-05-04T06:00:00Z,°", header="place,rh_pct, temp_c ,light_lx,time,note"
        )
        (reading,) = read_log(path)
        assert (reading.temp_c, reading.rh_pct, reading.measured_at) == (20.0, 50.0, START)

    @pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
    @pytest.mark.parametrize("mark", ["", "\ufeff"])
    def test_line_ends_and_byte_order_mark_do_not_matter(self, tmp_path: Path, end: str, mark: str) -> None:
        path = a_file(tmp_path, mark + end.join([HEADER, *minute_rows(3), ""]))
        assert [one.temp_c for one in read_log(path)] == [17.5] * 3

    def test_blank_lines_and_quotes_are_allowed(self, tmp_path: Path) -> None:
        path = a_log(tmp_path, "", '"2026-05-04T06:00:00Z","20","50",""', "", "")
        assert len(list(read_log(path))) == 1

    def test_a_header_alone_is_a_log_without_readings(self, tmp_path: Path) -> None:
        assert list(read_log(a_log(tmp_path))) == []

    def test_it_can_be_gone_through_again(self, tmp_path: Path) -> None:
        log = read_log(a_log(tmp_path, *minute_rows(5)))
        assert list(log) == list(log)


class TestCadence:
    def span_s(self, folder: Path, *seconds: float) -> float:
        times = [(START + timedelta(seconds=second)).isoformat() for second in seconds]
        return read_log(a_log(folder, *(f"{time},20,50," for time in times))).span_s

    def test_a_reading_stands_for_the_usual_step(self, tmp_path: Path) -> None:
        assert self.span_s(tmp_path, 0, 600, 1200, 9000, 9600) == 600.0

    def test_a_lone_row_stands_for_a_minute(self, tmp_path: Path) -> None:
        assert self.span_s(tmp_path, 0) == 60.0

    @pytest.mark.parametrize("step_s", [1.0, 10.0, 3600.0])
    def test_from_a_second_to_an_hour(self, tmp_path: Path, step_s: float) -> None:
        assert self.span_s(tmp_path, *(step_s * number for number in range(9))) == step_s

    @pytest.mark.parametrize("step_s", [0.5, 3601.0, 86_400.0])
    def test_other_steps_are_refused(self, tmp_path: Path, step_s: float) -> None:
        with pytest.raises(LogFileError, match=f"rows are {step_s:g} s apart") as caught:
            self.span_s(tmp_path, *(step_s * number for number in range(9)))
        assert "every second to every hour" in caught.value.remedy

    def test_rows_that_cannot_be_used_do_not_count(self, tmp_path: Path) -> None:
        path = a_log(tmp_path, "yesterday,1,2,3", "2026-05-04T06:00:00Z,20", *minute_rows(4))
        assert read_log(path, skip_bad=True).span_s == 60.0


BAD_ROWS = {
    "bad time": ("yesterday,20,50,", "time 'yesterday' is not an ISO 8601 time"),
    "no time": (",20,50,", "time '' is not an ISO 8601 time"),
    "day that does not exist": ("2026-02-30T06:00:00Z,20,50,", "time '2026-02-30T06:00:00Z' is not an ISO 8601 time"),
    "before the calendar begins": ("0001-01-01T00:00:00+05:00,20,50,", "is not an ISO 8601 time"),
    "before 1970": ("1970-01-01T00:00:00+02:00,20,50,", "time 1969-12-31T22:00:00Z is not within 1970 to 2247"),
    "two digits turned round": ("2620-05-04T06:30:00Z,20,50,", "time 2620-05-04T06:30:00Z is not within 1970 to 2247"),
    "naive time": ("2026-05-04T06:30:00,20,50,", "time '2026-05-04T06:30:00' has no offset and no Z"),
    "a date": ("2026-05-05,20,50,", "time '2026-05-05' has no offset and no Z"),
    "out of order": ("2026-05-04T05:59:00Z,20,50,", "time 2026-05-04T05:59:00Z comes after 2026-05-04T06:02:00Z"),
    "duplicate": ("2026-05-04T06:02:00Z,20,50,", "time 2026-05-04T06:02:00Z is there twice"),
    "duplicate by another offset": ("2026-05-04T08:02:00+02:00,20,50,", "time 2026-05-04T06:02:00Z is there twice"),
    "nan": ("2026-05-04T06:30:00Z,nan,50,", "temp_c 'nan' is not a number"),
    "infinity": ("2026-05-04T06:30:00Z,20,inf,", "rh_pct 'inf' is not a number"),
    "words": ("2026-05-04T06:30:00Z,warm,50,", "temp_c 'warm' is not a number"),
    "decimal comma, quoted": ('2026-05-04T06:30:00Z,"20,5",50,', "temp_c '20,5' is not a number"),
    "digits in groups": ("2026-05-04T06:30:00Z,2_0,50,", "temp_c '2_0' is not a number"),
    "400 °C": ("2026-05-04T06:30:00Z,400,50,", "temp_c 400 is outside -40 to 80 °C"),
    "a sensor's power-on value": ("2026-05-04T06:30:00Z,85,50,", "temp_c 85 is outside -40 to 80 °C"),
    "absolute zero": ("2026-05-04T06:30:00Z,-273.15,50,", "temp_c -273.15 is outside -40 to 80 °C"),
    "130 %": ("2026-05-04T06:30:00Z,20,130,", "rh_pct 130 is outside 0 to 100 %"),
    "negative humidity": ("2026-05-04T06:30:00Z,20,-0.1,", "rh_pct -0.1 is outside 0 to 100 %"),
    "negative light": ("2026-05-04T06:30:00Z,20,50,-1", "light_lx -1 is outside 0 to 200000 lx"),
    "too few cells": ("2026-05-04T06:30:00Z,20,50", "3 cells instead of 4"),
    "decimal comma": ("2026-05-04T06:30:00Z,20,5,50,", "5 cells instead of 4"),
}


@pytest.mark.parametrize(("row", "reason"), BAD_ROWS.values(), ids=BAD_ROWS.keys())
class TestBadRows:
    def path(self, folder: Path, row: str) -> Path:
        return a_log(folder, *minute_rows(3), row, "2026-05-04T07:00:00Z,21,51,9")

    def test_the_first_stops_with_file_line_and_reason(self, tmp_path: Path, row: str, reason: str) -> None:
        path = self.path(tmp_path, row)
        error = refused(path)
        assert error.what.startswith(f"{path} line 5: ")
        assert reason in error.what
        assert "--skip-bad" in error.remedy
        assert "\n" not in str(error)

    def test_or_is_counted_and_left_out(self, tmp_path: Path, row: str, reason: str) -> None:
        log = read_log(self.path(tmp_path, row), skip_bad=True)
        assert [one.temp_c for one in log] == [17.5, 17.5, 17.5, 21.0]
        assert log.rejected == 1
        assert reason in log.reasons[0]


def test_only_the_first_reasons_are_kept(tmp_path: Path) -> None:
    log = read_log(a_log(tmp_path, *minute_rows(2), *["tomorrow,1,2,3"] * 50), skip_bad=True)
    for _ in range(2):
        assert len(list(log)) == 2
        assert (log.rejected, len(log.reasons)) == (50, 5)


class TestBadFiles:
    @pytest.mark.parametrize(
        ("header", "reason"),
        [
            ("date,temp_c,rh_pct,light_lx", "has no time"),
            ("time,temperature,rh_pct,light_lx", "has no temp_c"),
            ("time;temp_c;rh_pct;light_lx", "has no time"),
            ("time,temp_c,rh_pct,light_lx,time", "has more than one time"),
            (GOOD, "has no time"),
            ("", "has no time"),
        ],
    )
    def test_wrong_header(self, tmp_path: Path, header: str, reason: str) -> None:
        path = a_log(tmp_path, GOOD, header=header)
        error = refused(path)
        assert error.what.startswith(f"{path} line 1: ")
        assert reason in error.what
        assert HEADER in error.remedy

    def test_empty(self, tmp_path: Path) -> None:
        error = refused(a_file(tmp_path, ""))
        assert error.what.endswith("kitchen.csv is empty")
        assert HEADER in error.remedy

    def test_missing(self, tmp_path: Path) -> None:
        assert "nowhere.csv cannot be read: No such file" in refused(tmp_path / "nowhere.csv").what

    def test_a_folder(self, tmp_path: Path) -> None:
        assert "cannot be read: Is a directory" in refused(tmp_path).what

    @pytest.mark.parametrize("skip_bad", [False, True])
    def test_not_utf_8(self, tmp_path: Path, *, skip_bad: bool) -> None:
        text = "\n".join([f"{HEADER},note", *(f"{row}," for row in minute_rows(59)), f"{GOOD},über"])
        path = a_file(tmp_path, text.encode("latin-1"))
        with pytest.raises(LogFileError, match="line 61: not UTF-8") as caught:
            list(read_log(path, skip_bad=skip_bad))
        assert "UTF-8" in caught.value.remedy

    def test_utf_16(self, tmp_path: Path) -> None:
        assert "line 1: not UTF-8" in refused(a_file(tmp_path, f"{HEADER}\n{GOOD}\n".encode("utf-16"))).what

    def test_not_csv(self, tmp_path: Path) -> None:
        path = a_log(tmp_path, *minute_rows(3), f'2026-05-04T06:30:00Z,20,50,"{"x" * 200_000}')
        assert "is not CSV: field larger than field limit" in refused(path).what

    def test_a_picture(self, tmp_path: Path) -> None:
        refused(a_file(tmp_path, b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"))


class TestCutOff:
    """A file that ends within its last line, as after a power cut or a copy that broke off."""

    def cut(self, folder: Path, row: str, left: int) -> Path:
        return a_file(folder, "\n".join([HEADER, *minute_rows(3), row[:left]]))

    ROW = "2026-05-04T06:30:00Z,20.1,50.0,100.5"

    @pytest.mark.parametrize("left", range(1, len(ROW)))
    def test_wherever_it_is_cut_it_is_noticed(self, tmp_path: Path, left: int) -> None:
        path = self.cut(tmp_path, self.ROW, left)
        error = refused(path)
        assert f"{path} line 5: the last line is cut off" in error.what
        log = read_log(path, skip_bad=True)
        assert len(list(log)) == 3
        assert log.rejected == 1

    def test_a_last_line_that_merely_has_no_line_break_is_fine(self, tmp_path: Path) -> None:
        assert len(list(read_log(self.cut(tmp_path, self.ROW, len(self.ROW))))) == 4

    def test_so_is_one_in_a_file_of_whole_numbers(self, tmp_path: Path) -> None:
        path = a_file(tmp_path, f"{HEADER}\n2026-05-04T06:00:00Z,20,50,120\n2026-05-04T06:01:00Z,20,50,9")
        assert len(list(read_log(path))) == 2

    def test_so_is_a_lone_row(self, tmp_path: Path) -> None:
        assert len(list(read_log(a_file(tmp_path, f"{HEADER}\n{GOOD}")))) == 1


class TestWriting:
    def test_the_file_is_what_people_expect(self, tmp_path: Path) -> None:
        path = tmp_path / "out.csv"
        readings = [a_reading(0, 17.43, rh_pct=None), a_reading(1.5, None, light_lx=None)]
        assert write_log(path, readings) == 2
        assert path.read_text() == f"{HEADER}\n2026-05-04T06:00:00Z,17.43,,120.0\n2026-05-04T06:01:30Z,,55.0,\n"

    def test_a_reading_that_goes_back_in_time_gets_no_row(self, tmp_path: Path) -> None:
        path = tmp_path / "out.csv"
        assert write_log(path, [a_reading(5), a_reading(5), a_reading(4), a_reading(6)]) == 2
        assert [one.measured_at for one in read_log(path)] == [after(5), after(6)]

    def test_a_file_that_is_there_is_not_overwritten_unasked(self, tmp_path: Path) -> None:
        path = a_file(tmp_path, "my notes")
        with pytest.raises(StoreError, match=r"kitchen\.csv is there already") as caught:
            write_log(path, [a_reading()])
        assert caught.value.remedy
        assert path.read_text() == "my notes"
        assert write_log(path, [a_reading()], overwrite=True) == 1
        assert path.read_text().startswith(HEADER)

    def test_nothing_half_written_is_left(self, tmp_path: Path) -> None:
        def breaking_off() -> Iterable[Reading]:
            yield a_reading()
            raise ZeroDivisionError

        with pytest.raises(ZeroDivisionError):
            write_log(tmp_path / "out.csv", breaking_off())
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.parametrize("place", ["nowhere", "file"])
    def test_a_place_that_cannot_be_written(self, tmp_path: Path, place: str) -> None:
        (tmp_path / "file").write_text("")
        with pytest.raises(StoreError, match="cannot be written") as caught:
            write_log(tmp_path / place / "out.csv", [a_reading()])
        assert caught.value.remedy

    def test_rows_go_to_any_stream(self) -> None:
        stream = io.StringIO(newline="")
        assert write_rows(stream, [a_reading()]) == 1
        assert stream.getvalue() == f"{HEADER}\n2026-05-04T06:00:00Z,20.0,55.0,120.0\n"


moments = st.lists(
    st.integers(0, 10**12).map(lambda us: datetime(2020, 1, 1, tzinfo=UTC) + timedelta(microseconds=us * 60)),
    unique=True,
).map(sorted)


def measured(least: float, most: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(least, most)


@settings(deadline=None)
@given(moments, st.data())
def test_a_round_trip_is_exact(times: list[datetime], data: st.DataObject) -> None:
    readings = [
        a_reading(
            measured_at=at,
            temp_c=data.draw(measured(-40, 80)),
            rh_pct=data.draw(measured(0, 100)),
            light_lx=data.draw(measured(0, 200_000)),
        )
        for at in times
    ]
    with TemporaryDirectory() as folder:
        path = Path(folder, "log.csv")
        assert write_log(path, readings) == len(readings)
        assert facts(any_cadence(path)) == facts(readings)


def any_cadence(path: Path) -> LogReader:
    """Readings at random moments have no cadence that would be accepted; the rows are what matters here."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("station.store.log_files.MOST_CADENCE_S", float("inf"))
        patch.setattr("station.store.log_files.LEAST_CADENCE_S", 0.0)
        return read_log(path)


def facts(readings: Iterable[Reading]) -> list[tuple[Any, ...]]:
    return [(one.measured_at, one.temp_c, one.rh_pct, one.light_lx) for one in readings]


@settings(deadline=None)
@given(st.text() | st.lists(st.sampled_from([HEADER, GOOD, ",", '"', "\n", "\r", "1", "Z", "\0"])).map("".join))
def test_whatever_a_file_holds_it_is_read_or_refused_in_plain_words(text: str) -> None:
    with TemporaryDirectory() as folder:
        path = a_file(Path(folder), text.encode("utf-8", "surrogatepass"))
        try:
            count = len(list(read_log(path, skip_bad=True)))
        except LogFileError as error:
            count, named = 0, str(path) in error.what and bool(error.remedy)
        else:
            named = True
    assert named
    assert count <= text.count("\n") + text.count("\r") + 1
