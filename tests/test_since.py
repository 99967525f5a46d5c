"""Findings of two runs side by side, and identifiers that outlive edits elsewhere on the sheets."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared, write_survey

from dwc_pipeline import cli
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.since import findings_since, read_findings

LOG = """Array,Trap,What,Date,Time,State,Open,N
A1,,opened,2023-06-01,17:00,,12,
A1,,checked,2023-06-02,07:00,,12,2
A1,F2,closed,2023-06-02,07:05,,,
A1,,checked,2023-06-03,07:00,P1 gizzled,11,1
A1,,checked,2023-06-05,07:00,F3 closed,10,2
A1,,checked and closed,2023-06-06,07:00,,11,0
"""
CAPTURES = """Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No
A1,2023-06-02,07:00,F1,Sceloporus consobrinus,M,ad,60,80,7.1,LF1-RF2,new,,1,1
A1,2023-06-02,07:00,P1,Sceloporus consobrinus,F,ad,58,77,6.6,LF1-RF3,new,,1,2
A1,2023-06-03,07:00,F2,Spea bombifrons,,ad,44,,11.0,,,,1,3
A1,2023-06-03,07:00,F4,Spea bombifrons,,ad,44,,11.0,,,,1,8
A1,2023-06-03,07:00,F4,Spea bombifrons,,ad,44,,11.0,,,,1,8
A1,2023-06-05,07:00,F3,Sceloporus consobrinus,F,ad,52,80,7.0,LF1-RF2,recap,,1,4
A1,2023-06-05,07:00,P2,Spea bombifrons,,ad,46,,12.0,,,,0,5
A1,2023-06-06,07:00,,none,,,,,,,,,,6
A1,2023-06-06,07:00,P1,Sceloporus consobrinus,F,ad,59,78,6.9,LF1-RF3,new,,1,7
A1,6/31/2023,07:00,P1,Sceloporus consobrinos,F,ad,5?,78,6.9,,,,1,9
A7,2023-06-06,07:00,P1,Quux nonesuch,F,ad,57,,,,,,1,10
"""
TABLES = SITES_TABLE + LOG_TABLE.replace('Open = "traps_open" }', 'Open = "traps_open", N = "captures_typed" }')
TABLES += CAPTURES_TABLE


def findings_of(folder: Path, captures: str, log: str = LOG) -> pd.DataFrame:
    season = prepared(folder, {"sites.csv": SITES, "log.csv": log, "captures.csv": captures}, TABLES, HEAD)
    return season.findings[season.findings["severity"] != "note"]


def identifiers(findings: pd.DataFrame) -> set[tuple[str, str]]:
    return set(zip(findings["rule"], findings["finding"], strict=True))


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> pd.DataFrame:
    return findings_of(tmp_path_factory.mktemp("before"), CAPTURES)


def test_the_season_has_faults_of_many_kinds(before: pd.DataFrame) -> None:
    assert before["rule"].nunique() > 15


def test_inserted_rows_change_no_identifier(before: pd.DataFrame, tmp_path: Path) -> None:
    header, *rows = CAPTURES.splitlines()
    clean = ["A1,2023-06-02,07:00,F5,Gastrophryne olivacea,,ad,30,,2.1,,,,1,90",
             "A1,2023-06-03,07:00,F6,Gastrophryne olivacea,,ad,31,,2.2,,,,1,91"]  # fmt: skip
    log = LOG.replace("07:00,,12,2", "07:00,,12,3").replace("gizzled,11,1", "gizzled,11,2")
    after = findings_of(tmp_path, "\n".join([header, clean[0], *rows[:2], clean[1], *rows[2:], ""]), log)
    assert identifiers(after) == identifiers(before)


def test_rows_in_another_order_change_no_identifier(before: pd.DataFrame, tmp_path: Path) -> None:
    header, *rows = CAPTURES.splitlines()
    log_header, *log_rows = LOG.splitlines()
    after = findings_of(
        tmp_path, "\n".join([header, *reversed(rows), ""]), "\n".join([log_header, *reversed(log_rows), ""])
    )
    assert identifiers(after) == identifiers(before)


def test_an_edit_of_another_animal_changes_no_identifier(before: pd.DataFrame, tmp_path: Path) -> None:
    after = findings_of(tmp_path, CAPTURES.replace("ad,58,77,6.6,", "ad,58,76,6.8,"))
    assert identifiers(after) == identifiers(before)


def test_a_fault_corrected_is_gone_and_nothing_is_new(before: pd.DataFrame, tmp_path: Path) -> None:
    after = findings_of(tmp_path, CAPTURES.replace("6/31/2023", "6/6/2023").replace("ad,5?", "ad,57"))
    changes = findings_since(before, after)
    gone = set(changes.loc[changes["what"] == "gone", "rule"])
    assert {"date-is-not-on-the-calendar", "quantity-not-readable"} & gone
    assert "place-not-in-place-list" in set(changes.loc[changes["what"] == "still there", "rule"])


def finding(name: str, **more: object) -> dict[str, object]:
    told = {"severity": "error", "rule": name, "file": "a.csv", "sheet": "", "row": 2, "column": "B", "value": "x",
            "message": "is wrong", "waived": ""}  # fmt: skip
    return {"finding": f"id-{name}", **told, **more}


def test_new_gone_and_still_there() -> None:
    old = pd.DataFrame([finding("a"), finding("b"), finding("b", row=3), finding("c")])
    new = pd.DataFrame([finding("b"), finding("c", waived="seen in the hand"), finding("d")])
    changes = findings_since(old, new).set_index("rule")
    assert changes["what"].to_dict() == {"a": "gone", "b": "still there", "c": "gone", "d": "new"}
    assert tuple(changes.loc["b", ["cells_before", "cells_now"]]) == (2, 1)
    assert changes.at["c", "waived"] == "seen in the hand"


def test_what_is_waived_no_more_is_new() -> None:
    changes = findings_since(pd.DataFrame([finding("a", waived="why")]), pd.DataFrame([finding("a")]))
    assert changes["what"].tolist() == ["new"]


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "{not json", '{"other": []}', "\x00"])
def test_a_file_without_findings_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "old.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UnreadableFile):
        read_findings(path)


def test_csv_folder_and_json_tell_the_same(tmp_path: Path) -> None:
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    path = write_survey(tmp_path, files, TABLES, HEAD)
    runner = CliRunner()
    assert runner.invoke(cli.main, ["run", str(path)]).exit_code == 1
    saved = tmp_path / "old.json"
    saved.write_text(runner.invoke(cli.main, ["check", str(path), "--json"]).output, encoding="utf-8")
    for old in (tmp_path / "out", tmp_path / "out" / "findings.csv", saved):
        told = json.loads(runner.invoke(cli.main, ["check", str(path), "--since", str(old), "--json"]).output)
        assert {line["what"] for line in told["since"]} == {"still there"}, old
    (archive,) = (tmp_path / "out" / "archive").glob("*.zip") if (tmp_path / "out" / "archive").exists() else (None,)
    if archive:
        saved.write_text(runner.invoke(cli.main, ["check", str(archive), "--json"]).output, encoding="utf-8")
        told = json.loads(runner.invoke(cli.main, ["check", str(archive), "--since", str(saved), "--json"]).output)
        assert {line["what"] for line in told["since"]} <= {"still there"}
