"""What is known around a time cell, and the two halves of a twelve-hour clock."""

from __future__ import annotations

import re
from dataclasses import dataclass

#: am or pm at the end of a text
HALF = re.compile(r"[ap]\.? ?m?\.?$")


@dataclass(frozen=True)
class TimeContext:
    """What is known around a time cell.

    kind: "time" of day, or "duration" for elapsed time (written as HH:MM of hours and minutes).
    working_hours: (start, end) local times 'HH:MM' in which the protocol works; the end may lie after midnight.
    longest_run_hours: longest believable stretch between two times in one cell. [h]
    twelve_hour: evidence that the column writes hours of a twelve-hour clock, "" if there is none.
    points: evidence that a point parts hours and minutes in the column, "" if there is none.
    """

    kind: str = "time"
    working_hours: tuple[tuple[str, str], ...] = ()
    longest_run_hours: float = 16.0
    twelve_hour: str = ""
    points: str = ""


def other_half(clock: str) -> str:
    """The same hands of the clock twelve hours on."""
    return f"{(int(clock[:2]) + 12) % 24:02d}{clock[2:]}"
