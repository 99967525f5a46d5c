"""What a check of an archive or data package tells: findings, row counts, answers of tests, plain verdicts."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
import pandas as pd

from dwc_pipeline.check.archive_rules import ROW_CHECKS
from dwc_pipeline.check.hierarchy.event_tree import EventTree, build_tree
from dwc_pipeline.check.hierarchy.scope_rules import events_with_inferable_absence
from dwc_pipeline.check.humboldt_rules import HUMBOLDT_CHECKS
from dwc_pipeline.check.linked_disclosure import DISCLOSURE_RULES
from dwc_pipeline.check.metafile_rules import METAFILE_CHECKS
from dwc_pipeline.check.values.date_part_rules import DATE_PART_CHECKS
from dwc_pipeline.check.values.disclosure_rules import STATEMENTS
from dwc_pipeline.check.values.event_date_rules import DATE_CHECKS
from dwc_pipeline.check.values.humboldt_relations import HUMBOLDT_RELATION_CHECKS
from dwc_pipeline.check.values.humboldt_values import HUMBOLDT_VALUE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.terms.darwin_core import DWC

#: rules that speak of effort: whether it can be computed, tied to its event and read as an absence
EFFORT_RULES = frozenset({
    *(check.rule.id for check in HUMBOLDT_CHECKS),
    *(check.rule.id for check in (*HUMBOLDT_VALUE_CHECKS, *HUMBOLDT_RELATION_CHECKS)),
    *(check.rule.id for check in (*DATE_CHECKS, *DATE_PART_CHECKS)),
    "extension-row-has-no-core-row", "core-row-has-no-identifier", "core-identifier-is-repeated",
    "extension-row-names-two-events", "event-has-two-scope-rows", "sample-size-lacks-its-other-half",
    "sample-size-is-no-number", "detection-has-a-count-of-zero", "non-detection-has-animals",
    "occurrence-status-is-another-word", "occurrence-status-mixes-editions",
})  # fmt: skip
#: rules of form; what the reader of files says is added by its prefix
FORM_RULES = frozenset(check.rule.id for check in (*METAFILE_CHECKS, *ROW_CHECKS)) | {
    "archive-has-no-event", "event-has-no-identifier", "event-identifier-is-repeated", "parent-event-is-not-there",
    "event-is-its-own-ancestor", "class-is-used-as-a-field",
}  # fmt: skip
FORM_PREFIXES = ("archive-", "eml-", "package-", "metafile-")
#: rules that a verdict names; the others are in the list of findings
MOST_NAMED = 4


class Answer(StrEnum):
    """What can be said to one of the three questions."""

    YES = "yes"
    IN_PART = "in part"
    NO = "no"
    NOTHING = "there is nothing to judge"


@dataclass(frozen=True)
class Use:
    """The answer to one question of a person, and why."""

    question: str
    answer: Answer
    reason: str


@dataclass(frozen=True)
class PartCount:
    """Rows of one part. kind: row type, or name of the table."""

    file: str
    kind: str
    rows: int


@dataclass(frozen=True)
class ArchiveReport:
    """All that a check found.

    kind: "Darwin Core archive" or "Darwin Core data package". findings: reviewed findings
    (FINDING_COLUMNS), where `sheet` is the file in the archive and `row` its line.
    quality: different answers of the data-quality tests (TALLY_COLUMNS).
    """

    name: str
    kind: str
    parts: tuple[PartCount, ...]
    findings: pd.DataFrame
    uses: tuple[Use, ...]
    quality: pd.DataFrame = field(default_factory=pd.DataFrame)

    @property
    def has_errors(self) -> bool:
        """True if an error was found."""
        return bool((self.findings["severity"] == "error").any())


def ranked(findings: pd.DataFrame) -> pd.DataFrame:
    """The findings, what blocks most first: errors of form, other errors, warnings, notes; most places first."""
    severity = findings["severity"].map({"error": 0, "warning": 1, "note": 2})
    places = findings.groupby("finding")["finding"].transform("size")
    order = findings.assign(severity_rank=severity, is_value=~is_of_form(findings["rule"]), places=-places)
    keys = ["severity_rank", "is_value", "places", "finding"]
    return findings.loc[order.sort_values(keys, kind="stable").index].reset_index(drop=True)


def is_of_form(rules: pd.Series) -> pd.Series:
    """Rules that are about the form of an archive rather than its values."""
    return rules.isin(FORM_RULES) | rules.str.startswith(FORM_PREFIXES)


def part_counts(contents: ArchiveContents) -> tuple[PartCount, ...]:
    """Rows of each part of an archive."""
    return tuple(
        PartCount(", ".join(file for file, _ in part.starts) or ", ".join(part.locations), part.row_type, part.count)
        for part in contents.parts
    )


def uses_of(contents: ArchiveContents, findings: pd.DataFrame) -> tuple[Use, ...]:
    """The three verdicts on an archive: archiving, effort, disclosure."""
    tree = build_tree(contents)
    said = sum(
        int(((part.text(STATEMENTS[0]) != "") | (part.text(STATEMENTS[1]) != "")).sum()) for part in contents.parts
    )
    return archiving(findings), effort(tree, findings), disclosure(said, findings)


def archiving(findings: pd.DataFrame) -> Use:
    """Can it be archived?"""
    question = "Can it be archived?"
    errors = findings[findings["severity"] == "error"]
    form = errors[is_of_form(errors["rule"])]
    if len(form):
        return Use(question, Answer.NO, f"readers would refuse or misread it: {named(form)}.")
    if len(errors):
        return Use(question, Answer.IN_PART, f"its form holds, and some values cannot be right: {named(errors)}.")
    warnings = findings[findings["severity"] == "warning"]
    if len(warnings):
        return Use(question, Answer.YES, f"no error was found; worth a look before: {named(warnings)}.")
    return Use(question, Answer.YES, "no error and no warning was found.")


def effort(tree: EventTree | None, findings: pd.DataFrame) -> Use:
    """Can its effort be trusted?"""
    question = "Can its effort be trusted?"
    if tree is None:
        return Use(question, Answer.NOTHING, "its rows are no events, so nothing says how long anybody looked.")
    visits = ~tree.is_parent
    with_effort = has_effort(tree)
    count, total = int((with_effort & visits).sum()), int(visits.sum())
    if not with_effort.any():
        reason = "no event has an effort with its unit (samplingEffortValue or sampleSizeValue)"
        words = int((tree.text(DWC + "samplingEffort") != "").sum())
        more = f"; {words} say something in words (samplingEffort)" if words else ""
        return Use(question, Answer.NOTHING, f"{reason}{more}.")
    absence = events_with_inferable_absence(tree)
    told = f"{count} of {total} events without children have an effort, {absence} let absence be read from it"
    errors = findings[(findings["severity"] == "error") & findings["rule"].isin(EFFORT_RULES)]
    if len(errors):
        return Use(question, Answer.NO, f"{told}; against it: {named(errors)}.")
    doubts = findings[(findings["severity"] == "warning") & findings["rule"].isin(EFFORT_RULES)]
    if len(doubts) or count < total:
        against = f"; in doubt: {named(doubts)}" if len(doubts) else ""
        return Use(question, Answer.IN_PART, f"{told}{against}.")
    return Use(question, Answer.YES, f"{told}; nothing speaks against it.")


def has_effort(tree: EventTree) -> np.ndarray:
    """Events with a value of effort and its unit."""
    given = (tree.eco("samplingEffortValue") != "") & (tree.eco("samplingEffortUnit") != "")
    sampled = (tree.text(DWC + "sampleSizeValue") != "") & (tree.text(DWC + "sampleSizeUnit") != "")
    return np.asarray(given | sampled, dtype=bool)


def disclosure(said: int, findings: pd.DataFrame) -> Use:
    """Does it give away what it says it withholds?"""
    question = "Does it give away what it says it withholds?"
    against = findings[findings["rule"].isin(DISCLOSURE_RULES) & (findings["severity"] != "note")]
    if len(against) and said:
        return Use(
            question, Answer.YES, f"{said} rows say that something is withheld or generalised: {named(against)}."
        )
    if not said:
        return Use(question, Answer.NOTHING, "no row says that anything is withheld or generalised.")
    reason = (
        f"{said} rows say so, and nothing was found against it. A place told in words can still be there: read them."
    )
    return Use(question, Answer.NO, reason)


def named(findings: pd.DataFrame) -> str:
    """The rules of findings, those with most places first."""
    counts = findings["rule"].value_counts()
    shown = [f"{rule} ({places})" for rule, places in counts.head(MOST_NAMED).items()]
    more = len(counts) - MOST_NAMED
    return ", ".join(shown) + (f" and {more} more rules" if more > 0 else "")
