"""Words in a name cell that are no part of the name. Common practice, no source."""

from __future__ import annotations

import pytest

from dwc_pipeline.normalise.name_words import (
    animal_groups,
    group_taxon,
    meaning_instead_of_name,
    number_spelt,
    peels,
    words_beside_names,
    words_instead_of_names,
)
from dwc_pipeline.terms.taxon import RANK_ORDER, Taxon


@pytest.mark.parametrize(
    ("typed", "rest", "terms"),
    [
        ("racer x2", "racer", {"individualCount": "2"}),
        ("2x racer", "racer", {"individualCount": "2"}),
        ("racer (2)", "racer", {"individualCount": "2"}),
        ("racer n=2", "racer", {"individualCount": "2"}),
        ("racer_F", "racer", {"sex": "female"}),
        ("racer, young of the year", "racer", {"lifeStage": "juvenile", "age_class": "YOY"}),
        ("sub-adult racer", "racer", {"lifeStage": "subadult"}),
    ],
)
def test_one_fact_is_taken_off(typed: str, rest: str, terms: dict[str, str]) -> None:
    (peeled,) = peels(typed)
    assert (peeled.rest, dict(peeled.fact.terms)) == (rest, terms)


@pytest.mark.parametrize("typed", ["racer", "racer 2", "Array 3", "C. viridis", "small-mouthed salamander"])
def test_nothing_is_taken_off_a_name_or_a_label(typed: str) -> None:
    assert all(not peeled.fact.terms for peeled in peels(typed))


def test_a_word_means_one_thing_only() -> None:
    assert not set(words_beside_names()) & {
        word for word, meaning in words_instead_of_names().items() if meaning not in ("unidentified", "missing")
    }


def test_two_ways_to_say_that_nothing_was_caught_say_it_once() -> None:
    assert meaning_instead_of_name("none - all traps empty") == "no animal"
    assert meaning_instead_of_name("none, closed") == ""


def test_numbers_in_names_are_spelt_out() -> None:
    assert number_spelt("3-toed box turtle") == "three-toed box turtle"
    assert number_spelt("3 toads") == "3 toads"


class TestGroups:
    """The rank that is certain from a group word."""

    def test_the_checklist_s_own_taxon_goes_first(self) -> None:
        own = Taxon("Sauria", "suborder")
        assert group_taxon(animal_groups()["lizard"], {"Sauria": own}) is own
        assert group_taxon(animal_groups()["lizard"], {}).name == "Squamata"

    def test_a_group_outside_the_checklist_is_outside_the_scope(self) -> None:
        taxon = group_taxon(animal_groups()["wolfspider"], {})
        assert (taxon.name, taxon.target) == ("Lycosidae", False)
        assert taxon.ancestors["order"] == "Araneae"

    def test_every_group_is_complete(self) -> None:
        for word, group in animal_groups().items():
            assert RANK_ORDER[group["safe_rank"]] >= RANK_ORDER[group["rank"]], word
            taxon = group_taxon(group, {})
            assert taxon.rank == "kingdom" or taxon.ancestors["kingdom"] == "Animalia"
