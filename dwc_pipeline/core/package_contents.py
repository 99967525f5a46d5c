"""What a data package that anybody may have made holds, as far as it can be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from dwc_pipeline.core.findings import as_findings

DESCRIPTOR = "datapackage.json"
EML_FILE = "eml.xml"


@dataclass(frozen=True)
class PackageTable:
    """One resource that is a table.

    resource: its part of the descriptor. file: path in the package. header: the first line.
    rows: text, "" for missing, columns as in the header (of two with one name the first), index from 1.
    line_end: of the first line, "" where there is none.
    """

    name: str
    file: str
    resource: Mapping[str, Any]
    header: tuple[str, ...] = ()
    rows: pd.DataFrame = field(default_factory=pd.DataFrame)
    line_end: str = ""

    @property
    def schema(self) -> Mapping[str, Any]:
        """The schema of the resource; empty if it is no object."""
        found = self.resource.get("schema")
        return found if isinstance(found, Mapping) else {}

    @property
    def fields(self) -> tuple[Mapping[str, Any], ...]:
        """The fields of the schema, those that are no objects left out."""
        found = self.schema.get("fields")
        return tuple(one for one in found if isinstance(one, Mapping)) if isinstance(found, list) else ()


@dataclass(frozen=True)
class PackageContents:
    """A data package as read.

    name: path as the person knows it. container: "folder", "gzip" or "zip". folder: where its files are now.
    files: all of them, relative to the descriptor. inner: the folder in which the descriptor lies, "" at the root.
    descriptor: as parsed, empty if it is no JSON object. description: bytes of eml.xml.
    problems: findings of the reader.
    """

    name: str
    container: str
    folder: Path
    files: tuple[str, ...]
    inner: str = ""
    descriptor: Mapping[str, Any] = field(default_factory=dict)
    description: bytes = b""
    tables: tuple[PackageTable, ...] = ()
    problems: pd.DataFrame = field(default_factory=lambda: as_findings([]))

    @property
    def resources(self) -> tuple[Mapping[str, Any], ...]:
        """The resources that are objects."""
        found = self.descriptor.get("resources")
        return tuple(one for one in found if isinstance(one, Mapping)) if isinstance(found, list) else ()

    def table(self, name: str) -> PackageTable | None:
        """The first table of that name."""
        return next((table for table in self.tables if table.name == name), None)
