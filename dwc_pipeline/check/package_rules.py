"""All rules about a data package, and the package seen as an archive, so that the rules about values hold for it."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from dwc_pipeline.check.archive_fault import Check
from dwc_pipeline.check.eml_rules import check_eml
from dwc_pipeline.check.package.descriptor_rules import DESCRIPTOR_CHECKS
from dwc_pipeline.check.package.resource_rules import RESOURCE_CHECKS
from dwc_pipeline.check.package.table_rules import TABLE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchiveField, ArchivePart
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.package_contents import EML_FILE, PackageContents, PackageTable
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.terms.darwin_core import DWC, ECO
from dwc_pipeline.terms.data_package import published_tables

PACKAGE_CHECKS: tuple[Check[PackageContents], ...] = (*DESCRIPTOR_CHECKS, *RESOURCE_CHECKS, *TABLE_CHECKS)
#: tables that an archive has too: row type, key of the event in them
AS_ROW_TYPES = {
    "event": (DWC + "Event", ("event_pk", "eventID")),
    "occurrence": (DWC + "Occurrence", ("event_fk", "eventID")),
    "survey": (ECO + "Event", ("event_fk", "eventID")),
}
#: survey -> its targets -> what they include and exclude
TARGET_TABLES = ("survey-survey-target", "survey-target", "survey-target-descriptor")
#: links that carry another name in an archive
LINKS = {"parentEvent_fk": DWC + "parentEventID"}


def check_package(package: PackageContents) -> pd.DataFrame:
    """Findings about a data package: packing, descriptor, resources, schemas, rows, description."""
    frames = [package.problems, *(check.findings(package, package.name) for check in PACKAGE_CHECKS)]
    if package.description:
        with contextlib.suppress(UnreadableFile):
            frames.append(check_eml(package.description, package.name, EML_FILE))
    return join_findings(frames)


def as_archive(package: PackageContents) -> ArchiveContents:
    """The events, occurrences and surveys of a package as an archive of an event core.

    Strong keys stand for the identifiers of the links; other fields are named by the term that they come from.
    """
    parts = {table.name: _part(table) for table in package.tables if table.name in AS_ROW_TYPES and len(table.header)}
    if "survey" in parts:
        parts["survey"] = _with_scopes(parts["survey"], package)
    return ArchiveContents(
        package.name,
        package.files,
        core=parts.get("event"),
        extensions=[part for name, part in parts.items() if name != "event"],
    )


def _with_scopes(surveys: ArchivePart, package: PackageContents) -> ArchivePart:
    """The surveys with the taxonomic scope that their targets say, as the terms that an archive has for it.

    A package has no scope terms: rows of survey-target-descriptor include or exclude a taxon, and a survey points to
    its targets. A survey with several targets is fully reported if all of them are.
    """
    links, targets, descriptors = (package.table(name) for name in TARGET_TABLES)
    survey = package.table("survey")
    if survey is None or links is None or descriptors is None or not _have_columns(survey, links, descriptors):
        return surveys
    told = descriptors.rows
    taxa = told[told["surveyTargetType"].str.contains("tax", case=False)]
    pairs = links.rows.merge(taxa, on="surveyTarget_fk")
    rows = surveys.rows.copy(deep=False)
    key = survey.rows["survey_pk"]
    for word, term in (("include", "targetTaxonomicScope"), ("exclude", "excludedTaxonomicScope")):
        chosen = pairs[pairs["includeOrExclude"] == word].drop_duplicates(["survey_fk", "surveyTargetValue"])
        scopes = chosen.groupby("survey_fk")["surveyTargetValue"].agg(" | ".join)
        rows[ECO + term] = key.map(scopes).fillna("").astype(object)
    if targets is not None and {"surveyTarget_pk", "isSurveyTargetFullyReported"} <= set(targets.rows):
        full = targets.rows.set_index("surveyTarget_pk")["isSurveyTargetFullyReported"].str.casefold()
        answers = pairs["surveyTarget_fk"].map(full[~full.index.duplicated()]).groupby(pairs["survey_fk"])
        said = answers.agg(lambda given: "true" if (given == "true").all() else "false")
        rows[ECO + "isTaxonomicScopeFullyReported"] = key.map(said).fillna("").astype(object)
    return replace(surveys, rows=rows)


def _have_columns(survey: PackageTable, links: PackageTable, descriptors: PackageTable) -> bool:
    return (
        "survey_pk" in survey.rows
        and {"survey_fk", "surveyTarget_fk"} <= set(links.rows)
        and {"surveyTarget_fk", "surveyTargetType", "surveyTargetValue", "includeOrExclude"} <= set(descriptors.rows)
    )


def other_parts(package: PackageContents) -> Sequence[ArchivePart]:
    """The tables that an archive does not have, with their fields named by terms."""
    return [_part(table) for table in package.tables if table.name not in AS_ROW_TYPES and len(table.header)]


def _part(table: PackageTable) -> ArchivePart:
    published = published_tables()[table.name]
    row_type, keys = AS_ROW_TYPES.get(table.name, (table.name, ()))
    fields: list[ArchiveField] = []
    columns = {}
    for index, name in enumerate(table.header):
        known = published.get(name)
        term = LINKS.get(name, "" if known is None or known.is_strong_key else known.term)
        if term and term not in columns and name in table.rows:
            fields.append(ArchiveField(term, index))
            columns[term] = table.rows[name]
    key = next((name for name in keys if name in table.rows), "")
    index = table.rows.index
    return ArchivePart(
        table.name == "event",
        row_type,
        locations=(table.file,),
        fields=tuple(fields),
        id_index=table.header.index(key) if key else None,
        rows=pd.DataFrame(columns, index=index),
        ids=table.rows[key] if key else pd.Series("", index=index, dtype=object),
        lines=pd.Series(index.to_numpy() + 1, index=index),
        starts=((table.file, 1),),
        width=len(table.header),
        headers=(table.header,),
    )
