"""Words around a time of day, and what the point between two numbers means in a column of times.

Only spellings with one reading are put into a plain form; all others are left as they are, to be asked.
Source: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_PAIR = re.compile(
    r"(?:from|start(?:ed)?|beg[aiu]n|in|open(?:ed)?|set)[: ]+(?P<one>[0-9].*?)[,; ]+"
    r"(?:to|until|till?|end(?:ed)?|out|stop(?:ped)?|closed?|finish(?:ed)?|pulled)[: ]+(?P<two>[0-9].*)"
)
_PART_OF_DAY = re.compile(
    r"(?P<hour>[0-9]{1,2})(?P<minutes>:[0-9]{2})? (?:in the |at )?(?P<part>morning|afternoon|evening|night)"
)
#: hours of a twelve-hour clock that each part of the day can have without doubt; common practice, no source
_HOURS = {"morning": range(4, 12), "afternoon": range(1, 7), "evening": range(5, 12), "night": range(7, 12)}
_POINTED = re.compile(r"(?P<hour>[0-9]{1,2})\.(?P<part>[0-9]{2})")
_POINTED_CLOCK = re.compile(r"[0-9]{1,2}\.[0-5][0-9] ?(?:[ap]\.? ?m\.?|uhr)")
#: so many different times that all end in a multiple of five below 60 are no decimals of an hour; our choice
FEWEST_POINTED = 6
_QUARTERS = {"00", "25", "50", "75"}


def plain_time(text: str) -> str:
    """The text with its words of a start and an end, or of the part of the day, written plainly.

    >>> plain_time("start 7:30 end 9:30"), plain_time("7:30 in the evening"), plain_time("12:30 at night")
    ('7:30-9:30', '7:30 pm', '12:30 at night')
    """
    if pair := _PAIR.fullmatch(text):
        return f"{pair['one']}-{pair['two']}"
    part = _PART_OF_DAY.fullmatch(text)
    if part and int(part["hour"]) in _HOURS[part["part"]]:
        return f"{part['hour']}{part['minutes'] or ''} {'am' if part['part'] == 'morning' else 'pm'}"
    return re.sub(r"(?<=[0-9])_(?=[0-9]{2}$)", ":", text)


def points_part_minutes(cells: Sequence[str]) -> str:
    """Evidence that "7.30" is half past seven in this column, and not 7.3 hours; "" if there is none.

    A time that only a decimal could be ("7.75") is against it, and so are fractions of a day.
    """
    pointed = [found for cell in cells if (found := _POINTED.fullmatch(cell))]
    against = any(found["part"] >= "60" for found in pointed) or any(
        re.fullmatch(r"[0-9]*\.(?:[0-9]|[0-9]{3,})", cell) for cell in cells
    )
    if against:
        return ""
    if told := next((cell for cell in cells if _POINTED_CLOCK.fullmatch(cell)), ""):
        return f"the column also has {told!r}, where the point parts hours and minutes"
    parts = {found["part"] for found in pointed}
    if len(pointed) < FEWEST_POINTED or any(int(part) % 5 for part in parts) or len(parts - _QUARTERS) < 3:
        return ""
    return f"all {len(pointed)} times with a point end in a multiple of five below 60"


def with_colons(text: str) -> str:
    """The points between hours and minutes as colons; "0.30" is left, it may be a fraction of a day."""
    return re.sub(r"(?<![0-9.:])(?!0\.)([0-9]{1,2})\.([0-5][0-9])(?![0-9.:])", r"\1:\2", text)
