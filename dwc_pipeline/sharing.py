"""The copies of a season for others: each a function that writes one folder.

What writes a copy is imported where it is used: a check writes none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from dwc_pipeline.core.findings import as_findings
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.detection import WORD_SETS

if TYPE_CHECKING:
    from dwc_pipeline.protect.run import Protected
    from dwc_pipeline.write.agency.copy import AgencyInput

WriteCopy = Callable[[Path], None]


@dataclass(frozen=True)
class Sharable:
    """What copies are made from.

    tables: as written, all text. account: the table species_account. questions: not yet answered.
    checklist: Darwin Core Taxon table; may be empty. boundary: outline of the property, or None.
    """

    tables: Mapping[str, pd.DataFrame]
    account: Callable[[], pd.DataFrame]
    questions: pd.DataFrame
    metadata: DatasetMetadata
    survey: SurveyFile
    checklist: pd.DataFrame
    boundary: Any = None


def copies_of(given: Sharable) -> dict[str, WriteCopy]:
    """Folder name -> function that writes the copy into it, for every audience of the survey file.

    The functions raise OutputRefused if a copy cannot be made, or would give away what it must not.
    """
    share = given.survey.share
    wanted: dict[str, tuple[object, Callable[[Sharable, Path], None]]] = {
        "agency": (share.agency, _write_agency),
        "package": (share.package, _write_package),
        "public": (share.public, _write_public),
    }
    if not len(given.tables["event"]):
        return {}
    return {name: partial(write, given) for name, (settings, write) in wanted.items() if settings is not None}


def _for_agency(given: Sharable) -> AgencyInput:
    from dwc_pipeline.write.agency.copy import AgencyInput

    return AgencyInput(given.tables, given.account(), given.questions, given.metadata, given.survey, given.boundary)


def _write_agency(given: Sharable, folder: Path) -> None:
    from dwc_pipeline.write.agency.copy import write_agency_copy

    write_agency_copy(_for_agency(given), folder)


def sharing_findings(given: Sharable) -> pd.DataFrame:
    """What an audience asks for and its copy cannot give.

    Raises UnreadableFile if the agency's template is no workbook.
    """
    share = given.survey.share.agency
    if share is None or not share.names_something or not len(given.tables["event"]):
        return as_findings([])
    from dwc_pipeline.write.agency.copy import agency_findings

    return agency_findings(_for_agency(given))


def _write_package(given: Sharable, folder: Path) -> None:
    from dwc_pipeline.write.data_package.package import write_data_package

    settings, words = given.survey.share.package, WORD_SETS[given.survey.output.detection_words]
    assert settings is not None
    about = given.survey.survey
    packed = f"{about.code}-{about.season}.tar.gz" if settings.form == "tar.gz" else ""
    write_data_package(given.tables, given.metadata, folder, words, settings.profile_version, packed)


def _write_public(given: Sharable, folder: Path) -> None:
    from dwc_pipeline.leaks.scan import refuse_leaks
    from dwc_pipeline.write.public_copy import write_public_copy

    copy, withheld = protected(given)
    write_public_copy(copy, folder, WORD_SETS[given.survey.output.detection_words])
    refuse_leaks(folder, withheld, given.survey.reading.state_plane)


def protected(given: Sharable) -> Protected:
    """The public copy and what it must not hold.

    Raises ValueError if the survey file has no [share.public].
    """
    from dwc_pipeline.protect.run import protect

    survey, checklist = given.survey, given.checklist
    names = Checklist.from_frame(checklist, survey.files.checklist) if len(checklist) else Checklist()
    return protect(given.tables, given.metadata, survey, names)
