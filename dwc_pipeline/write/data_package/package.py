"""A Darwin Core Data Package, a folder or packed: datapackage.json, eml.xml, a README and one file a table.

Source: Darwin Core Data Package guide (2026-05-26), sections 3.1 to 3.4; Data Package specification, version 1.
"""

from __future__ import annotations

import hashlib
import json
import textwrap
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.terms.detection import DetectionWords
from dwc_pipeline.terms.package_descriptors import package_schema, profile_url
from dwc_pipeline.write.about_text import WIDTH, about_lines, heading
from dwc_pipeline.write.data_package.tables import package_tables
from dwc_pipeline.write.eml import eml_document
from dwc_pipeline.write.tables import table_bytes
from dwc_pipeline.write.tar_bytes import write_tar_gz

DESCRIPTOR, METADATA, README = "datapackage.json", "eml.xml", "README.txt"
#: RFC 4180; a package whose tables keep to it needs no dialect
LINE_END = "\r\n"


def write_data_package(
    tables: Mapping[str, pd.DataFrame],
    metadata: DatasetMetadata,
    folder: Path,
    words: DetectionWords,
    profile_version: str,
    packed_as: str = "",
) -> list[Path]:
    """Write the package into a folder that exists; the paths written.

    tables: event, occurrence, measurement and humboldt as written, all text. packed_as: name of a .tar.gz file that
    holds the whole package; a folder of files where left out. The README stands beside a packed one too.
    Raises OutputRefused if the description lacks what EML demands, or an occurrence does not say whether the taxon
    was detected.
    """
    members = package_members(tables, metadata, words, profile_version)
    if packed_as:
        written = [write_tar_gz(folder / packed_as, members)]
        members = {README: members[README]}
    else:
        written = []
    for name, content in members.items():
        (folder / name).write_bytes(content)
        written.append(folder / name)
    return written


def package_members(
    tables: Mapping[str, pd.DataFrame], metadata: DatasetMetadata, words: DetectionWords, profile_version: str
) -> dict[str, bytes]:
    """The content of every file of the package by its name."""
    ready = package_tables(tables, metadata, words)
    members, resources = {}, []
    for name, frame in ready.items():
        content = b"".join(table_bytes(frame, list(frame), LINE_END))
        members[f"{name}.csv"] = content
        resources.append(resource(name, list(frame), content, ready))
    descriptor = descriptor_of(metadata, resources, profile_version)
    members[DESCRIPTOR] = (json.dumps(descriptor, indent=2, ensure_ascii=False) + "\n").encode()
    members[METADATA] = eml_document(metadata)
    members[README] = readme_text(metadata, {name: len(frame) for name, frame in ready.items()}).encode()
    return members


def readme_text(metadata: DatasetMetadata, counts: Mapping[str, int]) -> str:
    """The README: what the data set is, and how many rows each table has."""
    abstract = [*textwrap.wrap(metadata.abstract, WIDTH), ""] if metadata.abstract else []
    rows = [f"{name}.csv: {count} rows" for name, count in counts.items()]
    kind = "Darwin Core Data Package; datapackage.json describes every table and column, eml.xml the data set."
    return "\n".join([*heading(metadata.title), *abstract, *about_lines(metadata), "", kind, "", *rows]) + "\n"


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
    people += [{"title": metadata.publisher, "role": "publisher"}] if metadata.publisher else []
    told: dict[str, Any] = {
        "profile": profile_url(profile_version),
        "id": f"https://doi.org/{metadata.doi}" if metadata.doi else metadata.package_id,
        "created": f"{metadata.pub_date}T00:00:00Z" if len(metadata.pub_date) == len("2031-01-01") else "",
        "version": metadata.version,
        "title": metadata.title,
        "description": metadata.abstract,
        "citation": metadata.cited,
        "rightsHolder": metadata.rights_holder,
        "changes": metadata.changes,
        "keywords": list(metadata.keywords),
        "contributors": people,
        "licenses": [{"name": licence.identifier or licence.name, "path": licence.url, "title": licence.name}]
        if licence and licence.url
        else [],
        "resources": resources,
    }
    return {name: value for name, value in told.items() if value}
