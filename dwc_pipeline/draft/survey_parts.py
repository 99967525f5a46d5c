"""The parts of the survey file that hold for all tables: [survey], [files], [reading] and [protocol]."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

from dwc_pipeline.draft.kinds import is_firm
from dwc_pipeline.draft.look import Look
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
    dated = [
        (one.column, group.known)
        for group in firm
        if group.kind.holds != "place"
        for one in group.kind.placed
        if is_firm(one) and one.field in ("eventDate", "end_date")
    ]
    titles = [title for group in firm for title in group.known.titles]
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


def reading_settings(groups: Sequence[Group], points: Sequence[tuple[float, float]]) -> list[Setting]:
    """UTM zone where eastings come without one; the decimal comma where text files write it."""
    settings = []
    for group in groups:
        fields = {one.field for one in group.kind.placed if is_firm(one)}
        if "easting" in fields and "utm_zone" not in fields:
            zone = utm_zone_of(points)
            note = f"the other positions lie in zone {zone}" if zone else "which zone? Written nowhere"
            settings = [Setting("utm_zone", zone or 14, note, active=zone is not None)]
    settings.append(
        Setting("unsigned_means_north_west", True, "if positions without sign lie north and west", active=False)
    )
    return settings
