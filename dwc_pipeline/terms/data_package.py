"""The tables of the Darwin Core Data Package: fields, keys and the terms that they come from.

Source: table schemas 1.0_DEV, a draft (review closed 2026-09-15); one file a table in
schemas/dwc_dp. What binds is the guide (2026-05-26); the schemas are not normative.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from dwc_pipeline.terms.schema import schemas_folder

#: organismQuantityType of a counted number of animals
INDIVIDUALS = "individuals"
#: term of a measurement -> field of an assertion
ASSERTION_TERMS = {
    "measurementID": "assertionID",
    "measurementType": "assertionType",
    "verbatimMeasurementType": "verbatimAssertionType",
    "measurementValue": "assertionValue",
    "measurementUnit": "assertionUnit",
    "measurementAccuracy": "assertionError",
    "measurementDeterminedDate": "assertionMadeDate",
    "measurementDeterminedBy": "assertionBy",
    "measurementMethod": "assertionProtocols",
    "measurementRemarks": "assertionRemarks",
    "measurementTypeID": "assertionTypeIRI",
    "measurementValueID": "assertionValueIRI",
    "measurementUnitID": "assertionUnitIRI",
}


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
    tables = {}
    for path in sorted((schemas_folder() / "dwc_dp").glob("*.json")):
        schema = json.loads(path.read_text(encoding="utf-8"))
        tables[path.stem] = {field["name"]: _field(field, _roles(schema)) for field in schema["fields"]}
    return tables


def _roles(schema: Mapping[str, Any]) -> dict[str, tuple[str, tuple[str, str]]]:
    """Field -> its role, and the table and field that it refers to; a strong role goes before a weak one."""
    roles: dict[str, tuple[str, tuple[str, str]]] = {}
    for strength in ("weak ", ""):
        links = schema.get("weakForeignKeys" if strength else "foreignKeys", [])
        for link in links:
            target = (link["reference"]["resource"] or schema["name"], link["reference"]["fields"])
            roles[link["fields"]] = f"{strength}foreign key", target
        key = schema.get("weakPrimaryKey" if strength else "primaryKey", [])
        for name in [key] if isinstance(key, str) else key:
            roles[name] = f"{strength}primary key", ("", "")
    return roles


def _field(field: Mapping[str, Any], roles: Mapping[str, tuple[str, tuple[str, str]]]) -> PackageField:
    role, references = roles.get(field["name"], ("", ("", "")))
    is_required = bool(field.get("constraints", {}).get("required"))
    term = field.get("dcterms:isVersionOf", "")
    return PackageField(field["name"], field["type"], is_required, role, references, term)
