"""Values of a Humboldt row, and what its terms say together.

Sources: Humboldt Extension list of terms 2026-05-26 (definitions normative, comments not), Taxon Completeness
Reported vocabulary (2024-02-28), inclusive guidelines (2024-02-28), TDWG practice note on booleans. Which terms are
booleans, numbers and whole numbers is declared in schemas/humboldt.json.
"""

from __future__ import annotations

import re

from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.quality.word_list import word_list
from dwc_pipeline.check.value_check import ValueCheck, on_each, on_values
from dwc_pipeline.check.values.record_rules import is_json_object
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.terms.darwin_core import ECO
from dwc_pipeline.terms.schema import table_schema

TERMS = "Humboldt Extension list of terms 2026-05-26"
COMPLETENESS = ("notReported", "reportedComplete", "reportedIncomplete")
INCLUSIVE = "isLeastSpecificTargetCategoryQuantityInclusive"
FIELDS = {field["name"]: field for field in table_schema("humboldt")["fields"] if "term" in field}
BOOLEANS = tuple(name for name, field in FIELDS.items() if field["type"] == "boolean")
NUMBERS = tuple(name for name, field in FIELDS.items() if field["type"] == "number")
WHOLE_NUMBERS = tuple(name for name, field in FIELDS.items() if field["type"] == "integer")
PAIRED = ("eventDuration", "geospatialScopeArea", "totalAreaSampled", "samplingEffort")
LISTS = (
    "targetTaxonomicScope", "excludedTaxonomicScope", "targetHabitatScope", "excludedHabitatScope",
    "targetLifeStageScope", "excludedLifeStageScope", "targetGrowthFormScope", "excludedGrowthFormScope",
    "targetDegreeOfEstablishmentScope", "excludedDegreeOfEstablishmentScope", "absentTaxa", "nonTargetTaxa",
    "inventoryTypes", "compilationTypes", "compilationSourceTypes", "protocolNames", "protocolReferences",
    "samplingPerformedBy", "voucherInstitutions", "materialSampleTypes", "taxonCompletenessProtocols",
    "verbatimSiteNames",
)  # fmt: skip
#: square metres in one of a unit of area, as units are written in practice; folded names
AREA_UNITS = {
    "m²": 1.0, "square metre": 1.0, "square meter": 1.0, "square metres": 1.0, "square meters": 1.0, "cm²": 1e-4,
    "km²": 1e6, "square kilometre": 1e6, "square kilometer": 1e6, "square kilometres": 1e6, "square kilometers": 1e6,
    "ha": 1e4, "hectare": 1e4, "hectares": 1e4, "a": 100.0, "are": 100.0, "acre": 4046.8564224, "acres": 4046.8564224,
    "ft²": 0.09290304, "mi²": 2_589_988.110336, "yd²": 0.83612736,
}  # fmt: skip
#: example values of the list of terms, which other programs look for
EXAMPLE_WORDS = {
    "inventoryTypes": ("restrictedSearch", "openSearch", "opportunisticSearch", "adventitious", "compilation"),
    "compilationTypes": (
        "samplingEvents",
        "compilationOfExistingSources",
        "compilationOfExistingSourcesAndSamplingEvents",
    ),
    "protocolNames": ("boxTrapping", "funnelTrapping"),
    "samplingEffortUnit": ("trapHours", "trapDays", "personHours"),
}
SEARCHES = ("restrictedsearch", "opensearch")


def _eco(*names: str) -> tuple[str, ...]:
    return tuple(ECO + name for name in names)


def words(text: str) -> list[str]:
    """The values of a list in a cell."""
    return [part.strip() for part in text.split("|") if part.strip()]


def folded(text: str) -> str:
    """A word without capitals, spaces and marks."""
    return re.sub(r"[\W_]+", "", text.casefold())


def is_true(text: str) -> bool:
    """True for yes in any common spelling; how it is written is told by another rule."""
    return text.strip().casefold() in ("true", "yes", "1", "t", "y")


@on_values(
    Rule(
        id="quantity-inclusive-is-not-true-or-false",
        severity=Severity.ERROR,
        what=f"{INCLUSIVE} is neither true nor false.",
        why="Nobody can tell whether the juveniles are part of the total or come on top of it.",
        remedy="Write true or false.",
        source="isLeastSpecificTargetCategoryQuantityInclusive guidelines (2024-02-28), section 3 (MUST)",
    ),
    ECO + INCLUSIVE,
)
def inclusive_check(text: str) -> str:
    """The answer is true or false."""
    return "" if text in ("true", "false") else "is neither true nor false"


@on_each(
    Rule(
        id="boolean-is-not-true-or-false",
        severity=Severity.WARNING,
        what="A term that takes a boolean holds another word or spelling than true or false.",
        why="TRUE, yes and 1 are other words to a program; what cannot be read counts as not reported.",
        remedy="Write true or false in small letters, or leave it empty.",
        source=f"{TERMS}, section 2; TDWG best practices for serializing booleans 2, 2.1 (MUST there; the note is "
        "part of no standard)",
    ),
    _eco(*(name for name in BOOLEANS if name != INCLUSIVE)),
)
def boolean_check(text: str) -> str:
    """Booleans are true or false."""
    return "" if text in ("true", "false") else "is neither true nor false"


@on_values(
    Rule(
        id="taxon-completeness-is-another-word",
        severity=Severity.ERROR,
        what=f"taxonCompletenessReported is none of {', '.join(COMPLETENESS)}.",
        why="A reader that does not know the word cannot tell a full list from a part of one.",
        remedy="Write one of the three strings; reported complete is the label, reportedComplete the value.",
        source="Taxon Completeness Reported vocabulary (2024-02-28), sections 2 and 4 (MUST)",
    ),
    ECO + "taxonCompletenessReported",
)
def completeness_check(text: str) -> str:
    """Completeness is one of three strings."""
    return "" if text in COMPLETENESS else f"is none of {', '.join(COMPLETENESS)}"


@on_each(
    Rule(
        id="degree-of-establishment-scope-is-another-word",
        severity=Severity.NOTE,
        what="A scope of degrees of establishment holds a word that is not in that vocabulary.",
        why="Readers compare the scope with degreeOfEstablishment of the animals.",
        remedy="Write the controlled strings, such as native or established.",
        source=f"{TERMS}, comments of the two terms (recommended)",
    ),
    _eco("targetDegreeOfEstablishmentScope", "excludedDegreeOfEstablishmentScope"),
)
def degree_check(text: str) -> str:
    """Degrees are those of the vocabulary."""
    unknown = [word for word in words(text) if word not in word_list("degreeOfEstablishment").terms]
    return f"names {unknown[0]!r}, which is no string of the vocabulary" if unknown else ""


@on_each(
    Rule(
        id="humboldt-list-is-parted-otherwise",
        severity=Severity.NOTE,
        what="A list of the Humboldt Extension is not parted by a vertical bar with a space on either side.",
        why="Readers take it apart there and nowhere else: Anura; Squamata is then one unknown taxon.",
        remedy="Write the values as: one | two.",
        source=f"{TERMS}, comments of the terms (recommended)",
    ),
    _eco(*LISTS),
)
def list_check(text: str) -> str:
    """Lists are parted by bars."""
    if re.search(r"\w\s*;\s*\w", text):
        return "is parted by a semicolon"
    parts = text.split(" | ")
    return "" if all(part.strip() and "|" not in part for part in parts) else "is not parted by ' | '"


@on_each(
    Rule(
        id="humboldt-number-is-none",
        severity=Severity.ERROR,
        what="A value of effort, duration or area is not a number of zero or more.",
        why="The effort cannot be computed with.",
        remedy="Write the number alone, the unit into the term of the unit, words into samplingEffortProtocol.",
        source=f"{TERMS}, definitions (a numeric value); zero or more: draft data package tables",
    ),
    _eco(*NUMBERS),
)
def number_check(text: str) -> str:
    """Values are numbers."""
    number = as_number(text.strip())
    return "" if number is not None and number >= 0 else "is no number of zero or more"


@on_each(
    Rule(
        id="humboldt-count-is-none",
        severity=Severity.ERROR,
        what="siteCount is no whole number from 1, or abundanceCap no whole number from 0.",
        why="It cannot be computed with.",
        remedy="Write the whole number, or leave it empty.",
        source=f"{TERMS}, definitions; limits: draft data package tables",
    ),
    _eco(*WHOLE_NUMBERS),
)
def whole_check(text: str) -> str:
    """Counts are whole; that a site count is at least 1 is checked below."""
    return "" if re.fullmatch(r"\d+", text.strip(), re.ASCII) else "is no whole number"


VALUE_WITHOUT_UNIT = declare(
    Rule(
        id="effort-or-area-lacks-its-other-half",
        severity=Severity.ERROR,
        what="A value of effort, duration or area has no unit, or a unit has no value.",
        why="Twelve may be trap-hours, trap-nights or hectares: the effort is lost.",
        remedy="Fill both, or neither.",
        source=f"{TERMS}, comments of the values and units (must have the other)",
    )
)


def pair_check(stem: str) -> ValueCheck:
    """Value and unit of one quantity stand together."""

    def judge(value: str, unit: str) -> str:
        if bool(value) == bool(unit):
            return ""
        return f"has no {stem}Unit" if value else f"is empty beside {stem}Unit {unit!r}"

    return ValueCheck(VALUE_WITHOUT_UNIT, _eco(f"{stem}Value", f"{stem}Unit"), judge, only_filled=False)


@on_values(
    Rule(
        id="area-sampled-is-larger-than-its-scope",
        severity=Severity.ERROR,
        what="totalAreaSampledValue is larger than geospatialScopeAreaValue.",
        why="Nobody samples more than the area that the survey speaks of: a unit or a figure is wrong.",
        remedy="Correct the values or their units.",
        source=f"{TERMS}, comments of both terms (always at least the other, after the units are made equal)",
    ),
    *_eco("totalAreaSampledValue", "totalAreaSampledUnit", "geospatialScopeAreaValue", "geospatialScopeAreaUnit"),
)
def area_check(sampled: str, sampled_unit: str, scope: str, scope_unit: str) -> str:
    """The area sampled fits into its scope; units that are not known here are compared only if they are the same."""
    small, large = as_number(sampled.strip()), as_number(scope.strip())
    if small is None or large is None or not sampled_unit or not scope_unit:
        return ""
    if sampled_unit != scope_unit:
        units = [AREA_UNITS.get(_area_unit(unit)) for unit in (sampled_unit, scope_unit)]
        if units[0] is None or units[1] is None:
            return ""
        small, large = small * units[0], large * units[1]
    over = small > large * (1 + 1e-9)
    return f"{sampled_unit} is more than the scope of {scope} {scope_unit}" if over else ""


def _area_unit(text: str) -> str:
    plain = text.strip().casefold()
    return re.sub(r"(\^2|2)$", "²", plain)


@on_each(
    Rule(
        id="area-unit-is-spelt-otherwise",
        severity=Severity.NOTE,
        what="A unit of area or volume is written with a plain 2 or 3, or with a caret.",
        why="The list of terms recommends the raised figure; m2 is not found by readers that look for m².",
        remedy="Write m², km² or m³.",
        source=f"{TERMS}, comments of the units of area",
    ),
    _eco("geospatialScopeAreaUnit", "totalAreaSampledUnit", "samplingEffortUnit"),
)
def raised_check(text: str) -> str:
    """Exponents are raised figures."""
    return "has no raised figure" if re.search(r"\b(mm|cm|dm|m|km|ft|mi|yd)\^?[23]\b", text) else ""


@on_values(
    Rule(
        id="site-count-is-zero",
        severity=Severity.ERROR,
        what="siteCount is zero.",
        why="An event takes place at one site at least.",
        remedy="Correct it, or leave it empty.",
        source=f"{TERMS}, definition of siteCount; least value of 1: draft data package tables",
    ),
    ECO + "siteCount",
)
def site_check(text: str) -> str:
    """There is a site."""
    return "is zero" if as_number(text.strip()) == 0 else ""


@on_each(
    Rule(
        id="word-resembles-a-published-example",
        severity=Severity.NOTE,
        what="A word differs only in its spelling from one that the list of terms gives as an example.",
        why="Programs that look for the published spelling do not find it.",
        remedy="Take over the published spelling.",
        source=f"{TERMS}, examples of the terms",
    ),
    _eco(*EXAMPLE_WORDS),
)
def example_check(text: str) -> str:
    """Words that are examples are spelt like them."""
    published = {folded(word): word for known in EXAMPLE_WORDS.values() for word in known}
    other = [published[folded(word)] for word in words(text) if published.get(folded(word), word) != word]
    return f"resembles {other[0]}" if other else ""


@on_values(
    Rule(
        id="weather-is-no-pairs",
        severity=Severity.NOTE,
        what="reportedWeather is neither JSON nor key:value pairs.",
        why="Programs cannot take it apart.",
        remedy='Write it as {"air temperature (°C)":"31"}.',
        source=f"{TERMS}, comment of reportedWeather (recommended)",
    ),
    ECO + "reportedWeather",
)
def weather_check(text: str) -> str:
    """Weather is in pairs."""
    pairs = all(re.match(r"[^:|]+:\s*\S", part) for part in words(text))
    return "" if is_json_object(text) or pairs else "is neither JSON nor key:value pairs"


@on_values(
    Rule(
        id="survey-target-is-neither-included-nor-excluded",
        severity=Severity.WARNING,
        what="includeOrExclude is neither include nor exclude.",
        why="Nobody can tell whether the taxon was looked for or left out.",
        remedy="Write include or exclude.",
        source=f"{TERMS}, comment of includeOrExclude (recommended)",
    ),
    ECO + "includeOrExclude",
)
def include_check(text: str) -> str:
    """Targets are in or out."""
    return "" if text in ("include", "exclude") else "is neither include nor exclude"


HUMBOLDT_VALUE_CHECKS: tuple[ValueCheck, ...] = (
    inclusive_check, *boolean_check, completeness_check, *degree_check, *list_check, *number_check, *whole_check,
    *map(pair_check, PAIRED), area_check, *raised_check, site_check, *example_check, weather_check,
    include_check,
)  # fmt: skip
