"""The numbered rules of the published documents, and which rule of ours speaks of each (a table in schemas)."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from dwc_pipeline.terms.schema import schemas_folder


@dataclass(frozen=True)
class StandardRule:
    """One rule of a document. rules: identifiers of ours that speak of it; reason: why there is none.

    section: where it stands, or the term or part that it is about.
    """

    document: str
    number: str
    section: str
    about: str
    rules: tuple[str, ...]
    reason: str


@cache
def standard_rules() -> tuple[StandardRule, ...]:
    """All of them in the order of the documents."""
    path = schemas_folder() / "standard_rules.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        return tuple(StandardRule(**{**row, "rules": tuple(row["rules"].split())}) for row in rows)  # type: ignore[arg-type]


def numbers_of(rule: str) -> list[str]:
    """The numbers of the rules that one of ours speaks of, each with its document and section.

    >>> numbers_of("archive-has-no-metafile")
    ['T1 (text guide, 2)']
    """
    return [f"{one.number} ({one.document}, {one.section})" for one in standard_rules() if rule in one.rules]
