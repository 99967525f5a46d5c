"""Which number of dates such as 13/06/24 is the year: the one that hardly changes while the others run on.

A survey lasts a season: its days differ and its year does not. Source: common practice, no source.

>>> import datetime as dt
>>> years_of_short_dates(["04/06/24", "05/06/24", "13/06/24"], dt.date(2026, 11, 25))
(2024, 2024)
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence

SHORT_DATE = re.compile(r"(\d{1,2})[-/. ](\d{1,2}|[^\W\d_]{3,10})[-/. ]'?(\d{2})(?!\d)")
#: different dates that are needed, and years of one season: over new year there are two
FEWEST, MOST_YEARS = 3, 2
LAST_MONTH = 12


def years_of_short_dates(texts: Iterable[str], today: dt.date) -> tuple[int, int] | None:
    """First and last year of dates whose year has two digits; None where either outer number may be the year.

    texts: distinct cells of one column. No year after that of `today` is given.
    """
    found = {match.groups() for text in texts if (match := SHORT_DATE.match(text.strip()))}
    if len(found) < FEWEST:
        return None
    first, middle, last = (list(part) for part in zip(*found, strict=True))
    # a year in front has two digits, and a month behind it
    may_be_first = all(len(one) == 2 for one in first) and not any(
        one.isdigit() and int(one) > LAST_MONTH for one in middle
    )
    last_is_day = [[*one] for one in zip(middle, last, strict=True)]
    steady = []
    if may_be_first and _is_a_year(first, last_is_day):
        steady.append(first)
    if _is_a_year(last, [[*one] for one in zip(first, middle, strict=True)]):
        steady.append(last)
    if len(steady) != 1:
        return None
    years = [_century(int(short), today) for short in steady[0]]
    return (min(years), max(years)) if max(years) - min(years) < MOST_YEARS else None


def _is_a_year(own: Sequence[str], others: Sequence[Sequence[str]]) -> bool:
    """True if one number hardly changes while day and month do: at least three times as often."""
    number = len(set(own))
    return number <= MOST_YEARS and len(set(map(tuple, others))) >= FEWEST * number


def _century(short: int, today: dt.date) -> int:
    return 2000 + short if 2000 + short <= today.year else 1900 + short
