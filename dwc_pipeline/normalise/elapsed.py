"""How long it took: reads a cell of elapsed time, writes hours and minutes as HH:MM.

Source: common practice, no source.

>>> judge_duration("1 h 30 min", "").value, judge_duration("90 min", "").value, judge_duration("90", "").readings
('01:30', '01:30', ('01:30', '90:00'))
"""

from __future__ import annotations

import re

from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.verdict import EMPTY, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.date_text import is_blank, plain

DURATION_UNCLEAR = declare(
    Rule(
        "duration-has-two-readings",
        Severity.ERROR,
        "The elapsed time gives no unit, so it may be hours or minutes.",
        "Hours taken for minutes change search effort sixtyfold.",
        "Name the unit in the column's header, in the survey file, or as an answer.",
        asks=True,
    )
)
DURATION_UNREADABLE = declare(
    Rule(
        "duration-cannot-be-read",
        Severity.ERROR,
        "The cell holds no elapsed time in any form known here.",
        "Effort counted in hours cannot be computed for this row.",
        "Look at the field book and write hours and minutes, such as 1:30.",
        asks=True,
    )
)

_HOURS = r"(?P<h>[0-9]+(?:[.,][0-9]+)?) ?(?:h|hr|hrs|hour|hours)\.?"
_MINUTES = r"(?P<m>[0-9]+(?:\.[0-9]+)?) ?(?:m|min|mins|minute|minutes|')\.?"
_SPELT = re.compile(rf"{_HOURS}(?:,? ?(?:and )?{_MINUTES})?")
_SPELT_MINUTES = re.compile(_MINUTES)
_COLON = re.compile(r"(?P<h>[0-9]{1,3}):(?P<m>[0-5][0-9])(?::(?P<s>[0-5][0-9]))?(?: ?(?:h|hrs?|hours?))?")
_RUN_TOGETHER = re.compile(r"(?P<h>[0-9]{1,2}) ?h ?(?P<m>[0-5][0-9])")
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")


def judge_duration(verbatim: str, stored: str) -> Verdict:
    """Elapsed time of one cell. stored: time that the file holds, ISO 8601, "" if plain text."""
    if is_blank(verbatim) and not stored:
        return EMPTY
    text = stored or plain(verbatim)
    for pattern in (_COLON, _RUN_TOGETHER, _SPELT, _SPELT_MINUTES):
        found = pattern.fullmatch(text)
        if found:
            parts = found.groupdict(default="0")
            seconds = float(parts.get("h", "0").replace(",", ".")) * 3600 + float(parts.get("m", "0")) * 60
            seconds += float(parts.get("s", "0"))
            value = _as_hours(seconds)
            return kept_or_changed(verbatim, value, "elapsed-time", f"{verbatim!r} is {value} hours and minutes")
    if _NUMBER.fullmatch(text):
        number = float(text)
        offered = [_as_hours(number * 60), _as_hours(number * 3600)]
        if 0 < number < 1:
            offered.append(_as_hours(number * 86400))
        return ambiguous(DURATION_UNCLEAR.id, f"{verbatim!r} gives no unit", tuple(dict.fromkeys(offered)))
    return unreadable(DURATION_UNREADABLE.id, f"{verbatim!r} is no elapsed time in a form known here")


def _as_hours(seconds: float) -> str:
    whole = round(seconds)
    rest = f":{whole % 60:02d}" if whole % 60 else ""
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}{rest}"
