"""Judge each distinct value once and map the verdicts back to the rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from dwc_pipeline.core.verdict import Status, Verdict


@dataclass(frozen=True)
class Judged:
    """Verdicts on the distinct values of a column, and which verdict each row got.

    verdicts: one per distinct value, in order of first appearance.
    codes: position in `verdicts` for each row of `index`.
    """

    verdicts: tuple[Verdict, ...]
    codes: np.ndarray
    index: pd.Index

    def spread(self, per_verdict: Sequence[object]) -> pd.Series:
        """One value per row from one value per verdict."""
        values = np.empty(len(per_verdict), dtype=object)
        values[:] = list(per_verdict)
        return pd.Series(values[self.codes] if len(values) else [], index=self.index, dtype=object)

    @property
    def value(self) -> pd.Series:
        """The standard value of each row; "" where there is none."""
        return self.spread([verdict.value for verdict in self.verdicts])

    @property
    def status(self) -> pd.Series:
        """The status of each row."""
        return self.spread([str(verdict.status) for verdict in self.verdicts])

    def also(self, term: str) -> pd.Series:
        """What the same cells say of a further term; "" where they say nothing."""
        return self.spread([verdict.also.get(term, "") for verdict in self.verdicts])

    @property
    def further_terms(self) -> list[str]:
        """Every further term that some verdict fills."""
        return sorted({term for verdict in self.verdicts for term in verdict.also})


def judge_distinct_rows(verbatim: pd.DataFrame, judge: Callable[..., Verdict]) -> Judged:
    """Call `judge` once per distinct combination of the columns, with the texts in column order.

    For values that only mean something together: easting, northing, zone and datum.
    """
    if verbatim.empty:
        return Judged((), np.empty(0, dtype=np.intp), verbatim.index)
    codes = verbatim.groupby(list(verbatim.columns), sort=False, dropna=False).ngroup().to_numpy()
    firsts = verbatim.drop_duplicates()
    verdicts = tuple(judge(*(str(text) for text in row)) for row in firsts.itertuples(index=False, name=None))
    return Judged(verdicts, codes, verbatim.index)


def is_question(verdict: Verdict) -> bool:
    """True if a person must say what the value means."""
    return verdict.status in (Status.AMBIGUOUS, Status.UNREADABLE)
