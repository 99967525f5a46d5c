"""Tests whose default authority lies on the network: their own prerequisites, and then that it is not at hand."""

from __future__ import annotations

from collections.abc import Callable

from dwc_pipeline.check.quality.location_validations import LATITUDE, LONGITUDE
from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.quality.record import Record, list_terms
from dwc_pipeline.check.quality.registry import implements, quality_tests
from dwc_pipeline.check.quality.response import Response, external, internal

NOT_AT_HAND = "the authority of this test lies on the network and is not at hand"
NAME_TERMS = (
    "dwc:scientificName",
    "dwc:genericName",
    "dwc:specificEpithet",
    "dwc:infraspecificEpithet",
    "dwc:scientificNameAuthorship",
    "dwc:cultivarEpithet",
)
#: Tests that need every one of these terms.
NEEDS_ALL = {
    "VALIDATION_COUNTRY_FOUND": ("dwc:country",),
    "VALIDATION_STATEPROVINCE_FOUND": ("dwc:stateProvince",),
    "VALIDATION_KINGDOM_FOUND": ("dwc:kingdom",),
    "VALIDATION_PHYLUM_FOUND": ("dwc:phylum",),
    "VALIDATION_CLASS_FOUND": ("dwc:class",),
    "VALIDATION_ORDER_FOUND": ("dwc:order",),
    "VALIDATION_FAMILY_FOUND": ("dwc:family",),
    "VALIDATION_GENUS_FOUND": ("dwc:genus",),
    "VALIDATION_SCIENTIFICNAME_FOUND": ("dwc:scientificName",),
    "VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT": ("dwc:country", "dwc:countryCode"),
    "VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT": ("dwc:scientificName", LATITUDE, LONGITUDE),
}
#: Tests that need at least one of these terms.
NEEDS_ANY = {
    "VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS": ("dwc:country", "dwc:stateProvince"),
    "VALIDATION_CLASSIFICATION_CONSISTENT": quality_tests()["VALIDATION_CLASSIFICATION_CONSISTENT"].acted_upon,
    "VALIDATION_TAXON_UNAMBIGUOUS": ("dwc:scientificNameID", *NAME_TERMS),
}


def _needs_all(terms: tuple[str, ...]) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        empty = record.empty_among(*terms)
        return internal(f"{list_terms(empty)} is empty") if empty else external(NOT_AT_HAND)

    return answer


def _needs_any(terms: tuple[str, ...]) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        if record.filled_among(*terms):
            return external(NOT_AT_HAND)
        return internal(f"{list_terms(terms)} are empty")

    return answer


for _label, _terms in NEEDS_ALL.items():
    implements(_label)(_needs_all(_terms))
for _label, _terms in NEEDS_ANY.items():
    implements(_label)(_needs_any(_terms))


@implements("VALIDATION_COORDINATESSTATEPROVINCE_CONSISTENT")
def validation_coordinatesstateprovince_consistent(record: Record) -> Response:
    """Does the point lie in the state or province? Outlines of the world's states are not at hand."""
    latitude, longitude = as_number(record.text(LATITUDE)), as_number(record.text(LONGITUDE))
    if record.is_empty("dwc:stateProvince") or latitude is None or longitude is None:
        return internal(f"dwc:stateProvince, {LATITUDE} or {LONGITUDE} is empty or not valid")
    if abs(latitude) > 90 or abs(longitude) > 180:
        return internal(f"{LATITUDE} or {LONGITUDE} is out of range")
    return external(NOT_AT_HAND)


@implements("AMENDMENT_SCIENTIFICNAMEID_FROM_TAXON")
def amendment_scientificnameid_from_taxon(record: Record) -> Response:
    """Propose the identifier of the name; needs a list of names."""
    if not record.is_empty("dwc:scientificNameID") or not record.filled_among(*NAME_TERMS):
        return internal("dwc:scientificNameID is not empty, or no part of a name is given")
    return external(NOT_AT_HAND)


@implements("AMENDMENT_SCIENTIFICNAME_FROM_SCIENTIFICNAMEID")
def amendment_scientificname_from_scientificnameid(record: Record) -> Response:
    """Propose the name of the identifier; needs a list of names."""
    if record.is_empty("dwc:scientificNameID") or not record.is_empty("dwc:scientificName"):
        return internal("dwc:scientificNameID is empty, or dwc:scientificName is not")
    return external(NOT_AT_HAND)


@implements("ISSUE_ANNOTATION_NOTEMPTY")
def issue_annotation_notempty(record: Record) -> Response:
    """Has somebody annotated the record? Needs an annotation system."""
    return external("no annotation system is at hand")
