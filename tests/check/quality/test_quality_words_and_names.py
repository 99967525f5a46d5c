"""Emptiness, vocabularies, licences, and names in the data-quality tests."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dwc_pipeline.check.quality import quality_response
from dwc_pipeline.check.quality.emptiness import is_empty
from dwc_pipeline.check.quality.taxon_tests import epithets
from dwc_pipeline.check.quality.vocabulary_tests import VOCABULARIES
from dwc_pipeline.check.quality.word_list import word_list

TODAY = date(2026, 11, 25)


def answer(test: str, **record: object):
    return quality_response(test, record, today=TODAY)


@given(st.text(alphabet=[chr(code) for code in range(0x21)], max_size=6))
def test_controls_and_spaces_are_empty(text):
    assert is_empty(text)
    assert answer("VALIDATION_YEAR_NOTEMPTY", year=text).result == "NOT_COMPLIANT"


@pytest.mark.parametrize("text", ["\u00a0", "\u0085", "\u2003", "null", "NA", "\\N", "unknown", "nan", "\x7f"])
def test_other_blanks_and_words_for_nothing_are_not_empty(text):
    """Implementer's Guide 2.2 of the draft standard."""
    assert not is_empty(text)
    assert answer("VALIDATION_YEAR_NOTEMPTY", year=text).result == "COMPLIANT"


@pytest.mark.parametrize("nothing", [None, float("nan")])
def test_a_null_is_empty_and_so_is_a_missing_term(nothing):
    assert answer("VALIDATION_YEAR_NOTEMPTY", year=nothing).result == "NOT_COMPLIANT"
    assert answer("VALIDATION_YEAR_NOTEMPTY").result == "NOT_COMPLIANT"


@pytest.mark.parametrize(("stem", "term", "name"), [(stem, *names) for stem, names in VOCABULARIES.items()])
def test_what_an_amendment_proposes_is_a_value_of_the_vocabulary(stem, term, name):
    words = word_list(name)
    for text in (*words.terms, *words.labels, *words.synonyms, *(value.upper() for value in words.terms)):
        proposed = answer(f"AMENDMENT_{stem}_STANDARDIZED", **{term: f" {text}\n"}).proposals
        assert set(proposed.values()) <= set(words.terms)
        if proposed:
            assert answer(f"VALIDATION_{stem}_STANDARD", **proposed).result == "COMPLIANT"
            assert answer(f"AMENDMENT_{stem}_STANDARDIZED", **proposed).status == "NOT_AMENDED"


@pytest.mark.parametrize(("stem", "term", "name"), [(stem, *names) for stem, names in VOCABULARIES.items()])
def test_a_space_or_a_capital_makes_a_value_another_value(stem, term, name):
    for value in word_list(name).terms:
        for text in (f"{value} ", f" {value}", f"{value}\x0e"):
            assert answer(f"VALIDATION_{stem}_STANDARD", **{term: text}).result == "NOT_COMPLIANT"


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("establishmentMeans", "nat.", ("native", "nativeEndemic", "nativeReintroduced")),
        ("dcType", "evnt", ("Event",)),
        ("sex", "x", ()),
        ("typeStatus", "para", ("Paralectotype", "Paraneotype", "Paratype")),
        ("basisOfRecord", "Human obs", ("HumanObservation",)),
    ],
)
def test_a_word_with_two_readings_is_not_decided(name, text, expected):
    assert word_list(name).readings(text) == expected


@pytest.mark.parametrize(
    ("text", "address"),
    [
        ("CC0", "https://creativecommons.org/publicdomain/zero/1.0/legalcode"),
        ("CC BY 4.0", "https://creativecommons.org/licenses/by/4.0/legalcode"),
        ("CC-BY-NC_4.0 International", "https://creativecommons.org/licenses/by-nc/4.0/legalcode"),
        (
            "https://creativecommons.org/licenses/by-sa/4.0",
            "https://creativecommons.org/licenses/by-sa/4.0/legalcode",
        ),
        ("CC BY", None),
        ("CC BY 3.0", None),
        ("by 4.0", None),
        ("CC BY-ND-SA 4.0", None),
    ],
)
def test_a_licence_needs_its_version(text, address):
    expected = {} if address is None else {"dcterms:license": address}
    assert answer("AMENDMENT_LICENSE_STANDARDIZED", license=text).proposals == expected


def test_type_status_is_judged_part_by_part():
    both = "Holotype of Aus bus | paratype of Aus cus"
    assert answer("VALIDATION_TYPESTATUS_STANDARD", typeStatus=both).result == "NOT_COMPLIANT"
    proposed = answer("AMENDMENT_TYPESTATUS_STANDARDIZED", typeStatus=both).proposals
    assert proposed == {"dwc:typeStatus": "Holotype of Aus bus | Paratype of Aus cus"}
    assert answer("VALIDATION_TYPESTATUS_STANDARD", **proposed).result == "COMPLIANT"


@pytest.mark.parametrize(
    ("name", "genus", "found"),
    [
        ("Aspidoscelis sexlineatus (Linnaeus, 1766)", "Aspidoscelis", ("sexlineatus",)),
        ("Aspidoscelis sexlineatus viridis (Lowe, 1966)", "Aspidoscelis", ("sexlineatus", "viridis")),
        ("Rosa canina L. var. dumalis de Vries", "Rosa", ("canina", "dumalis")),
        ("Lampropeltis (Lampropeltis) cf. getula", "Lampropeltis", ("getula",)),
        ("Anolis sp.", "Anolis", ()),
        ("", "", ()),
    ],
)
def test_epithets_are_told_from_authors_and_ranks(name, genus, found):
    assert epithets(name) == (genus, found)


@pytest.mark.parametrize(
    ("identifier", "complete"),
    [
        ("gbif:8102122", True), ("urn:lsid:zoobank.org:act:17ADF24F", True), ("https://example.org/taxon/1", True),
        ("https://example.org/", False), ("https://example.org", False), ("8102122", False), ("dwc:taxonID", False),
        ("gbif: 8102122", False), ("urn:lsid", False),
    ],
)  # fmt: skip
def test_an_identifier_says_where_it_is_one(identifier, complete):
    result = answer("VALIDATION_SCIENTIFICNAMEID_COMPLETE", scientificNameID=identifier).result
    assert result == ("COMPLIANT" if complete else "NOT_COMPLIANT")
