"""How a rule about the season's tables is written: one function, its text, and rows that prove it.

A rule sees one view (`check/views.py`) and says which rows are at fault. Its docstring is the text that findings,
`explain` and the reference page print; the rows in `flagged` and `passes` are its tests and its examples. A row
that lacks one of the columns in `needs` cannot be judged: it is counted, and never passes silently.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.settings import SurveyFile

Row = Mapping[str, object]
Test = Callable[..., pd.Series | pd.DataFrame]
Known = Callable[[str], pd.Series]


@dataclass(frozen=True)
class SeasonRule:
    """A rule and its test.

    view: the table it looks at. field: the field that a finding points at. message: text with {columns} of the
    view, or of the frame that the test returns. test(view) or test(view, survey): True where the row is at fault;
    or a frame with a column `flag` and whatever the message names.
    limit: name of the setting in [limits] without which the rule is silent.
    flagged, passes: small views, each a list of rows; in `flagged` at least one row must be flagged, the last one.
    cause: columns whose values group findings and name them from run to run; none for what tells the rows of the
    view apart (check/run.py).
    """

    rule: Rule
    view: str
    field: str
    needs: tuple[str, ...]
    message: str
    test: Test
    limit: str
    flagged: tuple[Row, ...]
    passes: tuple[Row, ...]
    cause: tuple[str, ...] = ()

    def judge(
        self, view: pd.DataFrame, survey: SurveyFile, known_in: Known | None = None
    ) -> tuple[pd.DataFrame, int]:
        """Rows at fault (with columns for the message), and how many rows could not be judged.

        known_in: `is_known` of this view's columns, where it was made for another rule already.
        """
        is_judged = pd.Series(True, index=view.index)
        for column in self.needs:
            is_judged &= known_in(column) if known_in else is_known(view, column)
        known = view if is_judged.all() else view[is_judged]
        unknown = len(view) - len(known)
        if known.empty:
            return known.assign(flag=pd.Series(dtype=bool)), unknown
        answer = self.test(known, survey) if len(inspect.signature(self.test).parameters) == 2 else self.test(known)
        flag = answer["flag"] if isinstance(answer, pd.DataFrame) else answer
        at_fault = flag.fillna(False).astype(bool)
        # Views are wide and faults are few: only rows at fault are copied.
        found = known[at_fault].copy()
        if isinstance(answer, pd.DataFrame):
            told = [column for column in answer if column not in known or column == "flag"]
            found[told] = answer.loc[at_fault, told]
        return found, unknown


SEASON_RULES: dict[str, SeasonRule] = {}


def season_rule(
    *,
    view: str,
    field: str,
    severity: Severity,
    message: str,
    flagged: Row | Sequence[Row],
    passes: Row | Sequence[Row],
    needs: tuple[str, ...] = (),
    source: str = "common practice, no source",
    limit: str = "",
    asks: bool = False,
    cause: str | tuple[str, ...] = (),
) -> Callable[[Test], SeasonRule]:
    """Enter a function in the catalogue as a rule; its name, with hyphens, is the identifier."""

    def enter(test: Test) -> SeasonRule:
        what, why, remedy = explained(test)
        rule = declare(Rule(test.__name__.replace("_", "-"), severity, what, why, remedy, source, asks))
        columns = (cause,) if isinstance(cause, str) else cause
        made = SeasonRule(rule, view, field, needs, message, test, limit, as_rows(flagged), as_rows(passes), columns)
        SEASON_RULES[rule.id] = made
        return made

    return enter


def as_rows(rows: Row | Sequence[Row]) -> tuple[Row, ...]:
    """One row or several as a tuple of rows."""
    return (rows,) if isinstance(rows, Mapping) else tuple(rows)


def explained(test: Test) -> tuple[str, str, str]:
    """What is flagged, why it matters and what to do, from the docstring of a rule."""
    text = inspect.getdoc(test) or ""
    parts = re.fullmatch(
        r"(?P<what>.*?)\n\s*Why it matters: (?P<why>.*?)\n\s*What to do: (?P<do>.*)", text, re.DOTALL
    )
    if not parts:
        raise ValueError(f"rule {test.__name__}: the docstring needs 'Why it matters:' and 'What to do:'")
    return tuple(sentence(parts[name]) for name in ("what", "why", "do"))  # type: ignore[return-value]


def sentence(text: str) -> str:
    """The text in one line, with a capital."""
    line = " ".join(text.split())
    return line[:1].upper() + line[1:]


def is_known(view: pd.DataFrame, column: str) -> pd.Series:
    """True where the column says something."""
    if column not in view:
        return pd.Series(False, index=view.index)
    return view[column].notna() & (view[column] != "")
