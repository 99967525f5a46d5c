"""The fields that a row of a field sheet can have: schemas/sheet/<kind>.json."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache

from dwc_pipeline.terms.schema import schemas_folder

SHEET_KINDS = ("place", "trap_log", "road_run", "search", "capture")


@dataclass(frozen=True)
class SheetField:
    """One field: how its cells are read, in which unit and from which word list, and its usual headers."""

    name: str
    description: str
    reading: str
    unit: str = ""
    quantity: str = ""
    vocabulary: str = ""
    headers: tuple[str, ...] = ()


@cache
def sheet_fields(kind: str) -> dict[str, SheetField]:
    """The fields of one kind of row, by name, in the order of the schema."""
    document = json.loads((schemas_folder() / "sheet" / f"{kind}.json").read_text(encoding="utf-8"))
    return {
        field["name"]: SheetField(
            field["name"],
            field["description"],
            field["reading"],
            field.get("unit", ""),
            field.get("quantity", ""),
            field.get("vocabulary", ""),
            tuple(field["headers"]),
        )
        for field in document["fields"]
    }
