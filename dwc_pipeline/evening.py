"""What the check of an evening tells on the terminal: the day first, then the whole season."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from dwc_pipeline.check.day import ASK, CONTRADICTS, MISSING, TYPED, DayReport
from dwc_pipeline.summary import finding_lines

if TYPE_CHECKING:
    from dwc_pipeline.pipeline import Season

HEADINGS = {
    MISSING: "Missing",
    CONTRADICTS: "Contradicts",
    ASK: "Ask while they remember",
}
SEVERITIES = ("error", "warning", "note")


def evening_lines(season: Season, day: DayReport) -> list[str]:
    """The day in sentences, then the findings of the season, one line a cause."""
    return [*day_lines(day), "", *season_lines(season.findings)]


def day_lines(day: DayReport) -> list[str]:
    """What is missing, what contradicts and what to ask of one day."""
    if not day.day:
        return ["No row has a date of this season that can be read, so there is no day to look at."]
    which = "the latest day in the sheets; --day for another" if day.is_latest else "as asked"
    typed = ", ".join(f"{count} {TYPED[kind]}" for kind, count in day.typed.items() if count) or "nothing"
    lines = [f"The day {day.day} ({which}): {typed} typed"]
    for part, heading in HEADINGS.items():
        block = day.lines[day.lines["part"] == part]
        lines.append(f"{heading}: {len(block) or 'nothing'}")
        lines += [f"  {_told(row)}" for row in block.to_dict("records")]
    return lines


def _told(row: dict[Any, Any]) -> str:
    sheet = f' "{row["sheet"]}"' if row["sheet"] else ""
    place = f"{row['file']}{sheet} {row['column']}{row['row'] or ''}".strip()
    where = f" ({place})" if place else ""
    whom = f" Recorded by {row['whom']}." if row["whom"] else ""
    rule = f" [{row['rule']}]" if row["rule"] else ""
    return f"{row['what'].rstrip('.')}{where}.{whom}{rule}"


def season_lines(findings: pd.DataFrame) -> list[str]:
    """How many findings the season has, and the first of them."""
    once = findings[findings["waived"] == ""].drop_duplicates("finding")
    count = once["severity"].value_counts()
    told = ", ".join(f"{int(count.get(one, 0))} {one}{'' if count.get(one, 0) == 1 else 's'}" for one in SEVERITIES)
    return [f"The whole season: {told}", *finding_lines(findings)]


def evening_as_data(season: Season, day: DayReport) -> dict[str, Any]:
    """The same for a script."""
    told = {"day": day.day, "is_latest": day.is_latest, "typed": day.typed, "lines": day.lines.to_dict("records")}
    return {"title": season.survey.survey.title, "day": told, "findings": season.findings.to_dict("records")}
