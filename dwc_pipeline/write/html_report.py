"""The page of a run: one self-contained HTML file for the team, without JavaScript and without outside requests."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pandas as pd
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from dwc_pipeline.core.answers import ANSWER_FIELDS, AS_IT_IS, LEAVE_OUT
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.write.page import account_part, animals_part, effort_part, places_part, verdicts_part
from dwc_pipeline.write.page.data_table import first_sentence, sentence
from dwc_pipeline.write.page.findings_part import finding_parts, question_causes, waived_causes

TEMPLATES = Path(__file__).parent / "templates"


@cache
def page_environment() -> Environment:
    """Templates in which every value is escaped, and an unknown name is a mistake of the program."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(sentence=sentence, first_sentence=first_sentence)
    return environment


def report_page(
    records: Records, survey: SurveyFile, findings: pd.DataFrame, questions: pd.DataFrame, accounts: pd.DataFrame
) -> str:
    """The page as text. findings, questions: as reviewed; accounts: the row accounting per sheet.

    The page is for the team: it holds exact places. It is the same, byte for byte, for the same input.
    """
    parts = finding_parts(findings)
    checks = effort_part.check_table(records)
    state = verdicts_part.state_of(records, survey, parts, checks, questions)
    calendar, calendar_days = effort_part.calendar(checks, survey.survey.starts, survey.survey.ends)
    rate_plot, rate_table = animals_part.species_rates(records)
    curve, curve_points = animals_part.accumulation(records)
    place_map, place_table = places_part.places(records)
    return (
        page_environment()
        .get_template("report.html")
        .render(
            survey=survey.survey,
            limits=survey.limits,
            survey_file=survey.path.name,
            style=Markup((TEMPLATES / "style.css").read_text(encoding="utf-8")),  # our own file: no data in it
            verdicts=verdicts_part.verdicts(state),
            steps=verdicts_part.next_steps(state, survey, records, parts),
            parts=parts,
            waived=waived_causes(findings),
            questions=question_causes(questions, findings),
            answers={
                "file": survey.files.answers,
                "fields": ANSWER_FIELDS,
                "as_it_is": AS_IT_IS,
                "leave_out": LEAVE_OUT,
            },
            effort_table=effort_part.effort_table(records, checks),
            by_check=effort_part.by_check_tables(records),
            run_table=effort_part.run_table(records),
            calendar=calendar,
            calendar_days=calendar_days,
            convention=survey.protocol.trap_night,
            rate_plot=rate_plot,
            rate_table=rate_table,
            other_rates=animals_part.other_rates(records),
            curve=curve,
            curve_points=curve_points,
            estimators=animals_part.estimators(records),
            species_table=animals_part.species_table(records),
            welfare_table=animals_part.welfare_table(records),
            place_map=place_map,
            place_table=place_table,
            row_accounts=account_part.row_accounts(accounts),
            row_reasons=account_part.row_reasons(records),
            changes=account_part.changes_by_rule(records),
            editions=account_part.editions(records),
        )
    )
