"""Names, counts, quantities, sample sizes, units and lists: values of a record that are no dates and no places.

Source: Darwin Core list of terms 2026-05-26; a definition is normative, a comment a recommendation.
"""

from __future__ import annotations

import json
import re

from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.value_check import ValueCheck, on_each, on_values
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC
from dwc_pipeline.terms.detection import read_status

TERMS = "Darwin Core list of terms 2026-05-26"
STATUS, COUNT = DWC + "occurrenceStatus", DWC + "individualCount"
QUANTITY, QUANTITY_TYPE = DWC + "organismQuantity", DWC + "organismQuantityType"
#: terms whose comment asks for " | " between the values of a list
LIST_TERMS = (
    "recordedBy", "recordedByID", "identifiedBy", "identifiedByID", "georeferencedBy", "measurementDeterminedBy",
    "associatedOccurrences", "associatedReferences", "associatedTaxa", "associatedOrganisms", "otherCatalogNumbers",
    "preparations", "previousIdentifications", "identificationReferences", "georeferenceSources", "higherGeography",
    "higherClassification", "samplingProtocol", "typeStatus",
)  # fmt: skip
#: of these, the ones in which a semicolon is never part of a single value
PEOPLE_TERMS = ("recordedBy", "identifiedBy", "georeferencedBy", "measurementDeterminedBy")
QUALIFIER = re.compile(
    r"(?:^|[\s(])(?P<word>cf\.?|aff\.|nr\.|prox\.|sp\.?\s+nov\.?|sp\.?\s+n\.|gen\.?\s+nov\.?|sp\.?\s+inc\.?|indet\.?)(?=[\s)]|$)|(?P<mark>\?)",
    re.IGNORECASE,
)
#: units of measurement outside the International System that field sheets have
NOT_SI = frozenset(
    {
        "in",
        "inch",
        "inches",
        "ft",
        "foot",
        "feet",
        "yd",
        "yard",
        "yards",
        "mi",
        "mile",
        "miles",
        "acre",
        "acres",
        "lb",
        "lbs",
        "pound",
        "pounds",
        "oz",
        "ounce",
        "ounces",
        "°f",
        "f",
        "fahrenheit",
        "gal",
        "gallon",
        "gallons",
        "mph",
    }
)


@on_values(
    Rule(
        id="name-holds-a-qualifier",
        severity=Severity.WARNING,
        what="scientificName holds words of doubt, such as cf., aff. or a question mark.",
        why="Readers match it to no taxon, or to the taxon that was doubted.",
        remedy="Move the doubt to identificationQualifier, and the words as written to verbatimIdentification.",
        source=f"{TERMS}, comment of scientificName (should not contain identification qualifications)",
    ),
    DWC + "scientificName",
)
def qualifier_check(text: str) -> str:
    """Names are free of doubt."""
    found = QUALIFIER.search(text)
    return f"holds {(found['word'] or found['mark']).strip()!r}" if found else ""


@on_values(
    Rule(
        id="count-is-no-whole-number",
        severity=Severity.ERROR,
        what="individualCount is not a whole number of zero or more.",
        why="A range, an estimate or a word cannot be added up; readers drop it.",
        remedy="Write the number, or use organismQuantity and organismQuantityType.",
        source=f"{TERMS}, definition and examples of individualCount",
    ),
    COUNT,
)
def count_check(text: str) -> str:
    """Counts are whole."""
    return "" if re.fullmatch(r"\d+", text, re.ASCII) else "is no whole number of individuals"


@on_values(
    Rule(
        id="non-detection-has-animals",
        severity=Severity.ERROR,
        what="An occurrence is called absent or not detected, and has a count above zero.",
        why="One of the two is wrong: an animal is lost, or an empty check becomes a detection.",
        remedy="Correct occurrenceStatus or the count.",
        source=f"{TERMS}, definitions of occurrenceStatus and individualCount",
    ),
    STATUS,
    COUNT,
    QUANTITY,
)
def absent_check(status: str, count: str, quantity: str) -> str:
    """What was not detected has no animals."""
    above = next((text for text in (count, quantity) if (as_number(text) or 0) > 0), "")
    return f"stands beside a count of {above}" if read_status(status) == "false" and above else ""


@on_values(
    Rule(
        id="detection-has-a-count-of-zero",
        severity=Severity.ERROR,
        what="An occurrence is called present or detected, and its count is zero.",
        why="Most readers go by the status: a check without animals becomes a record of the species.",
        remedy="Correct occurrenceStatus or the count.",
        source=f"{TERMS}, definitions of occurrenceStatus and individualCount",
    ),
    STATUS,
    COUNT,
    QUANTITY,
)
def present_check(status: str, count: str, quantity: str) -> str:
    """What was detected has animals."""
    zero = any(as_number(text) == 0 for text in (count, quantity))
    return "stands beside a count of 0" if read_status(status) == "true" and zero else ""


@on_values(
    Rule(
        id="sample-size-lacks-its-other-half",
        severity=Severity.WARNING,
        what="One of sampleSizeValue and sampleSizeUnit is empty.",
        why="Twelve may be hours, traps or square metres: the effort is lost.",
        remedy="Fill both, or neither.",
        source=f"{TERMS}, comments of sampleSizeValue and sampleSizeUnit (must have the other)",
    ),
    DWC + "sampleSizeValue",
    DWC + "sampleSizeUnit",
    only_filled=False,
)
def sample_size_check(value: str, unit: str) -> str:
    """Sample sizes have value and unit."""
    return _half(value, unit, "sampleSizeUnit")


@on_values(
    Rule(
        id="sample-size-is-no-number",
        severity=Severity.WARNING,
        what="sampleSizeValue is not a number.",
        why="It cannot be used as effort.",
        remedy="Write the number, and put words into samplingEffort.",
        source=f"{TERMS}, definition of sampleSizeValue (a numeric value)",
    ),
    DWC + "sampleSizeValue",
)
def sample_number_check(value: str) -> str:
    """Sample sizes are numbers."""
    return "" if as_number(value.strip()) is not None else "is no number"


@on_values(
    Rule(
        id="quantity-lacks-its-other-half",
        severity=Severity.WARNING,
        what="One of organismQuantity and organismQuantityType is empty.",
        why="Three may be individuals, egg masses or a class of cover.",
        remedy="Fill both, or neither.",
        source=f"{TERMS}, comments of organismQuantity and organismQuantityType (must have the other)",
    ),
    QUANTITY,
    QUANTITY_TYPE,
    only_filled=False,
)
def quantity_check(value: str, kind: str) -> str:
    """Quantities have value and type."""
    return _half(value, kind, "organismQuantityType")


def _half(value: str, other: str, name: str) -> str:
    if bool(value) == bool(other):
        return ""
    return f"has no {name}" if value else f"is empty beside {name} {other!r}"


@on_values(
    Rule(
        id="unit-is-outside-the-international-system",
        severity=Severity.NOTE,
        what="measurementUnit is a unit outside the International System.",
        why="Readers have to convert it, and inches beside millimetres are easily added up.",
        remedy="Convert the value and write mm, g, °C or the like.",
        source=f"{TERMS}, comment of measurementUnit (recommended)",
    ),
    DWC + "measurementUnit",
)
def unit_check(text: str) -> str:
    """Units are those of the International System."""
    return "is no unit of the International System" if text.strip().rstrip(".").casefold() in NOT_SI else ""


@on_values(
    Rule(
        id="dynamic-properties-are-no-pairs",
        severity=Severity.NOTE,
        what="dynamicProperties is not a JSON object of key:value pairs.",
        why="Programs cannot take it apart.",
        remedy='Write it as {"key":"value"}.',
        source=f"{TERMS}, comment of dynamicProperties (recommended)",
    ),
    DWC + "dynamicProperties",
)
def properties_check(text: str) -> str:
    """Dynamic properties are JSON."""
    return "" if is_json_object(text) else "is no JSON object"


def is_json_object(text: str) -> bool:
    """True for a JSON object."""
    try:
        return isinstance(json.loads(text), dict)
    except ValueError:
        return False


@on_each(
    Rule(
        id="list-is-parted-otherwise",
        severity=Severity.NOTE,
        what="A list in one cell is not parted by a vertical bar with a space on either side.",
        why="Readers take it apart there and nowhere else, so two people become one.",
        remedy="Write the values as: one | two.",
        source=f"{TERMS}, comments of the terms (recommended)",
    ),
    [DWC + name for name in LIST_TERMS],
)
def list_check(text: str) -> str:
    """Bars have a space on either side, and there is no empty value between two of them."""
    if "|" not in text:
        return ""
    parts = text.split(" | ")
    return "" if all(part.strip() and "|" not in part for part in parts) else "is not parted by ' | '"


@on_each(
    Rule(
        id="people-are-parted-by-a-semicolon",
        severity=Severity.NOTE,
        what="Several people stand in one cell, parted by a semicolon.",
        why="Readers that follow Darwin Core take them for one person.",
        remedy="Write the names as: one | two.",
        source=f"{TERMS}, comments of recordedBy, identifiedBy, georeferencedBy and measurementDeterminedBy",
    ),
    [DWC + name for name in PEOPLE_TERMS],
)
def people_check(text: str) -> str:
    """People are parted by bars."""
    return "is parted by a semicolon" if re.search(r"\w\s*;\s*\w", text) else ""


RECORD_CHECKS: tuple[ValueCheck, ...] = (
    qualifier_check, count_check, absent_check, present_check, sample_size_check, sample_number_check, quantity_check,
    unit_check, properties_check, *list_check, *people_check,
)  # fmt: skip
