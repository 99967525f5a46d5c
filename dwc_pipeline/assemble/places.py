"""The place table: one line a place of the site list, with its position, its traps and their types."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import as_text, number_column, text_column, where_true, without_gaps
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

TRAP_LETTER = {"box trap": "B", "funnel trap": "F", "pitfall trap": "P"}
POSITION_TERMS = (
    "decimalLatitude",
    "decimalLongitude",
    "geodeticDatum",
    "coordinateUncertaintyInMeters",
    "coordinatePrecision",
    "verbatimCoordinates",
    "verbatimLatitude",
    "verbatimLongitude",
    "verbatimCoordinateSystem",
    "verbatimSRS",
    "georeferenceProtocol",
    "georeferenceSources",
    "georeferenceRemarks",
)

PLACE_TWICE = declare(
    Rule(
        "place-listed-twice",
        Severity.WARNING,
        "The site list has two rows for one place, and they differ.",
        "Every animal of the place would get the position of whichever row is taken.",
        "Keep one row, or tell the two places apart by their codes. The first row with a position is used.",
    )
)


def place_table(place: pd.DataFrame, tidy_kind: str = "place") -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Places by code, links to the tidy rows they came from, findings.

    place: standard rows of the site lists and waypoints, with columns `position/<term>`.
    Several rows of one place are merged term by term, the first that says something being used.
    """
    made = pd.DataFrame(index=place.index)
    made["place"] = text_column(place, "place")
    made["name"] = text_column(place, "locality")
    made["kind"] = text_column(place, "place_kind")
    made["locality"] = text_column(place, "locality")
    made["county"] = text_column(place, "county")
    made["habitat"] = text_column(place, "habitat")
    for term in POSITION_TERMS:
        made[term] = text_column(place, f"position/{term}")
    made["minimumElevationInMeters"] = made["maximumElevationInMeters"] = text_column(place, "elevation")
    made["verbatimElevation"] = text_column(place, "elevation/verbatim")
    made["layout"] = text_column(place, "layout")
    made["arms"] = text_column(place, "arms")
    made["arm_length_m"] = text_column(place, "arm_length")
    for column in ("box_traps", "funnel_traps", "pitfall_traps"):
        made[column] = text_column(place, column)
    made["road_length_km"] = text_column(place, "route_length")
    remarks = text_column(place, "locationRemarks")
    more = text_column(place, "cell_remarks")
    made["locationRemarks"] = remarks + where_true(remarks.ne("") & more.ne(""), "; ") + more
    known = made[made["place"] != ""]
    links = pd.DataFrame({"id": known["place"], "kind": tidy_kind, "tidy_row": known.index}).reset_index(drop=True)
    return merged_by_place(known), links, disagreements(known, tidy_kind)


def merged_by_place(known: pd.DataFrame) -> pd.DataFrame:
    """One line a place. The position terms are taken together, from the first row that has a position."""
    position = [term for term in POSITION_TERMS if term in known]
    rest = [column for column in known if column not in position and column != "place"]
    blank_out = known[rest].mask(known[rest] == "")
    first = blank_out.groupby(known["place"], sort=False).first()
    placed = known[known["decimalLatitude"] != ""].drop_duplicates("place").set_index("place")[position]
    table = without_gaps(first.join(placed.reindex(first.index)).reset_index())
    return table[["place", *[column for column in known if column != "place"]]]


def disagreements(known: pd.DataFrame, kind: str) -> pd.DataFrame:
    """A finding on every later row whose position is over 100 m from the first of the same place."""
    placed = known[known["decimalLatitude"] != ""]
    latitude, longitude = number_column(placed, "decimalLatitude"), number_column(placed, "decimalLongitude")
    by_place = placed["place"]
    # Metres on the ground; one degree of latitude is about 111 km everywhere.
    north = (latitude - latitude.groupby(by_place).transform("first")) * 111_000
    east = (longitude - longitude.groupby(by_place).transform("first")) * 111_000 * 0.8
    away = (north**2 + east**2) ** 0.5
    rows = placed.index[away > 100]
    message = by_place.loc[rows] + " lies " + as_text(away.loc[rows], 0) + " m from its first position in the lists"
    return findings_on_rows(PLACE_TWICE, kind, rows, "place", value=by_place.loc[rows], message=message)


def trap_type_of(label: str) -> str:
    """The type of a trap from the letter of its label; "trap" where the letter says nothing.

    >>> trap_type_of("F3"), trap_type_of("7")
    ('funnel trap', 'trap')
    """
    letter = label[:1].upper()
    return next((kind for kind, own in TRAP_LETTER.items() if own == letter), "trap")
