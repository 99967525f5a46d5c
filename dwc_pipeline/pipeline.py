"""The stages in order, and the uses a person has for them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

from dwc_pipeline.assemble.run import assemble
from dwc_pipeline.check.run import check
from dwc_pipeline.core.accounts import balance, settle
from dwc_pipeline.core.records import Records
from dwc_pipeline.normalise.run import normalise
from dwc_pipeline.read.run import read
from dwc_pipeline.reshape.run import reshape
from dwc_pipeline.settings import SurveyFile, read_survey_file

#: each: (Records, SurveyFile) -> Records, and what is told of it
STAGES = (
    (reshape, "finding the records on the sheets"),
    (normalise, "reading names, dates, places and measures"),
    (assemble, "building events, effort and occurrences"),
    (check, "checking"),
)


def prepare(survey: SurveyFile, today: dt.date, tell: Callable[[str], None] = lambda _: None) -> Records:
    """Read the sheets of a survey and walk them through all stages; nothing is written.

    today: the day that counts as today. tell: called with a short text before each stage.
    Raises PipelineError if a file cannot be read; faults in the data become findings.
    """
    records = read(survey, today, tell)
    for stage, what in STAGES:
        tell(what)
        records = stage(records, survey)
    records = records.with_(rows=settle(records.rows))
    balance(records.rows, records.row_counts)
    return records


def prepare_file(
    path: Path, today: dt.date, tell: Callable[[str], None] = lambda _: None
) -> tuple[SurveyFile, Records]:
    """The same from the path of a survey file."""
    survey = read_survey_file(path)
    return survey, prepare(survey, today, tell)
