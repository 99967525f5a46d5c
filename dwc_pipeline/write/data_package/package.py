"""A Darwin Core Data Package as a folder: datapackage.json, eml.xml and one file a table.

Source: Darwin Core Data Package guide (2026-05-26), sections 3.1 to 3.4; Data Package specification, version 1.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.terms.detection import DetectionWords
from dwc_pipeline.terms.package_descriptors import package_schema, profile_url
from dwc_pipeline.write.data_package.tables import package_tables
from dwc_pipeline.write.eml import eml_document
from dwc_pipeline.write.tables import table_bytes

DESCRIPTOR, METADATA = "datapackage.json", "eml.xml"
#: RFC 4180; a package whose tables keep to it needs no dialect
LINE_END = "\r\n"


def write_data_package(
    tables: Mapping[str, pd.DataFrame],
    metadata: DatasetMetadata,
    folder: Path,
    words: DetectionWords,
    profile_version: str,
) -> list[Path]:
    """Write the package into a folder that exists; the paths written.

    tables: event, occurrence, measurement and humboldt as written, all text.
    Raises OutputRefused if the description lacks what EML demands, or an occurrence does not say whether the taxon
    was detected.
    """
    ready = package_tables(tables, metadata, words)
    written, resources = [], []
    for name, frame in ready.items():
        content = b"".join(table_bytes(frame, list(frame), LINE_END))
        path = folder / f"{name}.csv"
        path.write_bytes(content)
        written.append(path)
        resources.append(resource(name, list(frame), content, ready))
    descriptor = descriptor_of(metadata, resources, profile_version)
    text = json.dumps(descriptor, indent=2, ensure_ascii=False) + "\n"
    (folder / DESCRIPTOR).write_text(text, encoding="utf-8", newline="\n")
    (folder / METADATA).write_bytes(eml_document(metadata))
    return [*written, folder / DESCRIPTOR, folder / METADATA]


def resource(name: str, columns: list[str], content: bytes, ready: Mapping[str, pd.DataFrame]) -> dict[str, Any]:
    """The description of one table."""
    return {
        "name": name,
        "path": f"{name}.csv",
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{hashlib.sha256(content).hexdigest()}",
        "schema": package_schema(name, columns, ready),
    }


def descriptor_of(metadata: DatasetMetadata, resources: list[dict[str, Any]], profile_version: str) -> dict[str, Any]:
    """datapackage.json; what is not known is left out. No clock is asked: `created` is the day of publication."""
    licence = metadata.licence
    people = [
        {"title": party.name or party.organisation, "role": "author" if "creator" in party.roles else "contributor"}
        | ({"path": f"https://orcid.org/{party.orcid}"} if party.orcid else {})
        for party in metadata.people
        if party.name or party.organisation
    ]
    told: dict[str, Any] = {
        "profile": profile_url(profile_version),
        "id": metadata.package_id,
        "created": f"{metadata.pub_date}T00:00:00Z" if len(metadata.pub_date) == len("2031-01-01") else "",
        "version": metadata.version,
        "title": metadata.title,
        "description": metadata.abstract,
        "keywords": list(metadata.keywords),
        "contributors": people,
        "licenses": [{"name": licence.identifier or licence.name, "path": licence.url, "title": licence.name}]
        if licence and licence.url
        else [],
        "resources": resources,
    }
    return {name: value for name, value in told.items() if value}
