"""The place table: one line a place of the site list, with its position, its traps and their types."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import as_text, number_column, text_column, where_true, without_gaps
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.trap_lists import add_up, traps_of_places

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
        "Every animal of the place would get the position, the habitat and the effort of whichever row is taken.",
        "Keep one row, or tell the two places apart by their codes. What the first row says is used, and the first "
        "position. Trap lists that share no trap are added up: one row a trap is one place.",
    )
)
#: What two rows of one place must say alike: column of the place table -> in words.
SAID_ALIKE = {
    "kind": "kind", "locality": "locality", "county": "county", "habitat": "habitat", "arms": "number of arms",
    "arm_length_m": "arm length", "box_traps": "box traps", "funnel_traps": "funnel traps",
    "pitfall_traps": "pitfall traps", "road_length_km": "length of the route",
}  # fmt: skip
#: Positions and elevations of one place may differ by this much, as two readings of a receiver do. [m]; our choice
POSITION_METRES, ELEVATION_METRES = 100, 30


def place_table(
    place: pd.DataFrame, cells: pd.Series, tidy_kind: str = "place"
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Places by code, links to the tidy rows they came from, findings.

    place: standard rows of the site lists and waypoints, with columns `position/<term>`. cells: where each stands.
    Several rows of one place are merged term by term, the first that says something being used; trap lists that
    share no trap are added up.
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
    return merged_by_place(known), links, disagreements(known, tidy_kind, cells)


def merged_by_place(known: pd.DataFrame) -> pd.DataFrame:
    """One line a place. The position terms are taken together, from the first row that has a position."""
    position = [term for term in POSITION_TERMS if term in known]
    rest = [column for column in known if column not in position and column != "place"]
    blank_out = known[rest].mask(known[rest] == "")
    first = blank_out.groupby(known["place"], sort=False).first()
    placed = known[known["decimalLatitude"] != ""].drop_duplicates("place").set_index("place")[position]
    first["layout"] = traps_of_places(known["place"], known["layout"]).reindex(first.index)
    table = without_gaps(first.join(placed.reindex(first.index)).reset_index())
    return table[["place", *[column for column in known if column != "place"]]]


def disagreements(known: pd.DataFrame, kind: str, cells: pd.Series) -> pd.DataFrame:
    """A finding on every later row that says something else of its place than the first row that says it."""
    told = pd.DataFrame(
        {
            "position": away_from_first(known),
            "elevation": elevation_from_first(known),
            "traps": other_traps(known),
            **{column: other_words(known, column, words, cells) for column, words in SAID_ALIKE.items()},
        },
        index=known.index,
    )
    differs = told[(told != "").any(axis=1)]
    words = differs.agg(lambda row: "; ".join(text for text in row if text), axis=1).astype(object)
    rows, place = differs.index, known["place"].reindex(differs.index)
    return findings_on_rows(PLACE_TWICE, kind, rows, "place", value=place, message=place + ": " + words)


def away_from_first(known: pd.DataFrame) -> pd.Series:
    """In words, how far each row lies from the first position of its place; "" where it is near."""
    placed = known[known["decimalLatitude"] != ""]
    latitude, longitude = number_column(placed, "decimalLatitude"), number_column(placed, "decimalLongitude")
    by_place = placed["place"]
    # Metres on the ground; one degree of latitude is about 111 km everywhere.
    north = (latitude - latitude.groupby(by_place).transform("first")) * 111_000
    east = (longitude - longitude.groupby(by_place).transform("first")) * 111_000 * 0.8
    away = (north**2 + east**2) ** 0.5
    words = "it lies " + as_text(away, 0) + " m from its first position in the lists"
    return words[away > POSITION_METRES].reindex(known.index, fill_value="")


def elevation_from_first(known: pd.DataFrame) -> pd.Series:
    """In words, an elevation that differs from the first of the place; "" where it does not."""
    metres = number_column(known, "minimumElevationInMeters")
    first = metres.groupby(known["place"]).transform("first")
    words = "elevation " + as_text(metres, 0) + " m here, " + as_text(first, 0) + " m in the row that is used"
    return words.where((metres - first).abs() > ELEVATION_METRES, "")


def other_traps(known: pd.DataFrame) -> pd.Series:
    """In words, a trap list that shares traps with another list of its place without being the same."""
    listed = known.loc[known["layout"] != "", ["place", "layout"]]
    by_place = listed.groupby("place", sort=False)["layout"]
    clash = ~listed["place"].map(by_place.agg(add_up)).astype(bool)
    first = by_place.transform("first")
    words = "traps " + listed["layout"] + " here, " + first + " in the row that is used"
    words = words[clash & (listed["layout"] != first)].str.replace("|", ", ", regex=False)
    return words.reindex(known.index, fill_value="")


def other_words(known: pd.DataFrame, column: str, words: str, cells: pd.Series) -> pd.Series:
    """What a row says in a column where the first row of its place says something else; "" where it does not.

    Capitals and spaces make no difference.
    """
    said = known.loc[known[column] != "", ["place", column]]
    plain = said[column].astype(str).str.casefold().str.split().str.join(" ")
    first = said.drop_duplicates("place").set_index("place")
    where = said.assign(row=said.index).drop_duplicates("place").set_index("place")["row"].map(cells)
    differs = plain != plain.groupby(said["place"]).transform("first")
    own = said[differs]
    text = (
        f"{words} '" + own[column] + "' here, '" + own["place"].map(first[column]) + "' in " + own["place"].map(where)
    )
    return text.reindex(known.index, fill_value="")


def trap_type_of(label: str) -> str:
    """The type of a trap from the letter of its label; "trap" where the letter says nothing.

    >>> trap_type_of("F3"), trap_type_of("7")
    ('funnel trap', 'trap')
    """
    letter = label[:1].upper()
    return next((kind for kind, own in TRAP_LETTER.items() if own == letter), "trap")
