"""Comma-separated text and zip files with the same bytes every time."""

from __future__ import annotations

import csv
import io
import zipfile
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.write import zip_bytes
from dwc_pipeline.write.tables import table_bytes, write_table
from dwc_pipeline.write.zip_bytes import write_zip

CELLS = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12)


@given(rows=st.lists(st.tuples(CELLS, CELLS), max_size=8))
def test_any_text_comes_back_through_the_standard_reader(rows: list[tuple[str, str]]) -> None:
    frame = pd.DataFrame(rows, columns=["a", "b"], dtype=object)
    written = b"".join(table_bytes(frame, ["a", "b"])).decode()
    assert [tuple(row) for row in csv.reader(io.StringIO(written, newline=""))] == [("a", "b"), *rows]


@given(cells=st.lists(CELLS, max_size=6))
def test_a_table_of_one_column_keeps_its_empty_cells(cells: list[str]) -> None:
    written = b"".join(table_bytes(pd.DataFrame({"a": cells}, dtype=object), ["a"])).decode()
    assert [row for (row,) in csv.reader(io.StringIO(written, newline=""))] == ["a", *cells]


def test_only_cells_that_need_quotes_have_them_and_lines_end_with_a_line_feed(tmp_path: Path) -> None:
    frame = pd.DataFrame({"a": ["plain", 'say "x"', "1,5"], "b": ["", "x\ry", "z"]}, dtype=object)
    path = write_table(frame, tmp_path / "t.csv", ["b", "a"])
    assert path.read_bytes() == b'b,a\n,plain\n"x\ry","say ""x"""\nz,"1,5"\n'


def test_missing_values_become_empty_cells_in_both_kinds_of_text_column() -> None:
    frame = pd.DataFrame({"a": pd.Series(["x", None], dtype="str"), "b": pd.Series([None, "y"], dtype=object)})
    assert b"".join(table_bytes(frame, ["a", "b"])) == b"a,b\nx,\n,y\n"


def test_a_number_is_refused_because_its_written_form_is_decided_elsewhere() -> None:
    with pytest.raises(TypeError, match="column a holds"):
        b"".join(table_bytes(pd.DataFrame({"a": [1.0]}), ["a"]))


def test_blocks_of_rows_join_without_a_seam(monkeypatch: pytest.MonkeyPatch) -> None:
    frame = pd.DataFrame({"a": [str(number) for number in range(7)]}, dtype=object)
    whole = b"".join(table_bytes(frame, ["a"]))
    monkeypatch.setattr("dwc_pipeline.write.tables.ROWS_AT_ONCE", 3)
    assert b"".join(table_bytes(frame, ["a"])) == whole


def test_a_zip_file_depends_on_its_content_alone(tmp_path: Path) -> None:
    one = write_zip(tmp_path / "one.zip", {"b.txt": [b"two ", b"pieces"], "a.txt": [b"x"]})
    two = write_zip(tmp_path / "two.zip", {"a.txt": [b"x"], "b.txt": [b"two pieces"]})
    assert one.read_bytes() == two.read_bytes()
    with zipfile.ZipFile(one) as archive:
        assert archive.namelist() == ["a.txt", "b.txt"]
        assert archive.testzip() is None
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_member_that_old_readers_could_not_open_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zip_bytes, "LARGEST_MEMBER", 5)
    with pytest.raises(OutputRefused, match="larger than 2 GiB"):
        write_zip(tmp_path / "one.zip", {"a": [b"abc", b"def"]})
    assert list(tmp_path.iterdir()) == []
