"""All rules about a metafile and the description that it names."""

from __future__ import annotations

from dwc_pipeline.check.archive_fault import Check
from dwc_pipeline.check.metafile.column_rules import COLUMN_CHECKS
from dwc_pipeline.check.metafile.description_rules import DESCRIPTION_CHECKS
from dwc_pipeline.check.metafile.field_rules import FIELD_CHECKS
from dwc_pipeline.check.metafile.structure_rules import STRUCTURE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents

METAFILE_CHECKS: tuple[Check[ArchiveContents], ...] = (
    *STRUCTURE_CHECKS, *FIELD_CHECKS, *COLUMN_CHECKS, *DESCRIPTION_CHECKS,
)  # fmt: skip
