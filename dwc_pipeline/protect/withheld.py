"""Everything that a public copy must not hold: words, identifiers and exact places, for the scan that proves it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.protect.grid import AS_HELD, WITHHELD, half_diagonal, snapped
from dwc_pipeline.protect.identifiers import DIGITS
from dwc_pipeline.settings import SurveyFile

#: Metres around a withheld place in which any position is a leak, at the least. Old datums move a point by 200 m.
LEAST_RADIUS_M = 300.0
#: share of a cell's half diagonal in which a position that is not the cell's own says more than the cell.
SHARE_OF_CELL = 1.0
#: radius where the place is withheld altogether, and the widest
WITHHELD_RADIUS_M = 20_000.0
PLACE_TEXTS = ("locality", "name", "verbatimLocality", "verbatimSiteNames")
EVENT_NAMES = ("eventID", "locationID", "fieldNumber")
OCCURRENCE_NAMES = ("occurrenceID", "organismID", "catalogNumber", "materialSampleID")
MARK_TYPES = ("mark code", "second mark code")
LEAST_NAME = 5
LEAST_WORD = 3
LEAST_SURNAME = 4
#: what initials may spell by chance in texts of a copy: licences, states, directions, hours, systems of position
ORDINARY_CAPITALS = frozenset(
    [
        *("AL", "AK", "AZ", "AR", "CA", "CO", "CT", "DE", "FL", "GA", "HI", "ID", "IL", "IN", "IA", "KS", "KY", "LA"),
        *("ME", "MD", "MA", "MI", "MN", "MS", "MO", "MT", "NE", "NV", "NH", "NJ", "NM", "NY", "NC", "ND", "OH", "OK"),
        *(
            "OR",
            "PA",
            "RI",
            "SC",
            "SD",
            "TN",
            "TX",
            "UT",
            "VT",
            "VA",
            "WA",
            "WV",
            "WI",
            "WY",
            "US",
            "USA",
            "UK",
            "EU",
        ),
        *(
            "NW",
            "NE",
            "SW",
            "SE",
            "AM",
            "PM",
            "CC",
            "BY",
            "SA",
            "TM",
            "UTM",
            "DNA",
            "PIT",
            "SVL",
            "DMS",
            "GPS",
            "XML",
        ),
        *("EU", "XML", "MGRS", "NAD", "WGS", "EML", "URL", "CSV"),
    ]
)


@dataclass(frozen=True)
class Withheld:
    """What must not be found.

    words: names of places, properties, owners and people. identifiers: ours, all of them, and marks.
    stems: beginnings of our identifiers that hold the code of a place.
    latitude, longitude: exact places in degrees. radius: metres around each in which a position gives it away.
    shown: pairs (latitude, longitude) that the copy may hold: its own cells, and places that are shown as held.
    own_identifier: pattern of the copy's own identifiers, which say nothing.
    codes: short codes of places, which give one away beside a word for a place. capitals: initials
    and surnames of people, which are told from other words by their capitals.
    """

    words: frozenset[str]
    identifiers: frozenset[str]
    stems: frozenset[str]
    latitude: NDArray[np.float64]
    longitude: NDArray[np.float64]
    radius: NDArray[np.float64]
    shown: frozenset[tuple[float, float]]
    own_identifier: str = ""
    codes: frozenset[str] = frozenset()
    capitals: frozenset[str] = frozenset()


def withheld_from_public(
    survey: SurveyFile,
    tables: Mapping[str, pd.DataFrame],
    level: pd.Series,
    public: Mapping[str, pd.DataFrame],
    metadata: DatasetMetadata,
) -> Withheld:
    """All that was taken out of the tables of one public copy.

    tables: the exact ones. level: per event. public, metadata: of the copy, for the positions it may hold.
    """
    event, place = tables["event"], tables["place"]
    exact = hidden_positions(event, place, level)
    return Withheld(
        words=frozenset(hidden_words(survey, tables)),
        identifiers=frozenset(hidden_identifiers(tables)),
        stems=frozenset(place_stems(survey, event)),
        latitude=exact["latitude"].to_numpy(dtype=np.float64),
        longitude=exact["longitude"].to_numpy(dtype=np.float64),
        radius=exact["radius"].to_numpy(dtype=np.float64),
        shown=frozenset(shown_positions(public["event"], metadata)),
        own_identifier=own_identifier(survey.share.public.code) if survey.share.public else "",
        codes=frozenset(place_codes(tables)),
        capitals=frozenset(hidden_initials(survey) | hidden_surnames(survey) - words_of_taxa(public["occurrence"])),
    )


def hidden_words(survey: SurveyFile, tables: Mapping[str, pd.DataFrame]) -> set[str]:
    """Names of places, properties and people, and the survey's own list; words allowed by the person left out."""
    share, protect = survey.share.public, survey.protect
    assert share is not None
    found = {
        text for name in PLACE_TEXTS for table in ("event", "place") for text in text_column(tables[table], name)
    }
    found |= {one.name for one in protect.property}
    for word in (*protect.words, *(word for one in protect.property for word in one.words)):
        found |= {word, *(ways_to_write(word) if _may_be_a_person(word) else ())}
    for person in survey.people:
        if person.name not in share.named:
            found |= {person.orcid, *ways_to_write(person.name), *ways_to_write_an_address(person.email)}
            found |= {one for one in person.initials if len(one) >= LEAST_NAME}
    found.add(share.key)
    allowed = {word.casefold() for word in share.allowed_words}
    return {word for word in found if len(word) >= LEAST_WORD and word.casefold() not in allowed}


def ways_to_write(name: str) -> set[str]:
    """A person's name, the surname first, and with initials before it; a long surname alone is looked for as well.

    >>> sorted(ways_to_write("Ada B. Example"))
    ['A B Example', 'A Example', 'Ada B. Example', 'Example Ada B.']
    """
    first, _, surname = name.strip().rpartition(" ")
    if not first:
        return {name}
    letters = [part[0] for part in first.split()]
    initials = {" ".join(letters), letters[0]}
    return {
        name,
        f"{surname} {first}",
        *(f"{one} {surname}" for one in initials),
        *(f"{surname} {one}" for one in initials if len(surname) < LEAST_SURNAME),
    }


def _may_be_a_person(word: str) -> bool:
    parts = word.split()
    return 2 <= len(parts) <= 3 and all(part[0].isupper() for part in parts)


def ways_to_write_an_address(address: str) -> set[str]:
    """An electronic address, also with words for its signs."""
    said = address.replace("@", " at ")
    return {address, said, said.replace(".", " dot ")}


def hidden_initials(survey: SurveyFile) -> set[str]:
    """Short initials of people who may not be named; those that are ordinary words in capitals left out."""
    named = survey.share.public.named if survey.share.public else ()
    allowed = set(survey.share.public.allowed_words) if survey.share.public else set()
    short = {
        one
        for person in survey.people
        if person.name not in named
        for one in person.initials
        if 2 <= len(one) < LEAST_NAME and one.isupper()
    }
    return short - allowed - ORDINARY_CAPITALS


def hidden_surnames(survey: SurveyFile) -> set[str]:
    """Surnames of people who may not be named, and last words of the names of owners."""
    share, protect = survey.share.public, survey.protect
    named = share.named if share else ()
    names = [person.name for person in survey.people if person.name not in named]
    names += [word for one in protect.property for word in one.words if _may_be_a_person(word)]
    surnames = {name.split()[-1] for name in names if " " in name.strip()}
    return {one for one in surnames if len(one) >= LEAST_SURNAME} - set(share.allowed_words if share else ())


def words_of_taxa(occurrence: pd.DataFrame) -> set[str]:
    """The words of names of taxa and of their authors."""
    columns = ("scientificName", "scientificNameAuthorship", "acceptedNameUsage", "vernacularName")
    texts = {text for name in columns for text in text_column(occurrence, name).unique()}
    return {word for text in texts for word in re.findall(r"\w+", text)}


def place_codes(tables: Mapping[str, pd.DataFrame]) -> set[str]:
    """Codes of places that have both letters and digits."""
    found = {code for table in ("event", "place") for code in text_column(tables[table], "place").unique()}
    return {one for one in found if any(s.isdigit() for s in one) and any(s.isalpha() for s in one)}


def hidden_identifiers(tables: Mapping[str, pd.DataFrame]) -> set[str]:
    """Every identifier of ours and every mark that is long enough to be known again; words without digits are not."""
    event, occurrence, measured = tables["event"], tables["occurrence"], tables["measurement"]
    below = event[~event["eventType"].isin(["project", "fieldSeason"])]
    parts = [text_column(below, name) for name in EVENT_NAMES]
    parts += [text_column(occurrence, name) for name in OCCURRENCE_NAMES]
    parts += [
        measured["measurementID"],
        measured.loc[measured["measurementType"].isin(MARK_TYPES), "measurementValue"],
    ]
    found = {one for part in parts for one in part.unique()}
    return {one for one in found if len(one) >= LEAST_NAME and any(sign.isdigit() for sign in one)}


def own_identifier(code: str) -> str:
    """The pattern of identifiers of a copy."""
    return rf"\b{re.escape(code)}-[a-z]+-[0-9a-f]{{{DIGITS}}}\b"


def place_stems(survey: SurveyFile, event: pd.DataFrame) -> Iterable[str]:
    """How our identifiers begin where they hold the code of a place."""
    code, season = survey.survey.code, survey.survey.season
    for location in text_column(event, "locationID").unique():
        if location:
            name = location.removeprefix(f"{code}-")
            yield f"{code}-{season}-{name}"
            if len(location) >= LEAST_NAME:
                yield location


def hidden_positions(event: pd.DataFrame, place: pd.DataFrame, level: pd.Series) -> pd.DataFrame:
    """Exact positions that are not shown as held: columns latitude, longitude [degrees], radius [m]."""
    events = event.assign(level=level)
    by_place = events[events["place"] != ""].drop_duplicates("place").set_index("place")["level"]
    # A place of the site list at which nothing happened has no level of its own, and nobody may see it.
    places = place.assign(level=place["place"].map(by_place).fillna(WITHHELD))
    rows = pd.concat([frame[["decimalLatitude", "decimalLongitude", "level"]] for frame in (events, places)])
    rows = rows[(rows["decimalLatitude"] != "") & (rows["level"] != AS_HELD)].drop_duplicates()
    return pd.DataFrame(
        {
            "latitude": number_column(rows, "decimalLatitude"),
            "longitude": number_column(rows, "decimalLongitude"),
            "radius": [
                telling_radius(latitude, one)
                for latitude, one in zip(rows["decimalLatitude"], rows["level"], strict=True)
            ],
        }
    )


def telling_radius(latitude: str, level: str) -> float:
    """Metres around a place in which a position would say more than its cell does."""
    if level == WITHHELD:
        return WITHHELD_RADIUS_M
    return min(WITHHELD_RADIUS_M, max(LEAST_RADIUS_M, SHARE_OF_CELL * half_diagonal(snapped(latitude, level), level)))


def shown_positions(event: pd.DataFrame, metadata: DatasetMetadata) -> set[tuple[float, float]]:
    """Positions that the copy holds on purpose: its events' and the corners of its box."""
    placed = event[event["decimalLatitude"] != ""]
    pairs = set(zip(placed["decimalLatitude"].astype(float), placed["decimalLongitude"].astype(float), strict=True))
    box = metadata.box
    if box is not None:
        pairs |= {(latitude, longitude) for latitude in (box.south, box.north) for longitude in (box.west, box.east)}
    return pairs
