"""Every season rule is proved by the rows that stand in it, and explains itself."""

from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest

from dwc_pipeline.check.run import filled_in, load_rules
from dwc_pipeline.check.season_rule import SEASON_RULES, SeasonRule
from dwc_pipeline.check.views import VIEWS
from dwc_pipeline.settings import Limits, Survey, SurveyFile, Table

load_rules()
SURVEY = SurveyFile(
    survey=Survey(
        code="X", title="An invented season", season="2031", starts=dt.date(2031, 4, 1), ends=dt.date(2031, 9, 30),
        time_zone="America/Chicago",
    ),
    limits=Limits(
        hours_between_checks=26, heat_celsius=35, hours_between_checks_in_heat=12, animals_per_trap_check=20,
        deaths_per_check=2, earliest_check="05:00", latest_check="20:00",
    ),
    table=(Table(name="captures", holds="capture", files=("june.xlsx",)),),
)  # fmt: skip
RULES = [pytest.param(rule, id=name) for name, rule in sorted(SEASON_RULES.items())]


def judged(rule: SeasonRule, rows: tuple[object, ...]) -> pd.DataFrame:
    view = pd.DataFrame(list(rows)).assign(kind="capture")
    view["tidy_row"] = view.index
    return rule.judge(view, SURVEY)[0]


@pytest.mark.parametrize("rule", RULES)
def test_the_rule_flags_the_last_of_its_faulty_rows(rule: SeasonRule) -> None:
    assert len(rule.flagged) - 1 in judged(rule, rule.flagged).index


@pytest.mark.parametrize("rule", RULES)
def test_the_rule_lets_its_good_rows_pass(rule: SeasonRule) -> None:
    assert list(judged(rule, rule.passes).index) == []


@pytest.mark.parametrize("rule", RULES)
def test_good_rows_have_all_that_the_rule_needs(rule: SeasonRule) -> None:
    _, unknown = rule.judge(pd.DataFrame(list(rule.passes)), SURVEY)
    assert unknown == 0, "a good row that cannot be judged proves nothing"


@pytest.mark.parametrize("rule", RULES)
def test_the_message_is_whole_for_the_faulty_row(rule: SeasonRule) -> None:
    text = filled_in(rule.message, judged(rule, rule.flagged)).iloc[-1]
    assert "{" not in text
    assert "nan" not in text


@pytest.mark.parametrize("rule", RULES)
def test_the_rule_looks_at_a_view_that_there_is(rule: SeasonRule) -> None:
    assert rule.view in VIEWS


@pytest.mark.parametrize("rule", RULES)
def test_the_rule_judges_an_empty_table(rule: SeasonRule) -> None:
    view = pd.DataFrame(list(rule.passes)).iloc[0:0]
    assert len(rule.judge(view, SURVEY)[0]) == 0


@pytest.mark.parametrize("rule", RULES)
def test_the_rule_judges_each_row_alone_and_with_all_else_blank(rule: SeasonRule) -> None:
    for row in (*rule.flagged, *rule.passes):
        rule.judge(pd.DataFrame([row]), SURVEY)
        blank = {name: "" if isinstance(value, str) else None for name, value in row.items()}
        rule.judge(pd.DataFrame([{**blank, **{name: row[name] for name in rule.needs if name in row}}]), SURVEY)


def test_a_row_without_the_needed_value_is_counted_and_not_passed() -> None:
    rule = SEASON_RULES["total-differs-from-svl-and-tail"]
    view = pd.DataFrame({"snout_vent_length": [50.0], "tail_length": [None], "total_length": [90.0]})
    at_fault, unknown = rule.judge(view, SURVEY)
    assert (len(at_fault), unknown) == (0, 1)
