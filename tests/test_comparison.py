"""What changed between two versions, told animal by animal and term by term."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, TODAY, write_survey

from dwc_pipeline.cli import main
from dwc_pipeline.comparison import change_lines
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.pipeline import run_survey
from dwc_pipeline.versions import changes_between, compare_paths

PEOPLE = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\n'
LOG = "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,07:30,,\n"
HEADER = "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
FIRST = HEADER + (
    "A1,2023-05-15,07:30,F3,ASSE,M,adult,71,140,8.2,,,,1,7\nA1,2023-05-15,07:30,P1,GAOL,,,30,,2.1,,,,2,8\n"
)
SECOND = HEADER + (
    "A1,2023-05-15,07:30,P2,SPBO,,,41,,9,,,,1,9\nA1,2023-05-15,07:30,F3,ASSE,F,adult,72,140,8.2,,,,1,7\n"
)


def tables(**occurrence: list[str]) -> Mapping[str, pd.DataFrame]:
    return {"occurrence": pd.DataFrame(occurrence, dtype=object)}


def test_a_row_can_be_new_gone_or_different() -> None:
    old = tables(occurrenceID=["a", "b"], sex=["male", "female"])
    new = tables(occurrenceID=["c", "b"], sex=["male", "male"])
    found = changes_between(old, new)
    assert found[["identifier", "what", "term", "old", "new"]].to_numpy().tolist() == [
        ["c", "new", "", "", ""],
        ["a", "gone", "", "", ""],
        ["b", "changed", "sex", "female", "male"],
    ]


def test_equal_numbers_and_another_order_are_no_change() -> None:
    old = tables(occurrenceID=["a", "b"], individualCount=["1", "2.0"])
    new = tables(occurrenceID=["b", "a"], individualCount=["2", "1.00"])
    assert change_lines(changes_between(old, new)) == ["nothing changed"]


def test_a_column_that_only_one_version_has_counts_as_blank_in_the_other() -> None:
    found = changes_between(tables(occurrenceID=["a"]), tables(occurrenceID=["a"], sex=["male"]))
    assert change_lines(found)[-1] == "animal a: sex is now 'male'; it was not given"


def test_rows_that_share_an_identifier_are_not_lost() -> None:
    old = tables(occurrenceID=["a", "a"], sex=["male", "female"])
    new = tables(occurrenceID=["a"], sex=["male"])
    assert changes_between(old, new)["what"].tolist() == ["gone"]


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Two runs of one survey, a capture corrected, one taken out and one added in between."""
    folder = tmp_path_factory.mktemp("survey")
    made = []
    for name, captures in (("first", FIRST), ("second", SECOND)):
        files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": captures}
        path = write_survey(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, HEAD + PEOPLE)
        made.append(run_survey(path, folder / name, TODAY)[1])
    return made[0], made[1]


def test_a_corrected_animal_keeps_its_identifier_and_its_terms_are_told(outputs: tuple[Path, Path]) -> None:
    found = compare_paths(*outputs).changes
    animals = found[found["table"] == "occurrence"]
    assert sorted(animals["what"]) == ["changed", "gone", "new"]
    changed = animals[animals["what"] == "changed"].iloc[0]
    assert (changed["term"], changed["old"], changed["new"]) == ("sex", "male", "female")
    lengths = found[(found["table"] == "measurement") & (found["term"] == "measurementValue")]
    assert lengths[["old", "new"]].to_numpy().tolist() == [["71", "72"]]


def test_a_folder_and_its_own_archive_say_the_same(outputs: tuple[Path, Path]) -> None:
    assert compare_paths(outputs[0], outputs[0] / "archive" / "PT-2023.zip").changes.empty


def test_two_archives_are_compared_like_their_folders(outputs: tuple[Path, Path]) -> None:
    archives = [folder / "archive" / "PT-2023.zip" for folder in outputs]
    assert len(compare_paths(*archives).changes) == len(compare_paths(*outputs).changes)


def test_the_command_prints_sentences_or_json(outputs: tuple[Path, Path]) -> None:
    paths = [str(path) for path in outputs]
    told = CliRunner().invoke(main, ["compare", *paths])
    assert told.exit_code == 0
    assert "animals: 1 new, 1 gone, 1 changed" in told.output
    assert "sex 'male' became 'female'" in told.output
    as_json = CliRunner().invoke(main, ["compare", *paths, "--json"])
    assert {one["what"] for one in json.loads(as_json.output)} == {"new", "gone", "changed"}


def test_what_is_neither_output_nor_archive_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(UnreadableFile):
        compare_paths(tmp_path, tmp_path)
