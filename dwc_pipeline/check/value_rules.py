"""All rules about the values of one row, and their run over an archive.

What each rule goes by stands with it; docs/archive_rules.md lists the rules of the standards and what became of each.
"""

from __future__ import annotations

import datetime as dt

import pandas as pd

from dwc_pipeline.check.part_block import Block
from dwc_pipeline.check.value_check import EachTermCheck, ValueCheck, ValueFindings, on_every
from dwc_pipeline.check.values.date_part_rules import DATE_PART_CHECKS
from dwc_pipeline.check.values.disclosure_rules import DISCLOSURE_CHECKS
from dwc_pipeline.check.values.event_date_rules import DATE_CHECKS
from dwc_pipeline.check.values.humboldt_relations import HUMBOLDT_RELATION_CHECKS
from dwc_pipeline.check.values.humboldt_values import HUMBOLDT_VALUE_CHECKS
from dwc_pipeline.check.values.location_rules import LOCATION_CHECKS
from dwc_pipeline.check.values.record_rules import RECORD_CHECKS
from dwc_pipeline.check.values.word_rules import WORD_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.rule import Rule, Severity

#: what database exports write for an empty value
WRITTEN_OUT = frozenset({"\\N", "null", "NULL"})


@on_every(
    Rule(
        id="null-is-written-out",
        severity=Severity.WARNING,
        what="An empty value is written as backslash N, or as the word null.",
        why="A database export writes it so; readers take it for a value.",
        remedy="Write an empty cell.",
        source="Darwin Core text guide 4; the word null: draft Biodiversity Data Quality standard, official row 155",
    ),
    lambda term: True,
    WRITTEN_OUT,
)
def null_check(text: str) -> str:
    """Empty cells are empty."""
    return "stands for an empty cell" if text in WRITTEN_OUT else ""


VALUE_CHECKS: tuple[ValueCheck | EachTermCheck, ...] = (
    *DATE_CHECKS, *DATE_PART_CHECKS, *LOCATION_CHECKS, *RECORD_CHECKS, *WORD_CHECKS, *HUMBOLDT_VALUE_CHECKS,
    *HUMBOLDT_RELATION_CHECKS, *DISCLOSURE_CHECKS, null_check,
)  # fmt: skip


def check_values(contents: ArchiveContents, today: dt.date) -> pd.DataFrame:
    """Findings about the values of an archive that is in memory: one line a distinct faulty value.

    today: dates after it are in the future.
    """
    found = ValueFindings(VALUE_CHECKS)
    for part in contents.parts:
        found.take(Block(part, today))
    return found.findings(contents.name)
