"""Where every row went, what was changed, and which editions of the words were used."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.records import Records
from dwc_pipeline.terms.schema import schemas_folder
from dwc_pipeline.write.page.data_table import NUMBER, TEXT, DataTable, data_table, number_text

EXAMPLES = 3


def row_accounts(accounts: pd.DataFrame) -> DataTable:
    """Rows of each sheet: read = placed + used + set aside."""
    names = {
        "file": "file", "sheet": "sheet", "read": "rows read", "placed in a table": "placed in a table",
        "used for effort, places or headers": "used for effort, places or headers", "set aside": "set aside",
    }  # fmt: skip
    whole = accounts[list(names)]
    if len(whole):
        total = {**whole.sum(numeric_only=True).to_dict(), "file": "all", "sheet": ""}
        whole = pd.concat([whole, pd.DataFrame([total])], ignore_index=True)[list(names)]
    note = "Read = placed + used + set aside, on every sheet. rows.csv has a line for every row."
    return data_table("Where every row went", whole, names, note=note)


def row_reasons(records: Records) -> DataTable:
    """Why rows were set aside or used."""
    rows = records.rows[records.rows["reason"] != ""]
    counts = rows.groupby(["outcome", "reason"], sort=True).size().reset_index(name="rows")
    return data_table("Reasons", counts, {"outcome": "outcome", "reason": "reason", "rows": "rows"})


def changes_by_rule(records: Records) -> DataTable:
    """Every kind of change with its number and the commonest examples."""
    changes = records.changes
    rows = []
    for (rule, decided_by), block in changes.groupby(["rule", "decided_by"], sort=True):
        pairs = block.groupby(["before", "after"], sort=False, dropna=False).size()
        pairs.index = [f"{before} → {after}" for before, after in pairs.index]
        common = pairs.sort_index().sort_values(ascending=False, kind="stable").index[:EXAMPLES]
        who = "a rule" if decided_by == "rule" else str(decided_by)
        rows.append([str(rule), who, number_text(len(block)), number_text(len(pairs)), "; ".join(common)])
    rows.sort(key=lambda row: (-int(row[2].replace(",", "")), row[0]))
    headers = ["how it was read", "decided by", "cells", "different changes", "examples, as typed → as read"]
    kinds = [TEXT, TEXT, NUMBER, NUMBER, TEXT]
    note = "Every verbatim value is kept. changes.csv has a line for every cell, with the evidence."
    return DataTable("What was changed", headers, kinds, rows, note)


def editions(records: Records) -> DataTable:
    """The names and word lists that the season was read with, each with its source and day of checking."""
    checklist = records.reference.checklist
    rows = []
    if len(checklist) and "nameAccordingTo" in checklist:
        counts = checklist["nameAccordingTo"].astype(str).value_counts(sort=False).sort_index()
        rows += [
            ["names of taxa", f"{source or 'source not told'}: {count} names"] for source, count in counts.items()
        ]
    for path in sorted((schemas_folder() / "vocab").glob("*.csv")):
        rows.append([path.stem, birth_certificate(path.read_text(encoding="utf-8"))])
    terms = (schemas_folder() / "darwin_core_terms.csv").read_text(encoding="utf-8")
    rows.append(["terms of archives", birth_certificate(terms)])
    return DataTable("Editions of names and words", ["list", "source and edition"], [TEXT, TEXT], rows)


def birth_certificate(text: str) -> str:
    """The comment lines at the head of a word list."""
    head = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        head.append(line.removeprefix("#").strip())
    return " ".join(head)
