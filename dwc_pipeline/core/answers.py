"""A person's answers: found by the question's identifier, applied again at every run.

A question's identifier depends on the rule, the field and the cause (the value, and the sheet where the
meaning depends on it), never on a row number: answers survive re-sorting.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at, stable_id
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import BadAnswers

ANSWER_FIELDS = ("question", "what", "scope", "answer", "by", "date", "why")
AS_IT_IS = "as it is"
#: how the reason ends why something is unknown until a person has answered; it is looked for by this ending
WAITS = "waits for an answer"
LEAVE_OUT = "leave out"

ANSWER_MATCHES_NOTHING = declare(
    Rule(
        "answer-matches-nothing",
        Severity.WARNING,
        "An answer belongs to no question of this run.",
        "The cell it spoke of may have been corrected, or the answer may have been attached to the wrong question.",
        "Remove the line from the answers file, or copy the question's identifier again from questions.csv.",
    )
)


class Answer(NamedTuple):
    """What a person decided: the standard value, `as it is`, or `leave out`."""

    text: str
    by: str
    why: str


def question_id(rule: str, cause: str) -> str:
    """The identifier of a question; the same in every run. cause: as in the findings, see core/findings.py."""
    return stable_id(rule, cause)


@dataclass(frozen=True)
class Answers:
    """All answers by question identifier."""

    by_question: Mapping[str, Answer]
    frame: pd.DataFrame

    @classmethod
    def from_frame(cls, frame: pd.DataFrame, name: str = "answers.csv") -> Answers:
        """Raises BadAnswers if a needed column is missing or one question is answered in two ways."""
        if frame.empty and not len(frame.columns):
            return cls({}, pd.DataFrame(columns=list(ANSWER_FIELDS)))
        missing = [column for column in ("question", "answer", "by", "why") if column not in frame]
        if missing:
            raise BadAnswers(
                f"{name}: the column {missing[0]!r} is missing. Its header is: {','.join(ANSWER_FIELDS)}"
            )
        given = frame[frame["answer"].str.strip() != ""]
        twice = given[given["question"].duplicated(keep=False)]
        if twice["answer"].nunique() > twice["question"].nunique():
            raise BadAnswers(f"{name}: question {twice['question'].iloc[0]} is answered in two ways. Keep one line.")
        found = {
            row.question.strip(): Answer(row.answer.strip(), row.by.strip(), row.why.strip())
            for row in given[["question", "answer", "by", "why"]].itertuples(index=False)
        }
        return cls(found, given)

    def get(self, question: str) -> Answer | None:
        """The answer to a question, if there is one."""
        return self.by_question.get(question)

    def unmatched(self, asked: frozenset[str], file: str) -> pd.DataFrame:
        """Findings for answers whose question did not come up."""
        lost = [key for key in self.by_question if key not in asked]
        return as_findings(
            finding_at(
                ANSWER_MATCHES_NOTHING,
                file=file,
                field="question",
                value=key,
                cause=key,
                message=f'the answer "{self.by_question[key].text}" belongs to no question of this run',
            )
            for key in lost
        )
