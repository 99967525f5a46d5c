"""Habits of a sheet of days, effort and masses: from the survey file, from an answer, else asked once a sheet."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from dwc_pipeline.core.answers import Answers, question_id
from dwc_pipeline.core.findings import READINGS_SEPARATOR, findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

MORNING, EVENING = "morning", "evening"
CHECKED_FIRST, WHOLE_DAY = "after the morning check", "whole day"
WITH_BAG, WITHOUT_BAG = "with the bag", "without the bag"

DATE_NAMES_WHICH_DAY = declare(
    Rule(
        "which-day-the-date-names",
        Severity.WARNING,
        "Nobody has said whether the date of an overnight check is that of the morning or of the evening before.",
        "Every check of the sheet, and every animal of it, may stand a day too early; nights are then lost at the "
        "opening or counted twice at the closing.",
        "Answer the question, or write date_names under [table.habits] in the survey file. Until then the dates stay "
        "as typed.",
        asks=True,
    )
)
WAS_IT_CHECKED_THAT_DAY = declare(
    Rule(
        "was-a-closed-day-checked",
        Severity.WARNING,
        "An array was closed on a day without a time, and nobody has said whether it was checked before that.",
        "If the traps stood closed all that day, the night before it caught nothing.",
        "Answer the question, write closed_day under [table.habits] in the survey file, or give the time of the "
        "closing. Until then the effort of the last night is unknown.",
        asks=True,
    )
)
IS_THE_BAG_IN_THE_MASS = declare(
    Rule(
        "is-the-bag-in-the-mass",
        Severity.WARNING,
        "The sheet gives the mass of the bag beside that of the animal, and nobody has said whether the bag is "
        "already taken off.",
        "With the bag still in it an animal is too heavy, a small one by more than its own mass; with the bag taken "
        "off twice it is too light.",
        "Answer the question, or write mass_is under [table.habits] in the survey file. Until then the masses of "
        "rows with a bag stay blank.",
        asks=True,
    )
)
ASKED = {
    "date_names": (DATE_NAMES_WHICH_DAY, (MORNING, EVENING)),
    "closed_day": (WAS_IT_CHECKED_THAT_DAY, (CHECKED_FIRST, WHOLE_DAY)),
    "mass_is": (IS_THE_BAG_IN_THE_MASS, (WITH_BAG, WITHOUT_BAG)),
}


def sheet_cause(file: str, sheet: str) -> str:
    """What the question about a habit is bound to."""
    return f"{file}\x1f{sheet}"


def habit_of(habit: str, declared: str, cause: str, answers: Answers) -> tuple[str, frozenset[str]]:
    """The habit of one sheet, "" where nobody has said, and the question that an answer settled.

    declared: what the survey file says. cause: from `sheet_cause`.
    """
    if declared:
        return declared, frozenset()
    rule, words = ASKED[habit]
    question = question_id(rule.id, cause)
    answer = answers.get(question)
    if answer is None or answer.text.casefold() not in words:
        return "", frozenset()
    return answer.text.casefold(), frozenset({question})


def habits_of(habit: str, sheets: Iterable[tuple[str, str]], answers: Answers) -> tuple[list[str], frozenset[str]]:
    """As `habit_of` for several sheets, each given as declared and cause; the questions that answers settled."""
    told = [habit_of(habit, declared, cause, answers) for declared, cause in sheets]
    return [said for said, _ in told], frozenset().union(*(settled for _, settled in told))


def habit_questions(
    habit: str, kind: str, cells: pd.DataFrame, message: pd.Series | str, field: str = "eventDate"
) -> pd.DataFrame:
    """One question a sheet, at its first row.

    cells: by tidy row: cause (from `sheet_cause`) and value, of the rows that hang on the habit. message: one text,
    or one by tidy row. field: the field whose cells hang on it.
    """
    rule, words = ASKED[habit]
    first = cells.drop_duplicates("cause")
    asked = message.reindex(first.index) if isinstance(message, pd.Series) else message
    number = first["cause"].map(cells["cause"].value_counts()).astype(str)
    return findings_on_rows(
        rule,
        kind,
        first.index,
        field,
        value=first["value"],
        cause=first["cause"],
        message=asked + "; " + number + " rows of the sheet hang on it",
        readings=READINGS_SEPARATOR.join(words),
    )
