"""The copies of a season for others: each a function that writes one folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pandas as pd

from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.leaks.scan import refuse_leaks
from dwc_pipeline.protect.run import protect
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.write.public_copy import write_public_copy

WriteCopy = Callable[[Path], None]


def copies_of(
    tables: Mapping[str, pd.DataFrame], metadata: DatasetMetadata, survey: SurveyFile, checklist: pd.DataFrame
) -> dict[str, WriteCopy]:
    """Folder name -> function that writes the copy into it, for every audience of the survey file.

    tables: as written, all text. checklist: Darwin Core Taxon table; may be empty.
    The functions raise OutputRefused if a copy cannot be made, or would give away what it must not.
    """
    made: dict[str, WriteCopy] = {}
    if survey.share.public is not None and len(tables["event"]):
        made["public"] = lambda folder: _write_public(tables, metadata, survey, checklist, folder)
    return made


def _write_public(
    tables: Mapping[str, pd.DataFrame],
    metadata: DatasetMetadata,
    survey: SurveyFile,
    checklist: pd.DataFrame,
    folder: Path,
) -> None:
    names = Checklist.from_frame(checklist, survey.files.checklist) if len(checklist) else Checklist()
    copy, withheld = protect(tables, metadata, survey, names)
    write_public_copy(copy, folder, WORD_SETS[survey.output.detection_words])
    refuse_leaks(folder, withheld, survey.reading.state_plane)
