"""What an archive's readers will miss in the metadata."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.licence import licence

METADATA_MISSING = declare(
    Rule(
        "metadata-missing",
        Severity.WARNING,
        "The metadata of the data set lack something that archives commonly require.",
        "A repository sends the archive back, or readers cannot tell what the data are and how they may use them.",
        "Add it to [dataset] or [[people]] in the survey file.",
        asks=True,
    )
)
NO_ARCHIVE = declare(
    Rule(
        "archive-not-written",
        Severity.ERROR,
        "The archive could not be written.",
        "The season's tables are there, but there is nothing to hand to a repository.",
        "Do what the message says, then run again.",
    )
)
VERSION_NOT_RAISED = declare(
    Rule(
        "version-not-raised",
        Severity.WARNING,
        "Rows changed since the previous release, and the version of the data set is still the same.",
        "Two different data sets would go by one name, and nobody could tell which one was cited.",
        "Raise `version` under [dataset] in the survey file, or name another previous release.",
    )
)
LICENCE_SELDOM_TAKEN = declare(
    Rule(
        "licence-seldom-taken",
        Severity.NOTE,
        "The licence is one that registries of biodiversity data commonly do not take.",
        "The archive may be sent back; the three that are commonly taken are CC0-1.0, CC-BY-4.0 and CC-BY-NC-4.0.",
        "Ask the registry first, or choose another licence under [dataset] if you may.",
    )
)


def metadata_findings(missing: Sequence[str], survey_file: str) -> pd.DataFrame:
    """One finding for each thing that is missing."""
    return as_findings(
        finding_at(
            METADATA_MISSING, file=survey_file, field="dataset", value=what.split(":")[0], message=what, cause=what
        )
        for what in missing
    )


def no_archive(why: str, survey_file: str) -> pd.DataFrame:
    """The finding that there is no archive, and why."""
    return as_findings([finding_at(NO_ARCHIVE, file=survey_file, message=why)])


def version_findings(previous: str, version: str, changes: int, survey_file: str) -> pd.DataFrame:
    """A finding if something changed and the version did not."""
    if not changes or not previous or previous != version:
        return as_findings([])
    message = f"version {version}: {changes} values or rows changed since the previous release of the same version"
    return as_findings(
        [finding_at(VERSION_NOT_RAISED, file=survey_file, field="dataset", value=version, message=message)]
    )


def licence_findings(survey: SurveyFile) -> pd.DataFrame:
    """A finding if registries commonly do not take the licence."""
    chosen = licence(survey.dataset.license)
    if chosen is None or chosen.is_common:
        return as_findings([])
    message = f"licence {chosen.identifier} is commonly not taken by registries of biodiversity data"
    return as_findings(
        [
            finding_at(
                LICENCE_SELDOM_TAKEN,
                file=survey.path.name,
                field="dataset",
                value=chosen.identifier,
                message=message,
            )
        ]
    )
