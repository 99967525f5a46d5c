"""Archives as others write them: every form that the text guide allows, and what is wrong with the rest."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read import archive_store
from dwc_pipeline.read.archive_file import read_archive

DWC = "http://rs.tdwg.org/dwc/terms/"
META = """<?xml version="1.0"?>
<archive xmlns="http://rs.tdwg.org/dwc/text/">
  <core rowType="http://rs.tdwg.org/dwc/terms/Event" {form}>
    <files>{files}</files>
    <id index="0"/>
    <field index="0" term="http://rs.tdwg.org/dwc/terms/eventID"/>
    <field index="1" term="http://rs.tdwg.org/dwc/terms/locality"{default}/>
  </core>
</archive>
"""
Reader = Callable[..., ArchiveContents]


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    """Write an archive with one or more core files and read it."""

    def write_and_read(*contents: bytes, form: str = "", default: str = "") -> ArchiveContents:
        names = [f"event{number}.txt" for number in range(len(contents))]
        for name, content in zip(names, contents, strict=True):
            (tmp_path / name).write_bytes(content)
        files = "".join(f"<location>{name}</location>" for name in names)
        (tmp_path / "meta.xml").write_text(META.format(form=form, files=files, default=default), encoding="utf-8")
        return read_archive(tmp_path, "archive")

    return write_and_read


def core_rows(contents: ArchiveContents) -> list[tuple[str, str]]:
    """Identifier and locality of each record."""
    assert contents.core is not None
    return list(zip(contents.core.ids, contents.core.text(DWC + "locality"), strict=True))


@pytest.mark.parametrize(
    ("form", "content"),
    [
        ("", b'a,"x, y"\nb,z\n'),
        ('ignoreHeaderLines="1"', b'eventID,locality\r\na,"x, y"\r\nb,z'),
        (r'fieldsTerminatedBy="\t" fieldsEnclosedBy="" linesTerminatedBy="\n"', b"a\tx, y\nb\tz\n"),
        (r'fieldsTerminatedBy="\t"', b'a\t"x, y"\n\nb\tz\n'),
        ('fieldsTerminatedBy=";" fieldsEnclosedBy="\'"', b"a;'x, y'\nb;z\n"),
        ('fieldsTerminatedBy="|" fieldsEnclosedBy=""', b"a|x, y\nb|z\n"),
        ('fieldsTerminatedBy="||" fieldsEnclosedBy=""', b"a||x, y\nb||z\n"),
        (r'fieldsEnclosedBy="" fieldsTerminatedBy="\t" linesTerminatedBy="@@"', b"a\tx, y@@b\tz@@"),
        ('encoding="UTF-16"', 'a,"x, y"\nb,z\n'.encode("utf-16")),
        (r'linesTerminatedBy="\r"', b'a,"x, y"\rb,z\r'),
        ("", b'\xef\xbb\xbfa,"x, y"\nb,z\n'),
    ],
)
def test_every_form_that_the_metafile_allows_gives_the_same_rows(read: Reader, form: str, content: bytes) -> None:
    contents = read(content, form=form)
    assert core_rows(contents) == [("a", "x, y"), ("b", "z")]
    assert contents.problems.empty


def test_quotes_and_line_breaks_inside_a_value_are_kept(read: Reader) -> None:
    contents = read(b'a,"say ""x""\ntwice"\nb,z\n')
    assert core_rows(contents)[0] == ("a", 'say "x"\ntwice')
    assert contents.core is not None
    assert contents.core.place(2) == ("event0.txt", 3)


def test_rows_may_be_spread_over_several_files_each_with_its_header(read: Reader) -> None:
    contents = read(b"eventID,locality\na,x\n", b"eventID,locality\nb,y\n", form='ignoreHeaderLines="1"')
    assert core_rows(contents) == [("a", "x"), ("b", "y")]
    assert contents.core is not None
    assert contents.core.place(2) == ("event1.txt", 2)


def test_a_default_fills_empty_cells_and_a_constant_fills_all_rows(read: Reader) -> None:
    constant = '/><field term="http://rs.tdwg.org/dwc/terms/country" default="Atlantis"'
    contents = read(b"a,\nb,z\n", default=f' default="unknown"{constant}')
    assert core_rows(contents) == [("a", "unknown"), ("b", "z")]
    assert contents.core is not None
    assert list(contents.core.text(DWC + "country")) == ["Atlantis", "Atlantis"]


@pytest.mark.parametrize(
    ("declared", "content", "locality", "is_flagged"),
    [
        ("UTF-8", "Härjö".encode(), "Härjö", False),
        ("windows-1252", "Härjö".encode("cp1252"), "Härjö", False),
        ("UTF-8", "Härjö".encode("cp1252"), "Härjö", True),
        ("UTF-8", "Hä".encode() + "rjö".encode("cp1252"), "Härjö", True),
        ("windows-1252", "Härjö".encode(), "Härjö", True),
        ("ISO-8859-1", "Härjö".encode(), "Härjö", True),
        ("US-ASCII", "Härjö".encode(), "Härjö", True),
        ("ISO-8859-1", b"plain", "plain", False),
    ],
)
def test_a_wrong_encoding_is_read_rightly_and_reported(
    read: Reader, declared: str, content: bytes, locality: str, is_flagged: bool
) -> None:
    contents = read(b"a," + content + b"\n", form=f'encoding="{declared}"')
    assert core_rows(contents) == [("a", locality)]
    rules = ["archive-text-is-not-in-the-declared-encoding"] if is_flagged else []
    assert list(contents.problems["rule"]) == rules


def test_a_row_of_another_width_is_reported_with_its_line(read: Reader) -> None:
    contents = read(b"a,x\nb,y,z\nc\n")
    assert list(contents.problems["rule"].unique()) == ["archive-row-has-another-number-of-cells"]
    assert list(contents.problems["row"]) == [2, 3]
    assert core_rows(contents)[2] == ("c", "")


def test_an_unknown_encoding_is_reported(read: Reader) -> None:
    assert set(read(b"a,x\n", form='encoding="klingon"').problems["rule"]) == {"archive-file-form-is-unknown"}


def test_a_file_that_is_not_there_and_one_on_the_web_are_reported(tmp_path: Path) -> None:
    files = "<location>../outside.txt</location><location>https://example.org/e.txt</location>"
    (tmp_path / "archive").mkdir()
    (tmp_path / "outside.txt").write_text("secret,x\n")
    (tmp_path / "archive" / "meta.xml").write_text(META.format(form="", files=files, default=""))
    contents = read_archive(tmp_path / "archive")
    assert list(contents.problems["rule"]) == ["archive-file-is-not-there", "archive-file-is-on-the-web"]
    assert core_rows(contents) == []


@pytest.mark.parametrize("prefix", ["", "dataset-2031/"])
def test_a_zip_file_is_read_without_unpacking_also_from_a_single_folder(tmp_path: Path, prefix: str) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        meta = META.format(form="", files="<location>event.txt</location>", default="")
        archive.writestr(f"{prefix}meta.xml", meta.replace("<archive ", '<archive metadata="eml.xml" '))
        archive.writestr(f"{prefix}event.txt", "a,x\n")
        archive.writestr(f"{prefix}eml.xml", "<eml/>")
        archive.writestr("../evil.txt", "x")
    contents = read_archive(tmp_path / "a.zip")
    assert core_rows(contents) == [("a", "x")]
    assert contents.metadata == b"<eml/>"
    assert "../evil.txt" not in contents.members


def test_text_files_without_metafile_are_read_by_their_headers(tmp_path: Path) -> None:
    (tmp_path / "event.txt").write_text("eventID\tlocality\na\tx\n")
    (tmp_path / "occurrence.txt").write_text("occurrenceID\teventID\tdwc:scientificName\no\ta\tAnura\n")
    (tmp_path / "notes.txt").write_text("nothing of the kind\n")
    contents = read_archive(tmp_path)
    assert list(contents.problems["rule"]) == ["archive-has-no-metafile"]
    assert core_rows(contents) == [("a", "x")]
    (occurrence,) = contents.extensions
    assert list(occurrence.ids) == ["a"]
    assert list(occurrence.text(DWC + "scientificName")) == ["Anura"]


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("meta.xml", b"<archive", "not well-formed"),
        (
            "meta.xml",
            b'<!DOCTYPE a [<!ENTITY x SYSTEM "/etc/hostname">]><archive>&x;</archive>',
            "document type|Entity",
        ),
        ("meta.xml", b"", "not well-formed"),
        ("readme.txt", b"nothing here", "no Darwin Core archive"),
    ],
)
def test_what_cannot_be_read_at_all_stops_with_a_sentence(
    tmp_path: Path, name: str, content: bytes, message: str
) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(UnreadableFile, match=message):
        read_archive(tmp_path)


def test_a_missing_archive_and_a_damaged_one_stop_with_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="no such file"):
        read_archive(tmp_path / "nowhere.zip")
    (tmp_path / "cut.zip").write_bytes(b"PK\x05\x06" + b"\xff" * 18)
    with pytest.raises(UnreadableFile, match="damaged"):
        read_archive(tmp_path / "cut.zip")


def test_a_zip_file_made_to_fill_the_memory_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive_store, "SMALL_ANYWAY", 1_000_000)
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("meta.xml", b" " * 5_000_000)
    with pytest.raises(UnreadableFile, match="fill the memory"):
        read_archive(tmp_path / "a.zip")


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rows=st.lists(st.tuples(*[st.text("ab \"'\n\r\t,;\\N#é\0", max_size=5)] * 2), min_size=1, max_size=5),
    quoting=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    line_end=st.sampled_from(["\n", "\r\n"]),
)
def test_what_a_standard_writer_wrote_is_read_as_it_was(
    read: Reader, rows: list[tuple[str, str]], quoting: Any, line_end: str
) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=quoting, lineterminator=line_end)
    for row in rows:
        # a carriage return alone is not always quoted by the writer of Python
        writer.writerow([cell.replace("\r", " ") if quoting == csv.QUOTE_MINIMAL else cell for cell in row])
    contents = read(text.getvalue().encode())
    plain = quoting == csv.QUOTE_MINIMAL
    assert core_rows(contents) == [tuple(cell.replace("\r", " ") if plain else cell for cell in row) for row in rows]
    assert contents.problems.empty


def test_columns_that_no_field_names_are_passed_over(read: Reader) -> None:
    contents = read(b"a,x,much,more\n")
    assert contents.core is not None
    assert contents.core.width == 4
    assert contents.core.rows.shape == (1, 2)
    assert isinstance(contents.core.rows, pd.DataFrame)
