"""Which number of dates such as 13/06/24 is the year: the one that hardly changes while the others run on.

A survey lasts a season: its days differ and its year does not. Source: common practice, no source.

>>> import datetime as dt
>>> years_of_short_dates(["04/06/24", "05/06/24", "13/06/24"], dt.date(2026, 11, 25))
(2024, 2024)
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

SHORT_DATE = re.compile(r"(\d{1,2})[-/. ](?:\d{1,2}|[^\W\d_]{3,10})[-/. ]'?(\d{2})(?!\d)")
#: different dates that are needed, and years of one season: over new year there are two
FEWEST, MOST_YEARS = 3, 2


def years_of_short_dates(texts: Iterable[str], today: dt.date) -> tuple[int, int] | None:
    """First and last year of dates whose year has two digits; None where either outer number may be the year.

    texts: distinct cells of one column. No year after that of `today` is given.
    """
    found = {match.groups() for text in texts if (match := SHORT_DATE.match(text.strip()))}
    if len(found) < FEWEST:
        return None
    first, last = ({int(pair[at]) for pair in found} for at in (0, 1))
    steady = [own for own, other in ((first, last), (last, first)) if _is_a_year(own, other)]
    if len(steady) != 1:
        return None
    years = [_century(short, today) for short in steady[0]]
    return (min(years), max(years)) if max(years) - min(years) < MOST_YEARS else None


def _is_a_year(own: set[int], other: set[int]) -> bool:
    """True if one number hardly changes and the other one does: at least three times as often."""
    return len(own) <= MOST_YEARS and len(other) >= FEWEST * len(own)


def _century(short: int, today: dt.date) -> int:
    return 2000 + short if 2000 + short <= today.year else 1900 + short
