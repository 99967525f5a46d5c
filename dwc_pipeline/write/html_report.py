"""The page of a run: one self-contained HTML file for the team, without JavaScript and without outside requests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile

TEMPLATES = Path(__file__).parent / "templates"


def report_page(
    records: Records, survey: SurveyFile, findings: pd.DataFrame, questions: pd.DataFrame, accounts: pd.DataFrame
) -> str:
    """The page as text. findings, questions: as reviewed; accounts: the row accounting per sheet.

    The page is for the team: it holds exact places. It is the same, byte for byte, for the same input.
    """
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template("report.html").render(
        title=survey.survey.title,
        causes=causes_of(findings),
        questions=questions.to_dict("records"),
        accounts=accounts.to_dict("records"),
    )


def causes_of(findings: pd.DataFrame) -> list[dict[str, Any]]:
    """Findings grouped by cause: what is wrong once, with all the cells it touches."""
    made = []
    for identifier, block in findings.groupby("finding", sort=False):
        first = block.iloc[0]
        made.append({"id": identifier, **first.to_dict(), "cells": block.to_dict("records")})
    return made
