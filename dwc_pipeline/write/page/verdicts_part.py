"""The three verdicts at the top of the page, and the first things to do."""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.write.page.data_table import counted, first_sentence, listed, number_text
from dwc_pipeline.write.page.findings_part import RuleGroup, SeverityPart

YES, PARTLY, NO, NOTHING = "yes", "partly", "no", "nothing"
MOST_STEPS = 5


class VerdictOnSeason(NamedTuple):
    """A question a person has of the season. answer: YES, PARTLY, NO or NOTHING (to judge)."""

    question: str
    answer: str
    headline: str
    detail: str
    link: str


class Step(NamedTuple):
    """One thing to do: what, why it comes first, how, and where on the page it stands."""

    what: str
    why: str
    how: str
    link: str


class State(NamedTuple):
    """What the verdicts rest on."""

    archivable: bool
    errors: int
    warnings: int
    checks: pd.DataFrame
    never_closed: list[str]
    questions: pd.DataFrame


def state_of(
    records: Records, survey: SurveyFile, parts: list[SeverityPart], checks: pd.DataFrame, questions: pd.DataFrame
) -> State:
    """The figures that the verdicts and steps use."""
    answers_for = any({"creator", "contact"} & set(person.roles) for person in survey.people)
    counts = {part.severity: part.number for part in parts}
    welfare = records.tables.get("welfare", pd.DataFrame({"sessions_never_closed": [], "place": []}))
    open_still = welfare[welfare["sessions_never_closed"] > 0]
    return State(
        answers_for and bool(len(records.tables["event"])),
        counts["error"],
        counts["warning"],
        checks,
        [str(place) for place in open_still["place"]],
        questions,
    )


def verdicts(state: State) -> list[VerdictOnSeason]:
    """Can it be archived, can its effort be trusted, what must be answered first."""
    return [archive_verdict(state), effort_verdict(state), question_verdict(state)]


def archive_verdict(state: State) -> VerdictOnSeason:
    """Whether the archive can go to a repository."""
    question = "Can it be archived?"
    found = f"{counted(state.errors, 'error')} and {counted(state.warnings, 'warning')} stand."
    if not state.archivable:
        return VerdictOnSeason(
            question, NO, "No, there is no archive yet", f"Nobody answers for it. {found}", "#findings"
        )
    if state.errors:
        told = f"{found} The archive is written so that you can look at it; settle the errors before you hand it on."
        return VerdictOnSeason(question, PARTLY, "Not yet", told, "#findings-error")
    return VerdictOnSeason(question, YES, "Yes", f"No error stands. {found}", "#findings")


def effort_verdict(state: State) -> VerdictOnSeason:
    """Whether catch rates may be computed from the trap log."""
    question, checks = "Can its effort be trusted?", state.checks
    if checks.empty:
        told = "There are no trap checks, so there are no trap-nights to judge."
        return VerdictOnSeason(question, NOTHING, "There is none", told, "#effort")
    unknown, total = int(checks["is_unknown"].sum()), len(checks)
    empty = int((checks["is_empty"] & ~checks["is_unknown"]).sum())
    known = (
        f"Effort is known for {number_text(total - unknown)} of {counted(total, 'trap check')} "
        f"({number_text(checks['trap_nights'].sum(), 1)} trap-nights, {counted(empty, 'empty check')} among them)."
    )
    closed = f" No closing in the log at {listed(state.never_closed)}." if state.never_closed else ""
    if unknown == total:
        return VerdictOnSeason(question, NO, "No, it is unknown", known + closed, "#effort")
    if unknown or state.never_closed:
        told = known + " What is unknown is left out of every rate and counted beside it." + closed
        return VerdictOnSeason(question, PARTLY, f"Yes, but for {counted(unknown, 'check')}", told, "#effort")
    return VerdictOnSeason(question, YES, "Yes", known, "#effort")


def question_verdict(state: State) -> VerdictOnSeason:
    """What only a person can settle."""
    question = "What must be answered first?"
    asked = state.questions
    if asked.empty:
        return VerdictOnSeason(question, YES, "Nothing is open", "No question waits for an answer.", "#questions")
    urgent = asked[asked["severity"] == "error"]
    first = asked.iloc[0]
    named = f"“{first['value']}”: {first['what']}" if first["value"] else str(first["what"])
    told = f"{number_text(len(urgent))} of them hold a record back. The first: {named}"
    return VerdictOnSeason(question, PARTLY, counted(len(asked), "question"), told, f"#q-{first['question']}")


def next_steps(state: State, survey: SurveyFile, records: Records, parts: list[SeverityPart]) -> list[Step]:
    """The first things to do, those that block most first; at most MOST_STEPS."""
    errors, warnings = parts[0].groups, parts[1].groups
    steps = [*archive_steps(state, survey), *effort_steps(state, records)]
    urgent = state.questions[state.questions["severity"] == "error"]
    if len(urgent):
        first = urgent.iloc[0]
        steps.append(
            Step(
                f"Answer the {counted(len(urgent), 'question')} that hold records back",
                f"They touch {counted(int(urgent['cells'].sum()), 'cell')}; nothing is guessed in the meantime.",
                f"Begin with the first one below, {first['question']}: {first['what']}",
                "#questions",
            )
        )
    steps += [correction_step(group) for group in errors if not group.asks]
    others = state.questions[state.questions["severity"] != "error"]
    if len(others):
        steps.append(
            Step(
                f"Answer the {counted(len(others), 'other question')}",
                "They hold nothing back, but each leaves a value out or in doubt.",
                "They stand below, each with what could be meant.",
                "#questions",
            )
        )
    steps += [correction_step(group) for group in warnings if not group.asks]
    return steps[:MOST_STEPS]


def archive_steps(state: State, survey: SurveyFile) -> list[Step]:
    """What keeps the archive from being written at all."""
    if state.archivable:
        return []
    how = f"Name a creator or contact under [[people]] in {survey.path.name}, and have at least one event."
    return [Step("Say who answers for the data", "Without it no archive is written.", how, "#findings")]


def effort_steps(state: State, records: Records) -> list[Step]:
    """Sessions without a closing, and checks whose effort is unknown."""
    steps = []
    if state.never_closed:
        steps.append(
            Step(
                f"Make sure that the traps at {listed(state.never_closed)} are closed",
                "The log holds no closing. An open trap that nobody visits kills animals.",
                "If they were, add the closing to the trap log; nights after the last check are unknown till then.",
                "#welfare",
            )
        )
    unknown = state.checks[state.checks["is_unknown"]]
    if len(unknown):
        animals = records.tables["occurrence"]["eventID"].isin(unknown["eventID"]).sum()
        days = unknown["eventDate"].map(last_day)
        where = [f"{place} {day}" for place, day in zip(unknown["place"], days, strict=True)]
        steps.append(
            Step(
                f"Complete the trap log for {counted(len(unknown), 'check')}",
                f"Their effort is unknown: they, and {counted(int(animals), 'row')} of animals, enter no catch rate.",
                f"Look up in the field book: {listed(where)}.",
                "#calendar",
            )
        )
    return steps


def last_day(event_date: str) -> str:
    """The last day that an eventDate names.

    >>> last_day("2031-05-06T17:08-05:00/2031-05-15T07:04-05:00")
    '2031-05-15'
    """
    return event_date.rsplit("/", 1)[-1][:10] or "without a date"


def correction_step(group: RuleGroup) -> Step:
    """A fault that the sheets or the survey file must be corrected for."""
    cause = group.causes[0]
    place = " ".join(part for part in (cause.first.file, cause.first.sheet) if part)
    cell = f", cell {cause.first.column}{cause.first.row}" if cause.first.row else ""
    count = f" ({counted(group.number, 'finding')}, {counted(group.cells, 'cell')})"
    how = f"{group.remedy} First: {place}{cell}: {cause.message.rstrip('.')}."
    return Step(first_sentence(group.what).rstrip(".") + count, group.why, how, f"#rule-{group.rule}")
