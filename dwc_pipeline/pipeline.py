"""The stages in order, and the uses a person has for them.

What only one use needs is imported where it is used: the check of an evening would wait for it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from dwc_pipeline.assemble.dataset_metadata import dataset_metadata
from dwc_pipeline.assemble.earlier_register import with_earlier_register
from dwc_pipeline.assemble.run import assemble
from dwc_pipeline.check.metadata_rules import licence_findings, metadata_findings, no_archive, version_findings
from dwc_pipeline.check.run import check
from dwc_pipeline.core.accounts import balance, settle
from dwc_pipeline.core.findings import as_findings
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.review import Waived, located_changes, open_questions, review_findings
from dwc_pipeline.errors import BadSurveyFile, UnreadableFile
from dwc_pipeline.normalise.run import normalise
from dwc_pipeline.read.run import read, read_all_files
from dwc_pipeline.reshape.run import reshape
from dwc_pipeline.settings import SurveyFile, read_survey_file
from dwc_pipeline.sharing import Sharable, copies_of, protected, sharing_findings
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.terms.schema import refuse_faulty_tables
from dwc_pipeline.write.eml import missing_metadata
from dwc_pipeline.write.season_output import SeasonOutput, declared, write_register, write_season
from dwc_pipeline.write.whole_file import whole_folder

if TYPE_CHECKING:
    from dwc_pipeline.leaks.scan import Leak

Tell = Callable[[str], None]

#: each: (Records, SurveyFile) -> Records, and what is told of it
STAGES = (
    (reshape, "finding the records on the sheets"),
    (normalise, "reading names, dates, places and measures"),
    (assemble, "building events, effort and occurrences"),
    (check, "checking"),
)
#: tables of schemas/ that are written; the other tables are summaries.
DECLARED_TABLES = ("event", "occurrence", "measurement", "place", "effort", "humboldt")
OUT_FOLDER, MARKED_FOLDER = "out", "marked"


def quiet(_: str) -> None:
    """Tell nobody."""


@dataclass(frozen=True)
class Season:
    """A season as prepared: records, reviewed findings, open questions, accounts per sheet, metadata.

    tables: those of schemas/ as they are written, all text.
    """

    survey: SurveyFile
    records: Records
    tables: Mapping[str, pd.DataFrame]
    findings: pd.DataFrame
    questions: pd.DataFrame
    accounts: pd.DataFrame
    metadata: DatasetMetadata

    @property
    def has_errors(self) -> bool:
        """True if an error stands that nobody waived."""
        return bool(((self.findings["severity"] == "error") & (self.findings["waived"] == "")).any())


def prepare(survey: SurveyFile, today: dt.date, tell: Tell = quiet, to_write: bool = True) -> Season:
    """Read the sheets of a survey and walk them through all stages; nothing is written.

    today: the day that counts as today. tell: called with a short text before each stage. to_write: False where only
    the findings are wanted: the tables are then not held against their declaration.
    Raises PipelineError if a file cannot be read, or if a table is not as declared (a fault of the program); faults
    in the data become findings.
    """
    records = read(survey, today, tell)
    if survey.files.earlier_archive and records.reference.identifiers.empty:
        from dwc_pipeline.read.archive_file import read_archive

        earlier = read_archive(survey.folder / survey.files.earlier_archive, survey.files.earlier_archive)
        records = with_earlier_register(records, earlier, survey.survey.code)
    for stage, what in STAGES:
        tell(what)
        records = stage(records, survey)
    records = records.with_(rows=settle(records.rows))
    accounts = balance(records.rows, records.row_counts)
    tables = {name: declared(name, records.tables[name]) for name in DECLARED_TABLES}
    metadata = dataset_metadata(survey, records.tables)
    gaps = [metadata_findings(missing_metadata(metadata), survey.path.name), licence_findings(survey)]
    if survey.dataset.previous_release:
        tell("comparing with the previous release")
        metadata, found = with_changes(metadata, survey, tables)
        gaps.append(found)
    if not can_be_archived(metadata, records):
        gaps.append(
            no_archive("name a creator or contact under [[people]], and have at least one event", survey.path.name)
        )
    nothing = as_findings([])
    unreviewed = Season(survey, records, tables, nothing, nothing, accounts, metadata)
    gaps.append(sharing_findings(sharable(unreviewed)))
    records = records.with_(findings=gaps)
    waivers = [Waived(one.rule, one.file, one.value, one.reason) for one in survey.waive]
    findings, answered = review_findings(records, waivers, survey.files.answers)
    if to_write:
        refuse_faulty_tables(tables)
    reviewed = records.with_(answered=answered)
    return replace(unreviewed, records=reviewed, findings=findings, questions=open_questions(findings))


def with_changes(
    metadata: DatasetMetadata, survey: SurveyFile, tables: Mapping[str, pd.DataFrame]
) -> tuple[DatasetMetadata, pd.DataFrame]:
    """The description with what changed since the previous release, and a finding if its version was not raised.

    Raises UnreadableFile if the previous release cannot be read.
    """
    from dwc_pipeline.read.output_tables import read_version
    from dwc_pipeline.versions import changes_since, in_short

    previous = read_version(survey.folder / survey.dataset.previous_release)
    changes = changes_since(previous, tables).changes
    since = f"version {previous.number}" if previous.number else f"the release {previous.name}"
    told = f"Changes since {since}: {in_short(changes)}."
    found = version_findings(previous.number, metadata.version, len(changes), survey.path.name)
    return replace(metadata, changes=told, previous_version=previous.number), found


def can_be_archived(metadata: DatasetMetadata, records: Records) -> bool:
    """True if there is something to archive and somebody who answers for it."""
    return bool(metadata.with_role("creator") or metadata.with_role("contact")) and bool(len(records.tables["event"]))


def run_survey(
    path: Path, out: Path | None, today: dt.date, tell: Tell = quiet, mark: bool = False
) -> tuple[Season, Path]:
    """The whole way from a survey file to its output folder; also the folder that was written.

    out: the folder; `out` beside the survey file where left out. mark: also write marked copies of the raw files.
    Raises PipelineError if the survey file or a raw file cannot be read, or the folder cannot be written.
    """
    from dwc_pipeline.write.html_report import report_page

    season = prepare(read_survey_file(path), today, tell)
    survey, records = season.survey, season.records
    target = out or survey.folder / OUT_FOLDER
    tell("writing")
    summaries = {
        name: table for name, table in records.tables.items() if name not in (*DECLARED_TABLES, "identifiers")
    }
    output = SeasonOutput(
        name=f"{survey.survey.code}-{survey.survey.season}",
        tables=season.tables,
        summaries=summaries,
        findings=season.findings,
        questions=season.questions,
        changes=located_changes(records),
        rows=records.rows,
        leftovers=records.leftovers,
        metadata=season.metadata if can_be_archived(season.metadata, records) else None,
        words=WORD_SETS[survey.output.detection_words],
        copies=copies_of(sharable(season)) | (marked_copies(season) if mark else {}),
        page=report_page(season.records, survey, season.findings, season.questions, season.accounts),
    )
    write_season(output, target)
    write_register(records.tables["identifiers"], survey.folder / survey.files.identifiers)
    return season, target


def marked_copies(season: Season) -> dict[str, Callable[[Path], None]]:
    """What writes the marked copies of the raw files, by the name of its folder."""
    from dwc_pipeline.write.marked.copies import write_marked_copies
    from dwc_pipeline.write.marked.raw_copy import RawFile

    def write(folder: Path) -> None:
        sheets, _ = read_all_files(season.survey, quiet)
        files = [RawFile(path, own[0].file, own) for path, own in sheets.items() if own]
        write_marked_copies(files, season.findings, folder)

    return {MARKED_FOLDER: write}


def mark_raw_files(season: Season, folder: Path | None, tell: Tell = quiet) -> Path:
    """Write marked copies of the raw files, all of them or none; the folder that was written.

    folder: `marked` beside the survey file where left out. Raises OutputRefused if it cannot be written.
    """
    target = folder or season.survey.folder / MARKED_FOLDER
    tell("marking the cells of the findings")
    with whole_folder(target) as building:
        marked_copies(season)[MARKED_FOLDER](building)
    return target


def sharable(season: Season) -> Sharable:
    """What the copies of a season for others are made from."""
    records = season.records
    return Sharable(
        tables=season.tables,
        account=lambda: records.tables["species_account"],
        questions=season.questions,
        metadata=season.metadata,
        survey=season.survey,
        checklist=records.reference.checklist,
        boundary=records.reference.boundary,
    )


def leaks_against(path: Path, survey_file: Path, today: dt.date, tell: Tell = quiet) -> list[Leak]:
    """What a file or folder of any kind gives away of that which a survey file keeps from the public.

    Raises PipelineError if the survey file cannot be read or has no [share.public], or if there is no such path.
    """
    from dwc_pipeline.leaks.scan import leaks_in

    survey = read_survey_file(survey_file)
    if survey.share.public is None:
        lacking = "share.public: is missing. Add it, so that it is known what is withheld."
        raise BadSurveyFile(str(survey_file), [lacking])
    if not path.exists():
        raise UnreadableFile(f"{path}: there is no such file or folder. Check the name.")
    season = prepare(survey, today, tell)
    tell("looking for leaks")
    return leaks_in(path, protected(sharable(season)).withheld, survey.reading.state_plane)


def findings_of(path: Path, today: dt.date, tell: Tell = quiet) -> pd.DataFrame:
    """The reviewed findings of a survey file with its sheets, of a Darwin Core archive or of a data package.

    Raises PipelineError if the path can be read as none of these.
    """
    if path.suffix.lower() == ".toml":
        return prepare(read_survey_file(path), today, tell, to_write=False).findings
    from dwc_pipeline.archive_check import check_archive_file

    return check_archive_file(path, today, tell=tell).findings
