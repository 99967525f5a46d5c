"""The parts of the survey file that hold for all tables: [survey], [files], [reading] and [protocol]."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from pathlib import Path

from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.date_columns import date_column
from dwc_pipeline.draft.look import Look
from dwc_pipeline.draft.placing import field_of, is_firm
from dwc_pipeline.draft.proposal import Confidence, Setting
from dwc_pipeline.draft.season import (
    dates_in,
    points_in,
    season_settings,
    survey_name,
    time_zone_setting,
    utm_zone_of,
)
from dwc_pipeline.draft.table_entry import Group

#: measures written with a comma that settle it
FEWEST_COMMAS = 3
PROTOCOL = (
    Setting("trap_night", "midnights", "what a trap-night is; see docs/survey_file.md"),
    Setting("out_of_order", "half interval", "effort of a trap found out of order; your protocol may say none"),
    Setting("target_taxa", ["Anura", "Caudata", "Squamata", "Testudines"], "what the survey set out to record",
            active=False),
    Setting("scope_fully_reported", True, "was every animal of these that was seen written down?", active=False),
)  # fmt: skip


def survey_parts(
    look: Look, groups: Sequence[Group], to: Path, today: dt.date, code_list: str
) -> dict[str, tuple[Setting, ...]]:
    """[survey], [files], [reading] and [protocol]."""
    firm = [group for group in groups if group.kind.confidence is not Confidence.UNSURE]
    # dates of a table that is not understood are dates of the season all the same
    in_time = [group for group in groups if group.kind.holds != "place"]
    dated = [(column, group.known) for group in in_time for column in date_columns_of(group)]
    titles = [title for group in groups for title in group.known.titles]
    points = points_in((group.whole, [one for one in group.kind.placed if is_firm(one)]) for group in firm)
    if not points and look.boundary_shape is not None:
        points = [(look.boundary_shape.centroid.x, look.boundary_shape.centroid.y)]
    season, *span = season_settings(dates_in(dated), titles, today)
    code, title = survey_name(to)
    checklist = look.checklist or code_list
    note = "made from the code lists on the sheets; look it through" if code_list else ""
    files = [
        Setting("checklist", checklist or "checklist.csv", note or ("" if checklist else
                "none was given: names cannot be checked without one"), bool(checklist)),
        Setting("boundary", look.boundary, "outline of the area") if look.boundary else
        Setting("boundary", "boundary.geojson", "an outline would catch positions that are wrong", active=False),
    ]  # fmt: skip
    return {
        "survey": (code, title, season, *span, time_zone_setting(points),
                   Setting("country_code", "US", "which country?", active=False),
                   Setting("state", "", "which state or province?", active=False)),
        "files": tuple(files),
        "reading": tuple(reading_settings(firm, points)),
        "protocol": PROTOCOL,
    }  # fmt: skip


def date_columns_of(group: Group) -> list[Column]:
    """The columns of a group that hold dates; parts of dates put together."""
    placed = [one for one in group.kind.placed if is_firm(one)]
    years = {fact.value for facts in group.facts for fact in facts if fact.field == "year"}
    whole = date_column(group.whole.raw.text, placed, years.pop() if len(years) == 1 else "")
    ends = [one.column for one in placed if one.field == "end_date"]
    return [*([whole] if whole is not None else []), *ends]


def reading_settings(groups: Sequence[Group], points: Sequence[tuple[float, float]]) -> list[Setting]:
    """UTM zone where eastings come without one; the decimal comma where text files write it."""
    settings = []
    for group in groups:
        fields = {one.field for one in group.kind.placed if is_firm(one)}
        if "easting" in fields and "utm_zone" not in fields:
            zone = utm_zone_of(points)
            note = f"the other positions lie in zone {zone}" if zone else "which zone? Written nowhere"
            settings = [Setting("utm_zone", zone or 14, note, active=zone is not None)]
    comma = decimal_comma_setting(groups)
    settings += [comma] if comma is not None else []
    settings.append(
        Setting("unsigned_means_north_west", True, "if positions without sign lie north and west", active=False)
    )
    return settings


def decimal_comma_setting(groups: Sequence[Group]) -> Setting | None:
    """That numbers are written 12,5: in effect if none is written 12.5, else proposed with the cells of both."""
    found = [
        (text, count)
        for group in groups
        for one in group.kind.placed
        if is_firm(one) and field_of(group.kind.holds, one.field).reading == "measure"
        for text, count in one.column.counts.items()
    ]
    commas = [(text, count) for text, count in found if re.fullmatch(r"\d+,\d{1,2}", text)]
    points = [(text, count) for text, count in found if re.match(r"\d*\.\d", text)]
    if len(commas) < FEWEST_COMMAS:
        return None
    note = f'{cells(commas)} such as "{commas[0][0]}", ' + (
        f'but {cells(points)} such as "{points[0][0]}"' if points else "none with a point"
    )
    return Setting("decimal_comma", True, note, active=not points, cells=sum(count for _, count in points))


def cells(found: Sequence[tuple[str, int]]) -> str:
    """How many cells hold the measures.

    >>> cells([("12,5", 3), ("12,4", 1)])
    '4 cells'
    """
    number = sum(count for _, count in found)
    return f"{number} cell" + ("s" if number > 1 else "")
