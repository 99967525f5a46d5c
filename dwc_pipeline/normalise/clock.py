"""Clock times as people write them, where the writing has one reading.

Source: ISO 8601-1 for the written result; the twelve-hour forms are common practice, no source.
"""

from __future__ import annotations

import re

#: a clock time at the end of a date cell, or a whole time cell; matched against plain lower-case text
CLOCK = (
    r"(?:[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?(?: ?[ap](?:\.? ?m)?\.?)?(?: ?(?:h|hs|hrs?|hours?)\.?)?"
    r"|[0-9]{3,4}(?: ?(?:h|hs|hrs?|hours?)\.?)?(?: ?[ap](?:\.? ?m)?\.?)?"
    r"|[0-9]{1,2} ?h ?[0-9]{2}"
    r"|[0-9]{1,2}(?:[.][0-9]{2})? ?[ap](?:\.? ?m)?\.?)"
)
_PARTS = re.compile(
    r"(?P<h>[0-9]{1,2})(?:[:.h] ?| h ?)?(?P<m>[0-9]{2})?(?::(?P<s>[0-9]{2})(?:[.,][0-9]+)?)?"
    r"(?: ?(?:h|hs|hrs?|hours?)\.?)?(?: ?(?P<half>[ap])(?:\.? ?m)?\.?)?(?: ?(?:h|hs|hrs?|hours?)\.?)?"
)
_WHOLE = re.compile(CLOCK)


def as_clock(hour: int, minute: int, second: int = 0) -> str:
    """HH:MM, with seconds only where there are any."""
    return f"{hour:02d}:{minute:02d}" + (f":{second:02d}" if second else "")


def read_clock(text: str) -> tuple[str, ...]:
    """Every time of day that the plain text can be; "24:00" stands for the end of the day; () if none.

    >>> read_clock("7:15 pm"), read_clock("715"), read_clock("13:00 am"), read_clock("2560")
    (('19:15',), ('07:15',), ('13:00', '01:00'), ())
    """
    if not _WHOLE.fullmatch(text):
        return ()
    found = _PARTS.fullmatch(text)
    if not found:
        return ()
    hour, minute, second = (int(found[key] or 0) for key in ("h", "m", "s"))
    if minute > 59 or second > 59 or hour > 24 or (hour == 24 and (minute or second)):
        return ()
    half = found["half"]
    if hour == 24:
        return () if half else ("24:00",)
    if not half:
        return (as_clock(hour, minute, second),)
    return tuple(as_clock(one, minute, second) for one in _hours(hour, half))


def _hours(hour: int, half: str) -> tuple[int, ...]:
    """Hours of a twelve-hour clock; a 24-hour figure with "pm" agrees, with "am" it contradicts itself."""
    if 1 <= hour <= 12:
        return (hour % 12 + (12 if half == "p" else 0),)
    if hour == 0:
        return (0,) if half == "a" else (12, 0)
    return (hour,) if half == "p" else (hour, hour - 12)
