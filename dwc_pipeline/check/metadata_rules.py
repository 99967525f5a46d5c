"""What an archive's readers will miss in the metadata."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare

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
