"""All season rules on all views -> findings, and how many rows each rule could not judge."""

from __future__ import annotations

import importlib
import pkgutil

import pandas as pd

from dwc_pipeline.check import rules
from dwc_pipeline.check.season_rule import SEASON_RULES, SeasonRule
from dwc_pipeline.check.views import build_views
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import Limits, SurveyFile


def load_rules() -> None:
    """Import every file under check/rules, so that each enters its rule in the catalogue."""
    for module in pkgutil.walk_packages(rules.__path__, rules.__name__ + "."):
        importlib.import_module(module.name)


def check(records: Records, survey: SurveyFile) -> Records:
    """Findings of every season rule. Finds faults, changes nothing."""
    load_rules()
    views = build_views(records)
    found = [rule_findings(rule, views[rule.view], survey.limits) for _, rule in sorted(SEASON_RULES.items())]
    return records.with_(findings=found)


def rule_findings(rule: SeasonRule, view: pd.DataFrame, limits: Limits) -> pd.DataFrame:
    """Findings of one rule; none where the limit it compares with is not set."""
    silent = bool(rule.limit) and getattr(limits, rule.limit) in (None, "")
    at_fault = view.iloc[0:0] if silent or view.empty else rule.judge(view, limits)[0]
    parts = []
    for kind, rows in at_fault.groupby("kind", sort=False) if len(at_fault) else []:
        message = pd.Series([filled_in(rule.message, row) for row in rows.to_dict("records")], index=rows["tidy_row"])
        typed = f"{rule.field}_typed"
        value = (
            rows[typed]
            if typed in rows
            else rows[rule.field]
            if rule.field in rows
            else pd.Series("", index=rows.index)
        )
        value = value.fillna("").map(shown)
        cause = rows[rule.cause].astype(str).to_numpy() if rule.cause else message.to_numpy()
        index = pd.Index(rows["tidy_row"])
        parts.append(
            findings_on_rows(
                rule.rule,
                str(kind),
                index,
                rule.field,
                value=pd.Series(value.to_numpy(), index=index),
                message=message,
                cause=pd.Series(cause, index=index),
            )
        )
    return (
        pd.concat(parts, ignore_index=True)
        if parts
        else findings_on_rows(rule.rule, "", pd.Index([]), "", message="")
    )


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
