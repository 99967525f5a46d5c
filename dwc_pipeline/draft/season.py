"""When and where the survey was, as far as the files tell: first and last date, a point, time zone, UTM zone."""

from __future__ import annotations

import datetime as dt
import importlib
import re
import statistics
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from dwc_pipeline.draft.cell_evidence import Known, date_context
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.look import SeenTable
from dwc_pipeline.draft.placing import Placed
from dwc_pipeline.draft.proposal import Setting
from dwc_pipeline.normalise.event_date import judge_date
from dwc_pipeline.normalise.position_context import PositionContext
from dwc_pipeline.normalise.position_text import judge_positions
from dwc_pipeline.normalise.run import POSITION_FIELDS

#: dates farther apart than this belong to different stretches of work. [days]
GAP_DAYS = 150
#: a stretch with fewer dates than this share of the largest one is taken for slips
SLIP_SHARE = 0.05
FULL_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
YEAR_IN_TITLE = re.compile(r"(?<!\d)(?:19|20)\d{2}(?!\d)")
#: positions of a table that are read, enough to tell a zone
MOST_POINTS = 60
#: where no file tells: a zone that every machine knows, and a finding asks for
UNKNOWN_ZONE = "UTC"


@dataclass(frozen=True)
class Dates:
    """Every readable day with the number of its cells. doubtful: days of dates that have two readings."""

    certain: Counter[dt.date]
    doubtful: Counter[dt.date]


def dates_in(columns: Iterable[tuple[Column, Known]]) -> Dates:
    """The days named in date columns; days after today are left out."""
    certain: Counter[dt.date] = Counter()
    doubtful: Counter[dt.date] = Counter()
    for column, known in columns:
        context = date_context(column, known)
        for text, number in column.counts.items():
            verdict = judge_date(text, column.stored.get(text, ""), context)
            into, values = (certain, (verdict.value,)) if verdict.is_read else (doubtful, verdict.readings)
            for day in {day for value in values for day in FULL_DATE.findall(value)}:
                if dt.date.fromisoformat(day) <= known.today:
                    into[dt.date.fromisoformat(day)] += number
    return Dates(certain, doubtful)


def season_settings(dates: Dates, titles: Sequence[str], today: dt.date) -> tuple[Setting, ...]:
    """Season name, first and last day, with the evidence and the dates that were left outside."""
    days = dates.certain or dates.doubtful
    titled = {int(year) for title in titles for year in YEAR_IN_TITLE.findall(title)}
    if not days:
        year = titled.pop() if len(titled) == 1 else today.year
        note = "NO DATE COULD BE READ: write the first day"
        return (
            Setting("season", str(year), "no date could be read"),
            Setting("starts", dt.date(year, 1, 1), note),
            Setting("ends", dt.date(year, 12, 31), "write the last day"),
        )
    kept, outside = main_stretch(days, titled)
    first, last = min(kept), max(kept)
    total = sum(kept.values())
    first_note = f"first of {total} dates on the sheets; nothing can be earlier. Widen it to when work began"
    last_note = "last date on the sheets; nothing can be later"
    if outside:
        spoken = ", ".join(f"{day} ({number})" for day, number in sorted(outside.items())[:6])
        last_note += f". Left outside as likely slips: {spoken}"
    if not dates.certain:
        first_note = "the dates have two readings (day or month first): CHECK; earliest reading of them"
    years = str(first.year) if first.year == last.year else f"{first.year}-{last.year}"
    return (Setting("season", years, ""), Setting("starts", first, first_note), Setting("ends", last, last_note))


def main_stretch(days: Counter[dt.date], titled: set[int]) -> tuple[dict[dt.date, int], dict[dt.date, int]]:
    """The days of the season, and stray ones: a few far from all others, or years from those that titles name."""
    stretches: list[dict[dt.date, int]] = []
    for day in sorted(days):
        if not stretches or (day - max(stretches[-1])).days > GAP_DAYS:
            stretches.append({})
        stretches[-1][day] = days[day]
    largest = max(sum(stretch.values()) for stretch in stretches)
    kept: dict[dt.date, int] = {}
    stray: dict[dt.date, int] = {}
    for stretch in stretches:
        near = not titled or any(abs(day.year - year) <= 1 for day in stretch for year in titled)
        few = sum(stretch.values()) < SLIP_SHARE * largest
        (stray if few or not near else kept).update(stretch)
    if not kept:
        return stray, {}
    inside = {day: number for day, number in stray.items() if min(kept) <= day <= max(kept)}
    return kept | inside, {day: number for day, number in stray.items() if day not in inside}


def points_in(tables: Iterable[tuple[SeenTable, Sequence[Placed]]]) -> list[tuple[float, float]]:
    """Longitude and latitude of the middle of each table whose positions can be read without a question."""
    points = []
    for table, placed in tables:
        letters = {POSITION_FIELDS[one.field]: one.column.letter for one in placed if one.field in POSITION_FIELDS}
        if not letters.keys() & {"latitude", "easting", "coordinates"}:
            continue
        cells = table.raw.text[list(letters.values())].set_axis(list(letters), axis=1)
        distinct = cells.apply(lambda column: column.str.strip()).drop_duplicates().head(MOST_POINTS)
        read = [one.also for one in judge_positions(distinct, PositionContext()) if one.is_read]
        known = [one for one in read if one.get("decimalLatitude")]
        if known:
            east, north = ([float(one[term]) for one in known] for term in ("decimalLongitude", "decimalLatitude"))
            points.append((statistics.median(east), statistics.median(north)))
    return points


def time_zone_setting(points: Sequence[tuple[float, float]]) -> Setting:
    """The time zone at the points; "UTC" with a loud note where nothing tells."""
    if not points:
        return Setting("time_zone", UNKNOWN_ZONE, "NOT KNOWN, no position tells: write the zone of the clock on the "
                                                  'sheets, such as "America/Chicago"')  # fmt: skip
    try:
        finder = importlib.import_module("tzfpy")
    except ImportError:
        return Setting("time_zone", UNKNOWN_ZONE, "NOT KNOWN: write the zone of the clock on the sheets, such as "
                                                  '"America/Chicago"')  # fmt: skip
    names = {finder.get_tz(longitude, latitude) for longitude, latitude in points} - {""}
    if len(names) != 1:
        spoken = " and ".join(sorted(names)) or "no zone"
        return Setting("time_zone", min(names, default=UNKNOWN_ZONE), f"CHECK: the positions lie in {spoken}")
    longitude, latitude = points[0]
    name = str(names.pop())
    return Setting("time_zone", name, f"zone of the positions (near {latitude:.2f}, {longitude:.2f}): is it that of "
                                      "the clock on the sheets?")  # fmt: skip


def utm_zone_of(points: Sequence[tuple[float, float]]) -> int | None:
    """The one UTM zone that all points lie in; None if they lie in several, or there are none.

    Source: the zones are 6 degrees wide, zone 1 from 180 to 174 degrees west (NGA.STND.0037, UTM).
    """
    zones = {int((longitude + 180) // 6) + 1 for longitude, _ in points}
    return zones.pop() if len(zones) == 1 else None


def survey_name(to: Path) -> tuple[Setting, Setting]:
    """Code and title, from the folder that holds the survey file or the raw files."""
    folder = to.resolve().parent
    word = re.sub(r"[^A-Za-z0-9]+", " ", folder.name).strip() or "survey"
    initials = "".join(part[0] for part in word.split()).upper()
    code = initials if len(initials) >= 2 else word.replace(" ", "")[:4].upper()
    return (
        Setting("code", code, "choose it well: it starts every identifier and never changes once data were shared"),
        Setting("title", f"Survey in the folder {folder.name or word}", "title of the data set: write your own"),
    )
