"""An archive read in blocks gives the same as the whole, whatever the size of a block."""

from __future__ import annotations

from pathlib import Path

import pytest
from archive_in_memory import TODAY

from dwc_pipeline import archive_check
from dwc_pipeline.archive_check import check_archive_file
from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.read.archive_file import Blocks, read_archive
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


@pytest.mark.parametrize("size", [1, 2, 3, 1000])
def test_blocks_hold_every_row_once_with_its_file_and_line(folder: Path, size: int) -> None:
    blocks: list[ArchivePart] = []
    kept = read_archive(folder, "archive", Blocks(blocks.append, lambda term: term.endswith("eventDate"), size))
    whole = read_archive(folder, "archive")
    for part, kept_part in zip(whole.parts, kept.parts, strict=True):
        own = [block for block in blocks if block.row_type == part.row_type]
        assert [block.place(record) for block in own for record in block.rows.index] == [
            part.place(record) for record in part.rows.index
        ]
        for term in part.rows.columns:
            assert [text for block in own for text in block.text(term)] == part.text(term).tolist()
        assert kept_part.ids.tolist() == part.ids.tolist()
        assert kept_part.lines.tolist() == part.lines.tolist()
        assert kept_part.text(DWC + "eventDate").tolist() == part.text(DWC + "eventDate").tolist()
        assert DWC + "habitat" not in kept_part.rows


def test_the_report_is_the_same_in_blocks_and_at_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    at_once = check_archive_file(folder, TODAY)
    monkeypatch.setattr(archive_check, "Blocks", lambda take, keep: Blocks(take, keep, 2))
    in_blocks = check_archive_file(folder, TODAY)
    assert in_blocks.findings.equals(at_once.findings)
    assert in_blocks.uses == at_once.uses
    assert in_blocks.quality.equals(at_once.quality)
    assert len(at_once.findings) > 3


def test_an_archive_that_cannot_be_read_in_blocks_is_read_at_once(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = check_archive_file(folder, TODAY)

    def differ(path: Path, name: str, blocks: Blocks | None) -> object:
        if blocks is not None:
            raise RecordsDiffer
        return read_archive(path, name)

    monkeypatch.setattr(archive_check, "read_archive", differ)
    assert check_archive_file(folder, TODAY).findings.equals(expected.findings)


def test_a_part_without_rows_stays_a_part(folder: Path) -> None:
    (folder / "o.csv").write_text("eventID,occurrenceID,individualCount\n", encoding="utf-8")
    kept = read_archive(folder, "archive", Blocks(lambda block: None, lambda term: True))
    assert kept.extensions[0].rows.empty
    assert kept.extensions[0].headers == (("eventID", "occurrenceID", "individualCount"),)
