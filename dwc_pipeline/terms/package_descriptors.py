"""The published tables of the Darwin Core Data Package, as far as we write them.

Source: Biodiversity Information Standards (TDWG), table schemas 1.0_DEV (2026-07-07), CC BY 4.0; see
schemas/dwc_dp/SOURCE.md.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from copy import deepcopy
from functools import cache
from typing import Any

from dwc_pipeline.terms.schema import schemas_folder

REFERENCES = "dcterms:references"


def profile_url(version: str) -> str:
    """Where the profile of an edition is served from; the one place that knows it (guide 3.1).

    >>> profile_url("1.0")
    'http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json'
    """
    return f"http://rs.tdwg.org/dwc-dp/{version}/dwc-dp-profile.json"


@cache
def _published(table: str) -> dict[str, Any]:
    text = (schemas_folder() / "dwc_dp" / f"{table}.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    for field in schema["fields"]:
        # The draft says "pending" where a term has no version yet, which its own profile refuses (guide: MAY).
        if not field.get(REFERENCES, "http").startswith("http"):
            del field[REFERENCES]
    return schema


@cache
def package_fields(table: str) -> tuple[str, ...]:
    """The fields of a table in their published order."""
    return tuple(field["name"] for field in _published(table)["fields"])


@cache
def required_fields(table: str) -> frozenset[str]:
    """The fields that every row must fill."""
    return frozenset(
        field["name"] for field in _published(table)["fields"] if field.get("constraints", {}).get("required")
    )


def package_schema(table: str, columns: Sequence[str], beside: Collection[str]) -> dict[str, Any]:
    """The Table Schema of a file with some of the columns, made of the published descriptors only.

    columns: in the order of the file. beside: the tables of the same package; keys into others are left out.
    """
    published = deepcopy(_published(table))
    fields = {field["name"]: field for field in published["fields"]}
    schema: dict[str, Any] = {"fields": [fields[name] for name in columns]}
    for key in ("primaryKey", "weakPrimaryKey"):
        if published.get(key) in columns:
            schema[key] = published[key]
    for key in ("foreignKeys", "weakForeignKeys"):
        kept = [
            one
            for one in published.get(key, ())
            if one["fields"] in columns and one["reference"]["resource"] in ("", *beside)
        ]
        if kept:
            schema[key] = kept
    return schema
