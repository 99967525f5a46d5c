"""Season rules on whole small surveys: what the views carry from log and sheets to a finding on a cell."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from season_generator import make_season
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, TODAY, prepared

from dwc_pipeline.check.season_rule import SEASON_RULES
from dwc_pipeline.core.findings import severity_of
from dwc_pipeline.core.rule import RULES
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

LOG = """Array,Trap,What,Date,Time,State,Open,N
A1,,opened,2023-06-01,17:00,,12,
A1,,checked,2023-06-02,07:00,,12,2
A1,F2,closed,2023-06-02,07:05,,,
A1,,checked,2023-06-03,07:00,,11,1
A1,,checked,2023-06-05,07:00,F3 closed,10,2
A1,,checked and closed,2023-06-06,07:00,,11,0
"""
CAPTURES = """Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No
A1,2023-06-02,07:00,F1,Sceloporus consobrinus,M,ad,60,80,7.1,LF1-RF2,new,,1,1
A1,2023-06-02,07:00,P1,Sceloporus consobrinus,F,ad,58,77,6.6,LF1-RF3,new,,1,2
A1,2023-06-03,07:00,F2,Spea bombifrons,,ad,44,,11.0,,,,1,3
A1,2023-06-05,07:00,F3,Sceloporus consobrinus,F,ad,52,80,7.0,LF1-RF2,recap,,1,4
A1,2023-06-05,07:00,P2,Spea bombifrons,,ad,46,,12.0,,,,0,5
A1,2023-06-06,07:00,,none,,,,,,,,,,6
A1,2023-06-06,07:00,P1,Sceloporus consobrinus,F,ad,59,78,6.9,LF1-RF3,new,,1,7
Total,,,,,,,,,,,,,5,
"""
FOUND = [
    ("capture-in-a-closed-trap", "captures.csv", 4, "D"),
    ("trap-closed-and-with-a-capture", "captures.csv", 5, "D"),
    ("day-without-a-check", "log.csv", 6, "D"),
    ("captures-typed-differ", "log.csv", 6, "H"),
    ("captures-typed-differ", "log.csv", 7, "H"),
    ("sex-changed", "captures.csv", 5, "F"),
    ("svl-shrank", "captures.csv", 5, "H"),
    ("count-zero-with-a-name", "captures.csv", 6, "N"),
    ("no-animals-and-a-capture", "captures.csv", 7, "E"),
    ("known-mark-without-the-flag", "captures.csv", 8, "L"),
]


@pytest.fixture(scope="module")
def findings(tmp_path_factory: pytest.TempPathFactory) -> pd.DataFrame:
    log_table = LOG_TABLE.replace('Open = "traps_open" }', 'Open = "traps_open", N = "captures_typed" }')
    season = prepared(
        tmp_path_factory.mktemp("season"),
        {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES},
        SITES_TABLE + log_table + CAPTURES_TABLE,
        HEAD,
    )
    return season.records.located(season.records.findings)


def addresses(findings: pd.DataFrame) -> set[tuple[str, str, int, str]]:
    return set(findings[["rule", "file", "row", "column"]].itertuples(index=False, name=None))


@pytest.mark.parametrize("expected", FOUND, ids=lambda one: f"{one[0]}-{one[1]}-{one[2]}")
def test_the_fault_is_found_at_its_cell(findings: pd.DataFrame, expected: tuple[str, str, int, str]) -> None:
    assert expected in addresses(findings)


def test_nothing_else_is_found_by_the_season_rules(findings: pd.DataFrame) -> None:
    known = {*FOUND, ("total-differs-from-its-rows", "captures.csv", 9, "N")}
    own = findings[findings["rule"].isin(list(SEASON_RULES))]
    assert addresses(own) - known == set()


def test_a_recapture_names_both_captures(findings: pd.DataFrame) -> None:
    message = findings.loc[findings["rule"] == "sex-changed", "message"].item()
    assert "2023-06-05" in message
    assert "2023-06-02" in message
    assert "captures.csv, row 2" in message


@pytest.mark.parametrize("seed", [3, 7, 14])
def test_a_clean_season_raises_no_alarm(tmp_path: Path, seed: int) -> None:
    truth = make_season(tmp_path, seed, 0.0)
    season = prepare(read_survey_file(truth.survey_file), TODAY)
    found = season.records.findings
    own = found[found["rule"].isin(list(SEASON_RULES))]
    assert own[severity_of(own) != "note"].to_dict("records") == []


@pytest.mark.parametrize("kinds", ["sites captures", "log captures", "sites log captures"])
def test_a_survey_with_few_kinds_of_rows_is_checked(tmp_path: Path, kinds: str) -> None:
    header = CAPTURES.splitlines()[0] + "\n"
    lone = header + "A1,2023-06-02,07:00,F1,Spea bombifrons,,,,,,,,,,\n"
    known = {"sites": (SITES, SITES_TABLE), "log": (LOG, LOG_TABLE), "captures": (lone, CAPTURES_TABLE)}
    parts = {kind: known[kind] for kind in kinds.split()}
    files = {f"{kind}.csv": text for kind, (text, _) in parts.items()}
    season = prepared(tmp_path, files, "".join(table for _, table in parts.values()))
    assert set(season.records.findings["rule"]) <= set(RULES)
