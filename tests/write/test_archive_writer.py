"""Archives: the tables come back, the links hold, and an empty check is never a detection."""

from __future__ import annotations

import csv
import hashlib
import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.terms.detection import DETECTED_NOT_DETECTED, PRESENT_ABSENT, WORD_SETS, DetectionWords
from dwc_pipeline.write.archive import write_archive

Tables = dict[str, pd.DataFrame]
TEXT = "{http://rs.tdwg.org/dwc/text/}"


def read_back(path: Path) -> Tables:
    """A second reader, of the standard library and lxml alone: file name -> frame with term names as columns."""
    found: Tables = {}
    with zipfile.ZipFile(path) as archive:
        meta = etree.fromstring(archive.read("meta.xml"))
        for part in meta:
            location = part.findtext(f"{TEXT}files/{TEXT}location")
            text = archive.read(location).decode(part.get("encoding"))
            delimiter, quote = part.get("fieldsTerminatedBy"), part.get("fieldsEnclosedBy")
            rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, quotechar=quote))
            rows = rows[int(part.get("ignoreHeaderLines")) :]
            fields = {int(f.get("index")): f.get("term").rsplit("/", 1)[-1] for f in part.iter(f"{TEXT}field")}
            key = part.find(f"{TEXT}id") if part.find(f"{TEXT}id") is not None else part.find(f"{TEXT}coreid")
            assert fields[int(key.get("index"))] == "eventID"
            columns = {name: [row[index] for row in rows] for index, name in fields.items()}
            found[location.removesuffix(".txt")] = pd.DataFrame(columns, dtype=object)
    return found


def test_a_second_reader_finds_the_same_tables(tables: Tables, metadata: DatasetMetadata, tmp_path: Path) -> None:
    found = read_back(write_archive(tables, metadata, tmp_path / "a.zip", PRESENT_ABSENT))
    expected = {name: frame.copy() for name, frame in tables.items()}
    expected["event"] = expected["event"].drop(columns="place")
    status = expected["occurrence"].pop("detected").map({"true": "present", "false": "absent"})
    expected["occurrence"]["occurrenceStatus"] = status
    for name, frame in expected.items():
        pd.testing.assert_frame_equal(found[name][sorted(frame)], frame[sorted(frame)], check_dtype=False)
        assert set(found[name]) == set(frame)


def test_columns_of_ours_and_columns_without_content_stay_at_home(
    tables: Tables, metadata: DatasetMetadata, tmp_path: Path
) -> None:
    tables["event"]["habitat"] = ""
    found = read_back(write_archive(tables, metadata, tmp_path / "a.zip", PRESENT_ABSENT))
    assert not {"place", "habitat"} & set(found["event"])
    assert "detected" not in found["occurrence"]


def test_an_extension_without_rows_is_left_out(tables: Tables, metadata: DatasetMetadata, tmp_path: Path) -> None:
    tables["measurement"] = tables["measurement"].iloc[:0]
    del tables["humboldt"]
    found = read_back(write_archive(tables, metadata, tmp_path / "a.zip", PRESENT_ABSENT))
    assert set(found) == {"event", "occurrence"}


def test_a_survey_that_caught_nothing_is_an_archive_of_events(
    tables: Tables, metadata: DatasetMetadata, tmp_path: Path
) -> None:
    tables = {"event": tables["event"], "humboldt": tables["humboldt"], "occurrence": tables["occurrence"].iloc[:0]}
    found = read_back(write_archive(tables, metadata, tmp_path / "a.zip", PRESENT_ABSENT))
    assert set(found) == {"event", "humboldt"}


class TestAnEmptyCheckIsNeverADetection:
    """Whatever the rows say, only a stated detection of at least one animal leaves as one."""

    @settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(
        rows=st.lists(
            st.tuples(
                st.sampled_from(["true", "false", "", "True", "present", "unknown"]),
                st.sampled_from(["", "0", "0.0", "1", "12"]),
            ),
            min_size=1,
            max_size=4,
        ),
        words=st.sampled_from(list(WORD_SETS.values())),
    )
    def test_in_neither_word_set(
        self,
        tables: Tables,
        metadata: DatasetMetadata,
        tmp_path: Path,
        rows: list[tuple[str, str]],
        words: DetectionWords,
    ) -> None:
        occurrence = pd.DataFrame(rows, columns=["detected", "individualCount"], dtype=object)
        occurrence["occurrenceID"] = [f"o{number}" for number in range(len(rows))]
        occurrence["eventID"], occurrence["basisOfRecord"] = "PT-s1-c2", "HumanObservation"
        given_tables = {"event": tables["event"], "occurrence": occurrence}
        path = tmp_path / "a.zip"
        path.unlink(missing_ok=True)
        honest = all(stated == "false" or (stated == "true" and count not in ("0", "0.0")) for stated, count in rows)
        if not honest:
            with pytest.raises(OutputRefused, match="could take them for detections"):
                write_archive(given_tables, metadata, path, words)
            assert not path.exists()
            return
        written = read_back(write_archive(given_tables, metadata, path, words))["occurrence"]
        assert list(written["occurrenceStatus"]) == [
            words.detected if stated == "true" else words.not_detected for stated, _ in rows
        ]

    @pytest.mark.parametrize("words", WORD_SETS.values())
    def test_a_check_without_animals_has_no_occurrence_row(
        self, tables: Tables, metadata: DatasetMetadata, tmp_path: Path, words: DetectionWords
    ) -> None:
        tables["occurrence"] = tables["occurrence"][tables["occurrence"]["detected"] == "true"]
        found = read_back(write_archive(tables, metadata, tmp_path / "a.zip", words))
        assert "PT-s1-c2" in set(found["event"]["eventID"])
        assert "PT-s1-c2" not in set(found["occurrence"]["eventID"])

    def test_a_table_that_does_not_say_is_refused(
        self, tables: Tables, metadata: DatasetMetadata, tmp_path: Path
    ) -> None:
        del tables["occurrence"]["detected"]
        with pytest.raises(OutputRefused, match="do not say whether"):
            write_archive(tables, metadata, tmp_path / "a.zip", DETECTED_NOT_DETECTED)


@pytest.mark.parametrize(
    ("table", "column", "value", "message"),
    [
        ("event", "eventID", "PT-s1", "eventID of another event"),
        ("event", "eventID", "", "have no eventID"),
        ("occurrence", "eventID", "PT-s9", "not in the event table"),
        ("measurement", "occurrenceID", "PT-o9", "not in the occurrence table"),
        ("humboldt", "eventID", "PT-s9", "humboldt rows"),
    ],
)
def test_tables_that_do_not_fit_together_are_refused(
    tables: Tables, metadata: DatasetMetadata, tmp_path: Path, table: str, column: str, value: str, message: str
) -> None:
    tables[table].loc[1, column] = value
    with pytest.raises(OutputRefused, match=message):
        write_archive(tables, metadata, tmp_path / "a.zip", PRESENT_ABSENT)
    assert list(tmp_path.iterdir()) == []


def test_an_archive_without_events_is_refused(metadata: DatasetMetadata, tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="no event"):
        write_archive({}, metadata, tmp_path / "a.zip", PRESENT_ABSENT)


WRITE = """
import sys
from pathlib import Path
import pandas as pd
from dwc_pipeline.core.metadata import DatasetMetadata, Party
from dwc_pipeline.terms.detection import PRESENT_ABSENT
from dwc_pipeline.write.archive import write_archive
event = pd.DataFrame({"eventID": ["a", "b"], "habitat": ["sand", "½ sage"]}, dtype=object)
occurrence = pd.DataFrame({"occurrenceID": ["o"], "eventID": ["b"], "basisOfRecord": ["HumanObservation"],
                           "detected": ["true"]}, dtype=object)
metadata = DatasetMetadata("Title", "id", (Party("Ada Example", roles=("creator", "contact")),), keywords=("a", "b"))
write_archive({"event": event, "occurrence": occurrence}, metadata, Path(sys.argv[1]), PRESENT_ABSENT)
"""


def test_the_bytes_do_not_depend_on_zone_hash_seed_or_locale(tmp_path: Path) -> None:
    digests = set()
    for number, (zone, seed, locale) in enumerate((("Asia/Tokyo", "1", "C"), ("America/Chicago", "77", "C.UTF-8"))):
        path = tmp_path / f"{number}.zip"
        environment = {**os.environ, "TZ": zone, "PYTHONHASHSEED": seed, "LC_ALL": locale}
        subprocess.run([sys.executable, "-c", WRITE, path], env=environment, check=True)
        digests.add(hashlib.sha256(path.read_bytes()).hexdigest())
    assert len(digests) == 1
