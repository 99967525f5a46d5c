"""Headers against the usual headers of every field."""

from __future__ import annotations

import pytest

from dwc_pipeline.draft.header_evidence import header_evidence, rival_words, words_of
from dwc_pipeline.terms.sheet import SHEET_KINDS, sheet_fields

EVERY = [(kind, field, header) for kind in SHEET_KINDS for field in sheet_fields(kind) for header in
         (field, *sheet_fields(kind)[field].headers)]  # fmt: skip


@pytest.mark.parametrize("shape", [str, str.upper, lambda text: f"  {text} ", lambda text: text.replace(" ", "\n")])
def test_every_usual_header_fits_its_own_field_however_it_is_typed(shape):
    poor = [
        (kind, field, header)
        for kind, field, header in EVERY
        if header_evidence(shape(header), sheet_fields(kind)[field], rival_words(kind, field)).score < 0.96
    ]
    assert poor == []


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Wt (oz)", "body_mass"), ("SVL_mm", "snout_vent_length"), ("Date of capture", "eventDate"),
        ("PIT or clip", "mark"), ("Observer(s)", "recordedBy"), ("SpeciesCode", "verbatimIdentification"),
        ("Recap (Y/N)", "capture_status"), ("Lat (WGS84)", "verbatimLatitude"), ("Specie", "verbatimIdentification"),
    ],
)  # fmt: skip
def test_headers_with_units_brackets_and_other_words_are_known(header, field):
    assert header_evidence(header, sheet_fields("capture")[field], rival_words("capture", field)).score >= 0.9


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Date entered", "eventDate"), ("Observer comments", "recordedBy"), ("Array/Trap", "place"),
        ("Parent sex", "sex"), ("Calibrated_Scale", "body_mass"), ("Mass entered by", "body_mass"),
    ],
)  # fmt: skip
def test_a_word_that_makes_it_another_thing_keeps_a_header_from_being_placed(header, field):
    assert header_evidence(header, sheet_fields("capture")[field], rival_words("capture", field)).score < 0.45


def test_a_usual_header_is_never_taken_for_another_one_misspelt():
    assert header_evidence("Count", sheet_fields("place")["county"]).score == 0


def test_words_run_together_are_taken_apart():
    assert words_of("verbatimLatitude") == ("verbatim", "latitude")
    assert words_of("UTMZone") == ("utm", "zone")
