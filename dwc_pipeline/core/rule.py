"""The catalogue of rules: what each finding means, why it matters and what to do.

A rule is declared once, beside the code that raises it; `explain`, the findings, the report and the
generated reference print this same text. The identifier states the fault: `date-has-two-readings`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """error: the record cannot be right or a number would be wrong; warning: probably wrong; note: know it."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True)
class Rule:
    """One rule of the house. `asks` is true where a person's answer settles the finding.

    what: the fault in one sentence. why: what goes wrong in the field or in the numbers if it stays.
    remedy: what to do. source: the published place of the rule, or "common practice, no source".
    """

    id: str
    severity: Severity
    what: str
    why: str
    remedy: str
    source: str = "common practice, no source"
    asks: bool = False


RULES: dict[str, Rule] = {}


def declare(rule: Rule) -> Rule:
    """Enter a rule in the catalogue; a second rule of the same name is a mistake of the program."""
    if rule.id in RULES:
        raise ValueError(f"rule {rule.id} is declared twice")
    if not all((rule.what, rule.why, rule.remedy, rule.source)):
        raise ValueError(f"rule {rule.id} does not explain itself")
    RULES[rule.id] = rule
    return rule
