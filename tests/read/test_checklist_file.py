"""Reading a checklist from a file. Source: Darwin Core text guide (2023-09-13) for archives."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.checklist_file import read_checklist

META = """<archive xmlns="http://rs.tdwg.org/dwc/text/">
 <core encoding="UTF-8" fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="1"
  rowType="http://rs.tdwg.org/dwc/terms/Taxon"><files><location>taxon.txt</location></files><id index="0"/>
  <field index="1" term="http://rs.tdwg.org/dwc/terms/scientificName"/>
  <field default="Animalia" term="http://rs.tdwg.org/dwc/terms/kingdom"/></core>
 <extension encoding="UTF-8" fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" fieldsEnclosedBy=""
  ignoreHeaderLines="0" rowType="http://example.org/VernacularName"><files><location>names.txt</location></files>
  <coreid index="0"/><field index="1" term="http://rs.tdwg.org/dwc/terms/vernacularName"/></extension>
</archive>"""


@pytest.mark.parametrize(("separator", "encoding"), [(",", "utf-8"), ("\t", "utf-8-sig"), (";", "cp1252")])
def test_a_text_file_is_read_in_any_usual_form(tmp_path: Path, separator: str, encoding: str) -> None:
    path = tmp_path / "list.csv"
    rows = [("scientificName", "scientificNameAuthorship", "family"), ("Lampropeltis triangulum", "(Lacépède)", "NA")]
    path.write_text("\n".join(separator.join(row) for row in rows), encoding=encoding)
    frame = read_checklist(path)
    assert frame.iloc[0].tolist() == ["Lampropeltis triangulum", "(Lacépède)", "NA"]


def test_notes_above_the_header_and_blank_rows_are_left_out(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text('# a note, with a comma\nscientificName,note,\n,,\nUta stansburiana,"a, b",\n', encoding="utf-8")
    frame = read_checklist(path)
    assert frame.to_dict("records") == [{"scientificName": "Uta stansburiana", "note": "a, b"}]


def test_an_archive_is_read_with_its_common_names_and_constants(tmp_path: Path) -> None:
    path = tmp_path / "list.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("meta.xml", META)
        archive.writestr("taxon.txt", "id\tname\nt1\tAquarana catesbeiana\nt2\tUta stansburiana\n")
        archive.writestr("names.txt", "t1\tAmerican Bullfrog\nt1\tbullfrog\n")
    frame = read_checklist(path)
    assert frame["scientificName"].tolist() == ["Aquarana catesbeiana", "Uta stansburiana"]
    assert frame["kingdom"].tolist() == ["Animalia", "Animalia"]
    assert frame["vernacularName"].tolist() == ["American Bullfrog|bullfrog", ""]
    assert frame["taxonID"].tolist() == ["t1", "t2"]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("species,code\nUta,UT\n", "no column is called scientificName"),
        ("# only a note\n", "no table of names"),
        ("scientificName,family\nUta stansburiana,Phrynosomatidae, Girard\n", "line 2"),
    ],
)
def test_a_file_that_is_no_checklist_is_refused_with_the_place(tmp_path: Path, content: str, told: str) -> None:
    path = tmp_path / "list.csv"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(UnreadableFile, match=told):
        read_checklist(path, "list.csv")


def test_an_archive_without_taxa_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "list.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("meta.xml", META.replace("terms/Taxon", "terms/Occurrence"))
        archive.writestr("taxon.txt", "id\tname\n1\tUta stansburiana\n")
        archive.writestr("names.txt", "")
    with pytest.raises(UnreadableFile, match="without taxa"):
        read_checklist(path)


def test_a_file_that_is_not_there_is_told_by_its_name(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match=r"my list\.csv"):
        read_checklist(tmp_path / "x.csv", "my list.csv")
