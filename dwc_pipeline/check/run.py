"""All season rules on all views -> findings, and how many rows each rule could not judge."""

from __future__ import annotations

import importlib
import pkgutil

import pandas as pd

from dwc_pipeline.check import rules
from dwc_pipeline.check.season_rule import SEASON_RULES, SeasonRule
from dwc_pipeline.check.views import build_views
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile


def load_rules() -> None:
    """Import every file under check/rules, so that each enters its rule in the catalogue."""
    for module in pkgutil.walk_packages(rules.__path__, rules.__name__ + "."):
        importlib.import_module(module.name)


def check(records: Records, survey: SurveyFile) -> Records:
    """Findings of every season rule. Finds faults, changes nothing."""
    load_rules()
    views = build_views(records, survey)
    found = [rule_findings(rule, views[rule.view], survey) for _, rule in sorted(SEASON_RULES.items())]
    return records.with_(findings=found)


def rule_findings(rule: SeasonRule, view: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """Findings of one rule; none where the limit it compares with is not set."""
    silent = bool(rule.limit) and getattr(survey.limits, rule.limit) in (None, "")
    at_fault = view.iloc[0:0] if silent or view.empty else rule.judge(view, survey)[0]
    parts = [of_one_kind(rule, str(kind), rows) for kind, rows in at_fault.groupby("kind", sort=False)]
    return join_findings(parts)


def of_one_kind(rule: SeasonRule, kind: str, rows: pd.DataFrame) -> pd.DataFrame:
    """Findings on rows of one kind of tidy table; of kind "" where the rows name their cells themselves."""
    index = pd.Index(rows["tidy_row"])
    message = [filled_in(rule.message, row) for row in rows.to_dict("records")]
    typed = f"{rule.field}_typed"
    value = rows[typed] if typed in rows else rows.get(rule.field, pd.Series("", index=rows.index))
    found = findings_on_rows(
        rule.rule,
        kind,
        index,
        rule.field,
        value=pd.Series(value.fillna("").map(shown).to_numpy(), index=index),
        message=pd.Series(message, index=index),
        cause=pd.Series(rows[rule.cause].astype(str).to_numpy() if rule.cause else message, index=index),
    )
    if kind == "" and "sheet_row" in rows:
        found["file"], found["sheet"] = rows["file"].to_numpy(), rows["sheet"].to_numpy()
        found["row"], found["column"] = rows["sheet_row"].to_numpy(), rows["column"].to_numpy()
    return found


def filled_in(message: str, row: dict[str, object]) -> str:
    """The message with the values of a row; whole numbers without a decimal point."""
    return message.format_map({name: shown(value) for name, value in row.items()})


def shown(value: object) -> str:
    """A value as a person writes it."""
    if isinstance(value, float):
        return "?" if pd.isna(value) else f"{value:.4f}".rstrip("0").rstrip(".")
    if isinstance(value, pd.Timestamp):
        return str(value.strftime("%Y-%m-%d %H:%M"))
    return str(value)
