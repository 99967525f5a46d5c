"""The tables of the Darwin Core Data Package: fields, keys and the terms that they come from.

Source: table schemas 1.0_DEV, a draft (review closed 2026-09-15); the data are schemas/data_package_fields.csv. What
binds is the guide (2026-05-26); the schemas are not normative.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from dwc_pipeline.terms.schema import schemas_folder


@dataclass(frozen=True)
class PackageField:
    """One published field. role: "", primary key, foreign key, weak primary key, weak foreign key.

    references: table and field that a foreign key points to. term: identifier of the term that it comes from.
    """

    name: str
    type: str
    is_required: bool
    role: str
    references: tuple[str, str]
    term: str

    @property
    def is_strong_key(self) -> bool:
        """True for a key that only holds within the package."""
        return self.role in ("primary key", "foreign key")


@cache
def published_tables() -> dict[str, dict[str, PackageField]]:
    """Every reserved table by name, its fields by name in their order."""
    path = schemas_folder() / "data_package_fields.csv"
    tables: dict[str, dict[str, PackageField]] = {}
    with path.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(line for line in lines if not line.startswith("#")):
            tables.setdefault(row["table"], {})[row["field"]] = PackageField(
                row["field"],
                row["type"],
                row["required"] == "yes",
                row["role"],
                (row["references_table"], row["references_field"]),
                row["source_term"],
            )
    return tables
