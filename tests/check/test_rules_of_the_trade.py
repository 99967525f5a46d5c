"""The page of the rules of the trade: every number has checks or a reason, every check exists and is named."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from dwc_pipeline.catalogue import all_rules
from dwc_pipeline.check.season_rule import SEASON_RULES

PAGE = Path(__file__).resolve().parents[2] / "docs" / "rules_of_the_trade.md"
LINES = re.findall(r"^\| (\d+) \| ([^|]+) \| ([^|]*)\| ([^|]*)\|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
NAMED = re.findall(r"`([a-z0-9]+(?:-[a-z0-9]+)+)`", PAGE.read_text(encoding="utf-8"))


def test_the_numbers_run_from_one_to_eighty() -> None:
    assert [int(number) for number, *_ in LINES] == list(range(1, 81))


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[0])
def test_each_number_has_checks_or_a_reason(line: tuple[str, str, str, str]) -> None:
    _, _, checks, reason = line
    assert "`" in checks or reason.strip()


def test_every_check_named_is_in_the_catalogue() -> None:
    unknown = set(NAMED) - set(all_rules()) - {"dwc-pipeline"}
    assert unknown == set()


def test_every_season_rule_is_named() -> None:
    all_rules()
    assert set(SEASON_RULES) - set(NAMED) == set()
