"""One archive for each rule that breaks it, and one that breaks none."""

from __future__ import annotations

from pathlib import Path

import pytest

from dwc_pipeline.check.archive_rules import ROW_CHECKS, check_archive
from dwc_pipeline.check.metafile_rules import METAFILE_CHECKS
from dwc_pipeline.read.archive_file import read_archive

META = """<?xml version="1.0"?>
<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">
  <core rowType="http://rs.tdwg.org/dwc/terms/Event" ignoreHeaderLines="1">
    <files><location>event.txt</location></files>
    <id index="0"/>
    <field index="0" term="http://rs.tdwg.org/dwc/terms/eventID"/>
    <field index="1" term="http://rs.tdwg.org/dwc/terms/habitat"/>
  </core>
  <extension rowType="http://rs.tdwg.org/dwc/terms/Occurrence" ignoreHeaderLines="1">
    <files><location>occurrence.txt</location></files>
    <coreid index="0"/>
    <field index="0" term="http://rs.tdwg.org/dwc/terms/eventID"/>
    <field index="1" term="http://rs.tdwg.org/dwc/terms/occurrenceID"/>
  </extension>
  <extension rowType="http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact" ignoreHeaderLines="1">
    <files><location>measurement.txt</location></files>
    <coreid index="0"/>
    <field index="1" term="http://rs.tdwg.org/dwc/terms/occurrenceID"/>
    <field index="2" term="http://rs.tdwg.org/dwc/terms/measurementValue"/>
  </extension>
  <extension rowType="http://rs.tdwg.org/eco/terms/Event" ignoreHeaderLines="1">
    <files><location>humboldt.txt</location></files>
    <coreid index="0"/>
    <field index="1" term="http://rs.tdwg.org/eco/terms/siteCount"/>
  </extension>
</archive>
"""
FILES = {
    "meta.xml": META,
    "event.txt": "eventID,habitat\ne1,sand\ne2,sage\n",
    "occurrence.txt": "eventID,occurrenceID\ne1,o1\ne2,o2\n",
    "measurement.txt": "eventID,occurrenceID,measurementValue\ne1,o1,71\ne1,,0.8\n",
    "humboldt.txt": "eventID,siteCount\ne1,1\n",
    "eml.xml": '<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="a" system="b"><dataset>'
    "<title>T</title><creator/><contact/></dataset></eml:eml>",
}
HABITAT = 'term="http://rs.tdwg.org/dwc/terms/habitat"'
CORE = META[META.find("  <core") : META.find("  <extension")]
CORE_ID = '<field index="0" term="http://rs.tdwg.org/dwc/terms/eventID"/>'
ID = '<id index="0"/>'
COUNTRY = '<field default="x" term="http://rs.tdwg.org/dwc/terms/country"/>'
OCCURRENCE_ID = 'term="http://rs.tdwg.org/dwc/terms/occurrenceID"'
EVENT_OF_OCCURRENCE = f'{CORE_ID}\n    <field index="1" {OCCURRENCE_ID}/>'
#: rule -> file, text in it, what to put instead. The section that each rule quotes stands with the rule.
BROKEN: dict[str, tuple[str, str, str]] = {
    "metafile-has-another-root": ("meta.xml", "dwc/text/", "dwc/texts/"),
    "metafile-names-something-unknown": ("meta.xml", "<files><loc", "<compression/><files><loc"),
    "metafile-needs-exactly-one-core": ("meta.xml", CORE, CORE + CORE),
    "metafile-part-is-incomplete": ("meta.xml", "<location>event.txt</location>", ""),
    "metafile-is-out-of-order": ("meta.xml", ID, COUNTRY + ID),
    "row-type-is-no-identifier": ("meta.xml", "http://rs.tdwg.org/dwc/terms/Event", "Event"),
    "field-term-is-no-identifier": ("meta.xml", HABITAT, 'term="habitat"'),
    "field-term-is-unknown": ("meta.xml", HABITAT, 'term="http://rs.tdwg.org/dwc/terms/Habitat"'),
    "field-term-is-deprecated": ("meta.xml", HABITAT, 'term="http://rs.tdwg.org/dwc/curatorial/Disposition"'),
    "field-has-neither-column-nor-default": ("meta.xml", f'index="1" {HABITAT}', HABITAT),
    "term-is-mapped-twice": ("meta.xml", HABITAT, 'term="http://rs.tdwg.org/dwc/terms/eventID"'),
    "column-feeds-two-terms": ("meta.xml", f'index="1" {HABITAT}', f'index="0" {HABITAT}'),
    "column-number-is-beyond-the-last": ("meta.xml", f'index="1" {HABITAT}', f'index="7" {HABITAT}'),
    "column-is-not-mapped": ("meta.xml", f'<field index="1" {HABITAT}/>', ""),
    "core-identifier-is-not-declared": ("meta.xml", ID, ""),
    "extension-does-not-name-its-core-column": ("meta.xml", '<coreid index="0"/>', "<coreid/>"),
    "identifier-column-has-no-term": ("meta.xml", CORE_ID, ""),
    "date-format-hint-is-unknown": ("meta.xml", "<core ", '<core dateFormat="D. M. Y" '),
    "field-vocabulary-is-no-identifier": ("meta.xml", HABITAT, f'{HABITAT} vocabulary="my list"'),
    "archive-does-not-name-its-description": ("meta.xml", ' metadata="eml.xml"', ""),
    "archive-description-is-not-there": ("meta.xml", 'metadata="eml.xml"', 'metadata="EML.xml"'),
    "archive-description-has-an-unknown-form": ("eml.xml", FILES["eml.xml"], "<about/>"),
    "archive-description-is-not-xml": ("eml.xml", "</dataset>", ""),
    "occurrence-identifier-is-repeated": ("occurrence.txt", "e2,o2", "e2,o1"),
    "core-row-has-no-identifier": ("event.txt", "e2,sage", ",sage"),
    "core-identifier-is-repeated": ("event.txt", "e2,sage", "e1,sage"),
    "extension-row-has-no-core-row": ("occurrence.txt", "e2,o2", "e3,o2"),
    "extension-row-names-two-events": ("meta.xml", EVENT_OF_OCCURRENCE, CORE_ID.replace("0", "1")),
    "measurement-of-an-unknown-animal": ("measurement.txt", "e1,o1", "e1,o9"),
    "event-has-two-scope-rows": ("humboldt.txt", "e1,1\n", "e1,1\ne1,2\n"),
    "header-is-read-as-data": ("meta.xml", 'Event" ignoreHeaderLines="1"', 'Event"'),
    "header-differs-from-its-term": ("event.txt", "eventID,habitat", "habitat,eventID"),
}


def rules_of(folder: Path, **changed: str) -> set[str]:
    """The rules that an archive breaks, some of its files changed."""
    for name, content in {**FILES, **changed}.items():
        (folder / name).write_text(content, encoding="utf-8", newline="\n")
    return set(check_archive(read_archive(folder, "archive"))["rule"])


def test_a_sound_archive_breaks_no_rule(tmp_path: Path) -> None:
    assert rules_of(tmp_path) == set()


@pytest.mark.parametrize("rule", BROKEN)
def test_each_fault_is_named(tmp_path: Path, rule: str) -> None:
    file, old, new = BROKEN[rule]
    assert old in FILES[file]
    assert rule in rules_of(tmp_path, **{file: FILES[file].replace(old, new, 1)})


def test_every_rule_has_an_archive_that_breaks_it() -> None:
    assert {check.rule.id for check in (*METAFILE_CHECKS, *ROW_CHECKS)} == set(BROKEN)


def test_a_measurement_at_another_event_than_its_animal_is_named(tmp_path: Path) -> None:
    rows = FILES["measurement.txt"].replace("e1,o1", "e2,o1")
    assert rules_of(tmp_path, **{"measurement.txt": rows}) == {"measurement-of-an-unknown-animal"}


def test_a_finding_says_file_line_column_and_value(tmp_path: Path) -> None:
    rules_of(tmp_path, **{"occurrence.txt": "eventID,occurrenceID\ne1,o1\ne3,o2\n"})
    (finding,) = check_archive(read_archive(tmp_path, "archive")).to_dict("records")
    assert (finding["file"], finding["sheet"], finding["row"]) == ("archive", "occurrence.txt", 3)
    assert (finding["column"], finding["value"]) == ("A", "e3")
    assert finding["message"].startswith("archive: occurrence.txt, line 3: 'e3' is the identifier of no core row")


def test_a_fault_of_many_rows_is_shown_by_its_first_rows_and_counted(tmp_path: Path) -> None:
    rows = "eventID,occurrenceID\n" + "".join(f"x,o{number}\n" for number in range(500))
    rules_of(tmp_path, **{"occurrence.txt": rows, "measurement.txt": "eventID,occurrenceID,measurementValue\n"})
    found = check_archive(read_archive(tmp_path, "archive"))
    assert len(found) == 20
    assert found["cause"].nunique() == 1
    assert "(500 such rows)" in found["message"].iloc[0]


def test_a_description_that_is_not_xml_does_not_stop_the_other_rules(tmp_path: Path) -> None:
    rows = FILES["occurrence.txt"].replace("e2,o2", "e3,o2")
    found = rules_of(tmp_path, **{"eml.xml": "<eml", "occurrence.txt": rows})
    assert found == {"archive-description-is-not-xml", "extension-row-has-no-core-row"}


def test_a_description_on_the_web_is_taken_as_it_is(tmp_path: Path) -> None:
    meta = META.replace('metadata="eml.xml"', 'metadata="https://example.org/eml.xml"')
    assert rules_of(tmp_path, **{"meta.xml": meta}) == set()
