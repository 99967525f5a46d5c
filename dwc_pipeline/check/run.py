"""All season rules on all views -> findings, and how many rows each rule could not judge."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache, partial
from string import Formatter

import pandas as pd

from dwc_pipeline.check import rules
from dwc_pipeline.check.season_rule import SEASON_RULES, Known, SeasonRule, is_known
from dwc_pipeline.check.views import build_views
from dwc_pipeline.core.distinct import on_distinct, on_distinct_rows
from dwc_pipeline.core.findings import as_findings, findings_on_rows, join_findings
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile

#: what tells the rows of a view apart, in every run and wherever they stand on their sheets
IDENTITY = {
    "animal": ("occurrenceID",),
    "visit": ("eventID",),
    "session": ("eventID",),
    "event": ("eventID",),
    "scope": ("eventID",),
    "site": ("place",),
}


def load_rules() -> None:
    """Import every file under check/rules, so that each enters its rule in the catalogue."""
    for module in pkgutil.walk_packages(rules.__path__, rules.__name__ + "."):
        importlib.import_module(module.name)


def check(records: Records, survey: SurveyFile) -> Records:
    """Findings of every season rule. Finds faults, changes nothing."""
    load_rules()
    views = build_views(records, survey)
    known = {name: cache(partial(is_known, view)) for name, view in views.items()}
    found = [
        rule_findings(rule, views[rule.view], survey, known[rule.view]) for _, rule in sorted(SEASON_RULES.items())
    ]
    return records.with_(findings=found)


def rule_findings(
    rule: SeasonRule, view: pd.DataFrame, survey: SurveyFile, known: Known | None = None
) -> pd.DataFrame:
    """Findings of one rule; none where the limit it compares with is not set. known: see SeasonRule.judge."""
    silent = bool(rule.limit) and getattr(survey.limits, rule.limit) in (None, "")
    if silent or view.empty:
        return as_findings([])
    at_fault = rule.judge(view, survey, known)[0]
    if at_fault.empty:
        return as_findings([])
    parts = [of_one_kind(rule, str(kind), rows) for kind, rows in at_fault.groupby("kind", sort=False)]
    return join_findings(parts)


def of_one_kind(rule: SeasonRule, kind: str, rows: pd.DataFrame) -> pd.DataFrame:
    """Findings on rows of one kind of tidy table; of kind "" where the rows name their cells themselves."""
    index = pd.Index(rows["tidy_row"])
    message = filled_in(rule.message, rows)
    typed = f"{rule.field}_typed"
    value = rows[typed] if typed in rows else rows.get(rule.field, pd.Series("", index=rows.index))
    cause = causes(rule, rows)
    found = findings_on_rows(
        rule.rule,
        kind,
        index,
        rule.field,
        value=pd.Series(
            on_distinct(value, lambda values: values.fillna("").map(shown)).to_numpy(), index=index, dtype=object
        ),
        message=pd.Series(message.to_numpy(), index=index),
        cause=None if cause is None else pd.Series(cause.to_numpy(), index=index),
    )
    if kind == "" and "sheet_row" in rows:
        found["file"], found["sheet"] = rows["file"].to_numpy(), rows["sheet"].to_numpy()
        found["row"], found["column"] = rows["sheet_row"].to_numpy(), rows["column"].to_numpy()
    return found


def causes(rule: SeasonRule, rows: pd.DataFrame) -> pd.Series | None:
    """What names each finding from run to run; None where only its value and message can."""
    columns = rule.cause or IDENTITY.get(rule.view, ())
    if not columns or not set(columns) <= set(rows):
        return None
    joined = rows[columns[0]].astype(str)
    for column in columns[1:]:
        joined = joined + "\x1f" + rows[column].astype(str)
    return joined


def filled_in(message: str, rows: pd.DataFrame) -> pd.Series:
    """The message with the values of each row; whole numbers without a decimal point."""
    names = [name for _, name, _, _ in Formatter().parse(message) if name]
    if not names:
        return pd.Series(message, index=rows.index, dtype=object)

    def told(distinct: pd.DataFrame) -> pd.Series:
        texts = [
            message.format_map({name: shown(value) for name, value in row.items()})
            for row in distinct.to_dict("records")
        ]
        return pd.Series(texts, dtype=object)

    return on_distinct_rows(rows[list(dict.fromkeys(names))], told)


def shown(value: object) -> str:
    """A value as a person writes it."""
    if isinstance(value, float):
        return "?" if pd.isna(value) else f"{value:.4f}".rstrip("0").rstrip(".")
    if isinstance(value, pd.Timestamp):
        return str(value.strftime("%Y-%m-%d %H:%M"))
    return str(value)
