"""Does a record give away what it says is withheld or generalised?

Sources: Simple Darwin Core (2023-09-13), section 5 (informationWithheld, dataGeneralizations: should say so); what
gives a place away is common practice, no source. A finding never repeats the coordinates. Nothing found is no proof:
a place can be told in words that no rule knows.
"""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.value_check import ValueCheck, on_values
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.terms.darwin_core import DWC

SIMPLE = "Simple Darwin Core (2023-09-13), section 5 (informationWithheld, dataGeneralizations)"
WITHHELD, GENERALISED = DWC + "informationWithheld", DWC + "dataGeneralizations"
LATITUDE, LONGITUDE = DWC + "decimalLatitude", DWC + "decimalLongitude"
UNCERTAINTY, PRECISION = DWC + "coordinateUncertaintyInMeters", DWC + "coordinatePrecision"
STATEMENTS = (GENERALISED, WITHHELD)
#: terms that may hold the point as it was before it was made coarse
VERBATIM_PLACES = tuple(
    DWC + name
    for name in (
        "verbatimCoordinates",
        "verbatimLatitude",
        "verbatimLongitude",
        "footprintWKT",
        "pointRadiusSpatialFit",
    )
)
#: terms with words in which coordinates are often left standing
WORDY_PLACES = tuple(
    DWC + name
    for name in (
        "verbatimLocality", "locality", "locationRemarks", "georeferenceRemarks", "eventRemarks", "fieldNotes",
        "occurrenceRemarks", "fieldNumber", "dynamicProperties",
    )
)  # fmt: skip
PEOPLE = tuple(DWC + name for name in ("recordedBy", "recordedByID"))
PLACE_WORDS = re.compile(
    r"coordinat|locat|localit|georef|latitude|longitude|\bgps\b|\bpoint|\bgrid|\bsite|\bplace|degree|\bkm\b",
    re.IGNORECASE,
)
PEOPLE_WORDS = re.compile(
    r"collector|observer|recorder|recordedby|person|people|identit(y|ies)|landowner", re.IGNORECASE
)
#: coordinates in words: decimal degrees of three decimals or more, degrees and minutes, or a grid reference
COORDINATES = re.compile(
    r"-?\d{1,3}\.\d{3,}\D{1,12}-?\d{1,3}\.\d{3,}|\d{1,3}\s*°\s*\d{1,2}|\b\d{6}(\.\d+)?\s*m?E?[\s,;/]+\d{7}\b|"
    r"\b\d{1,2}[C-HJ-NP-X][A-HJ-NP-Z]{2}\s?\d{4,10}\b"
)
SIZE = re.compile(
    r"(?P<number>\d+(?:\.\d+)?)\s*(?:x\s*\d+(?:\.\d+)?\s*)?(?P<unit>km|kilomet|m\b|met(?:er|re)|°|deg)", re.IGNORECASE
)
#: a point told to this many decimals is good to some 100 m; our choice
FINE_DECIMALS = 3
#: a radius below this is that of a place, not of an area; our choice. [m]
SMALL_RADIUS_M = 1000.0
#: length of a degree of latitude, rounded. [m]
DEGREE_M = 111_000.0


def decimals(text: str) -> int:
    """Decimals that say something: zeros at the end are left out.

    >>> decimals("36.7600"), decimals("37"), decimals("-99.63348")
    (2, 0, 5)
    """
    return len(text.strip().partition(".")[2].rstrip("0"))


def speaks_of_place(*statements: str) -> bool:
    """True if one of the statements is about where something is."""
    return any(PLACE_WORDS.search(text) for text in statements)


def is_precise(latitude: str, longitude: str, uncertainty: str) -> bool:
    """True for a point that leads to the spot: fine decimals and no large radius beside them."""
    radius = as_number(uncertainty.strip())
    fine = min(decimals(latitude), decimals(longitude)) > FINE_DECIMALS
    return bool(latitude and longitude) and fine and (radius is None or radius < SMALL_RADIUS_M)


def stated_size(text: str) -> float | None:
    """How coarse a statement says that places were made: its largest length. [m]; None if it does not say.

    >>> [stated_size(text) for text in ("rounded to 0.1 degree", "moved to a grid of 10 km", "site withheld")]
    [11100.0, 10000.0, None]
    """
    sizes = [
        float(found["number"])
        * (1000 if found["unit"].casefold().startswith("k") else DEGREE_M if found["unit"][0] in "°dD" else 1)
        for found in SIZE.finditer(text)
    ]
    return round(max(sizes), 6) if sizes else None


@on_values(
    Rule(
        id="place-is-withheld-and-precise",
        severity=Severity.ERROR,
        what="A record says that its place is withheld or generalised, and its coordinates lead to the spot.",
        why="Whoever opens the file finds the den, the nest or the gate of the landowner.",
        remedy="Generalise the coordinates and enlarge coordinateUncertaintyInMeters, or correct the statement.",
        source=f"{SIMPLE}; more than {FINE_DECIMALS} decimals with a radius below {SMALL_RADIUS_M:.0f} m: ours",
    ),
    *STATEMENTS,
    LATITUDE,
    LONGITUDE,
    UNCERTAINTY,
    only_filled=False,
)
def precise_check(generalised: str, withheld: str, latitude: str, longitude: str, uncertainty: str) -> str:
    """Places that are said to be coarse are coarse."""
    if not speaks_of_place(generalised, withheld) or not is_precise(latitude, longitude, uncertainty):
        return ""
    radius = f"a radius of {uncertainty} m" if uncertainty else "no radius"
    return f"stands beside coordinates of {min(decimals(latitude), decimals(longitude))} decimals with {radius}"


@on_values(
    Rule(
        id="radius-is-smaller-than-the-generalisation",
        severity=Severity.WARNING,
        what="coordinateUncertaintyInMeters is smaller than the size to which the place is said to be generalised.",
        why="Either the point was not made coarse, or users will trust it more than it deserves.",
        remedy="Give the radius of the smallest circle round the whole cell, or correct the statement.",
        source="Darwin Core list of terms 2026-05-26, coordinateUncertaintyInMeters (the whole location) and "
        "dataGeneralizations",
    ),
    GENERALISED,
    UNCERTAINTY,
)
def radius_check(generalised: str, uncertainty: str) -> str:
    """The radius covers the cell: half its side at the least."""
    size, radius = stated_size(generalised), as_number(uncertainty.strip())
    small = size is not None and radius is not None and speaks_of_place(generalised) and radius < size / 2
    return f"stands beside a radius of {uncertainty} m" if small else ""


@on_values(
    Rule(
        id="coordinates-are-finer-than-their-precision",
        severity=Severity.WARNING,
        what="Coordinates have more decimals than coordinatePrecision says.",
        why="If the point was made coarse, the decimals give the exact one away; if not, the precision is wrong.",
        remedy="Round the coordinates, or correct coordinatePrecision.",
        source="Darwin Core list of terms 2026-05-26, definition of coordinatePrecision",
    ),
    PRECISION,
    LATITUDE,
    LONGITUDE,
)
def finer_check(precision: str, latitude: str, longitude: str) -> str:
    """Decimals go no further than a decimal precision; minutes and seconds are left alone."""
    digits = _digits_of(precision)
    if digits is None or not latitude or not longitude:
        return ""
    finer = min(decimals(latitude), decimals(longitude))
    return f"stands beside coordinates of {finer} decimals" if finer > digits else ""


def _digits_of(precision: str) -> int | None:
    """Decimals of a precision that is a power of ten; None for any other."""
    try:
        number = Decimal(precision.strip()).normalize()
    except InvalidOperation:
        return None
    sign, figures, exponent = number.as_tuple()
    return -int(exponent) if not sign and figures == (1,) and int(exponent) <= 0 else None


VERBATIM_GIVES_AWAY = declare(
    Rule(
        id="verbatim-place-beside-a-withheld-one",
        severity=Severity.ERROR,
        what="A record says that its place is withheld or generalised, and a verbatim term or footprint has it.",
        why="The coarse point is of no use if the exact one stands three columns further.",
        remedy="Empty the verbatim coordinates and footprints of such records.",
        source=f"{SIMPLE}; which terms: ours",
    )
)
WORDS_GIVE_AWAY = declare(
    Rule(
        id="coordinates-in-words-beside-a-withheld-place",
        severity=Severity.ERROR,
        what="A record says that its place is withheld or generalised, and a text of it holds coordinates.",
        why="Remarks and localities are read too, by people and by programs.",
        remedy="Take the coordinates out of the text.",
        source=f"{SIMPLE}; which terms: ours",
    )
)
NAMES_GIVE_AWAY = declare(
    Rule(
        id="people-are-withheld-and-named",
        severity=Severity.ERROR,
        what="informationWithheld says that people are withheld, and a term names them.",
        why="Somebody was promised not to be named.",
        remedy="Empty the term, or correct the statement.",
        source=f"{SIMPLE}; example of informationWithheld in the Darwin Core list of terms 2026-05-26",
    )
)


def verbatim_check(term: str) -> ValueCheck:
    """No exact place beside a coarse one; verbatim words without figures are let pass."""

    def judge(generalised: str, withheld: str, place: str) -> str:
        return "" if not speaks_of_place(generalised, withheld) or not re.search(r"\d", place) else "is still filled"

    return ValueCheck(VERBATIM_GIVES_AWAY, (*STATEMENTS, term), judge, False, term, is_secret=True)


def wordy_check(term: str) -> ValueCheck:
    """No coordinates in words."""

    def judge(generalised: str, withheld: str, text: str) -> str:
        return "holds coordinates" if speaks_of_place(generalised, withheld) and COORDINATES.search(text) else ""

    return ValueCheck(WORDS_GIVE_AWAY, (*STATEMENTS, term), judge, False, term, is_secret=True)


def people_check(term: str) -> ValueCheck:
    """No names of people who are withheld."""

    def judge(withheld: str, people: str) -> str:
        return "is still filled" if PEOPLE_WORDS.search(withheld) and people else ""

    return ValueCheck(NAMES_GIVE_AWAY, (WITHHELD, term), judge, True, term, is_secret=True)


@on_values(
    Rule(
        id="place-looks-generalised",
        severity=Severity.NOTE,
        what="Coordinates have one decimal or none, and nothing says that they were generalised.",
        why="A user cannot tell a coarse record from one that was made coarse, nor whom to ask for better data.",
        remedy="If they were made coarse, say so in dataGeneralizations; if not, check that no decimals were lost.",
        source=f"{SIMPLE}; one decimal: ours",
    ),
    LATITUDE,
    LONGITUDE,
    GENERALISED,
    WITHHELD,
)
def coarse_check(latitude: str, longitude: str, generalised: str, withheld: str) -> str:
    """What was made coarse says so."""
    coarse = bool(longitude) and max(decimals(latitude), decimals(longitude)) <= 1
    return "and longitude have one decimal or none" if coarse and not generalised and not withheld else ""


DISCLOSURE_CHECKS: tuple[ValueCheck, ...] = (
    precise_check, radius_check, finer_check, *map(verbatim_check, VERBATIM_PLACES), *map(wordy_check, WORDY_PLACES),
    *map(people_check, PEOPLE), coarse_check,
)  # fmt: skip
