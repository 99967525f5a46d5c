"""An archive read in blocks gives the same as the whole, whatever the size of a block."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from archive_in_memory import TODAY
from hypothesis import given
from hypothesis import strategies as st

from dwc_pipeline import archive_check
from dwc_pipeline.archive_check import Gathered, check_archive_file, check_at_once, quiet
from dwc_pipeline.check.part_block import coded
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.kept_column import KeptTexts
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.read.archive_parts import Blocks
from dwc_pipeline.read.archive_rows import RecordsDiffer

DWC = "http://rs.tdwg.org/dwc/terms/"
META = f"""<archive xmlns="http://rs.tdwg.org/dwc/text/">
  <core rowType="{DWC}Event" ignoreHeaderLines="1"><files><location>a.csv</location><location>b.csv</location></files>
    <id index="0"/><field index="0" term="{DWC}eventID"/><field index="1" term="{DWC}eventDate"/>
    <field index="2" term="{DWC}habitat"/><field term="{DWC}countryCode" default="US"/></core>
  <extension rowType="{DWC}Occurrence" ignoreHeaderLines="1"><files><location>o.csv</location></files>
    <coreid index="0"/><field index="1" term="{DWC}occurrenceID"/><field index="2" term="{DWC}individualCount"/>
  </extension>
</archive>"""
FILES = {
    "meta.xml": META,
    "a.csv": "eventID,eventDate,habitat\ne1,2025-05-06,sand\ne2,2025-05-32,sand\ne3,2025-05-08,sage\n",
    "b.csv": 'eventID,eventDate,habitat\ne4,2025-05-09,"two\nlines"\ne5,x,sage\ne1,2025-05-06,sand\n',
    "o.csv": "eventID,occurrenceID,individualCount\n"
    + "".join(f"e{n % 7},o{n},{n % 3 or 'few'}\n" for n in range(20)),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8", newline="")
    return tmp_path


def in_blocks(folder: Path, size: int) -> tuple[ArchiveContents, list[ArchivePart]]:
    """The archive read in blocks, with what the check keeps of it, and the blocks."""
    blocks: list[ArchivePart] = []
    gathered = Gathered(TODAY, None, quiet)

    def take(block: ArchivePart) -> None:
        blocks.append(block)
        gathered.take(block)

    return read_archive(folder, "archive", Blocks(take, gathered.done_in_blocks, size)), blocks


@pytest.mark.parametrize("size", [1, 2, 3, 1000])
def test_blocks_hold_every_row_once_with_its_file_and_line(folder: Path, size: int) -> None:
    kept, blocks = in_blocks(folder, size)
    whole = read_archive(folder, "archive")
    for part, kept_part in zip(whole.parts, kept.parts, strict=True):
        own = [block for block in blocks if block.row_type == part.row_type]
        assert [block.place(record) for block in own for record in block.rows.index] == [
            part.place(record) for record in part.rows.index
        ]
        for term in part.rows.columns:
            assert [text for block in own for text in block.text(term)] == part.text(term).tolist()
        assert kept_part.lines.tolist() == part.lines.tolist()
        assert kept_part.firsts == part.firsts
        assert kept_part.count == part.count


@pytest.mark.parametrize("size", [1, 3, 1000])
def test_what_is_kept_gives_back_texts_and_keys(folder: Path, size: int) -> None:
    kept, _ = in_blocks(folder, size)
    for part, kept_part in zip(read_archive(folder, "archive").parts, kept.parts, strict=True):
        records = part.rows.index.tolist()[::-2]
        assert kept_part.ids_at(records) == part.ids_at(records)
        assert kept_part.id_keys().tolist() == part.id_keys().tolist()
        for term in kept_part.kept:
            assert kept_part.text(term).tolist() == part.text(term).tolist()
            assert kept_part.texts_at(term, records) == part.texts_at(term, records)
            assert kept_part.keys(term).tolist() == part.keys(term).tolist()
        assert DWC + "habitat" not in kept_part.kept


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=4), max_size=30), st.integers(1, 7))
def test_kept_texts_are_the_texts(texts: list[str], size: int) -> None:
    column = KeptTexts()
    for first in range(0, len(texts), size):
        column.add(*coded(np.array(texts[first : first + size], dtype=object)))
    assert column.texts().tolist() == texts
    assert column.texts_at(range(len(texts))) == texts
    keys = column.keys().tolist()
    assert [key == 0 for key in keys] == [text == "" for text in texts]
    assert len(set(keys)) == len(set(texts))


def test_the_report_is_the_same_in_blocks_and_at_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    at_once = check_at_once(folder, TODAY, None, quiet)
    monkeypatch.setattr(archive_check, "Blocks", lambda take, done: Blocks(take, done, 2))
    in_pieces = check_archive_file(folder, TODAY)
    assert in_pieces.findings.equals(at_once.findings)
    assert in_pieces.uses == at_once.uses
    assert in_pieces.quality.equals(at_once.quality)
    assert len(at_once.findings) > 3


def test_an_archive_that_cannot_be_read_in_blocks_is_read_at_once(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = check_archive_file(folder, TODAY)

    def differ(path: Path, name: str, blocks: Blocks | None = None) -> object:
        if blocks is not None:
            raise RecordsDiffer
        return read_archive(path, name)

    monkeypatch.setattr(archive_check, "read_archive", differ)
    assert check_archive_file(folder, TODAY).findings.equals(expected.findings)


def test_a_part_without_rows_stays_a_part(folder: Path) -> None:
    (folder / "o.csv").write_text("eventID,occurrenceID,individualCount\n", encoding="utf-8")
    kept, _ = in_blocks(folder, 1000)
    assert not kept.extensions[0].count
    assert kept.extensions[0].headers == (("eventID", "occurrenceID", "individualCount"),)
