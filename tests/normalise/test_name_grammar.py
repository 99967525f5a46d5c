"""Parts of a typed name. Source: International Code of Zoological Nomenclature, chapter 11 and article 51."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.normalise.name_grammar import parse_name, split_pair

genera = st.from_regex(r"[A-Z][a-z]{2,11}", fullmatch=True)
epithets = st.from_regex(r"[a-z]{4,11}(us|a|is|ii|ensis)", fullmatch=True)
authors = st.sampled_from(
    ["Say, 1823", "(Say, 1823)", "Baird & Girard, 1853", "(Mecham, Littlejohn, Oldham, Brown & Brown, 1973)",
     "de Queiroz, 1992", "(Duméril & Bibron, 1839)", "Le Conte, 1830", "O'Shaughnessy, 1875", "L.", "Linnaeus 1758"]
)  # fmt: skip


class TestAuthorship:
    """Articles 51.1 to 51.3: author and year follow the name, in brackets where the genus has changed."""

    @settings(max_examples=60, deadline=None)
    @given(genus=genera, epithet=epithets, author=authors)
    def test_the_author_is_parted_from_the_name(self, genus: str, epithet: str, author: str) -> None:
        readings = {(name.name, name.authorship) for name in parse_name(f"{genus} {epithet} {author}")}
        assert (f"{genus} {epithet}", author) in readings

    def test_a_missing_bracket_or_comma_changes_nothing(self) -> None:
        for author in ("(Rafinesque, 1818)", "Rafinesque, 1818", "(Rafinesque 1818", "Rafinesque 1818)"):
            (name,) = parse_name(f"Crotalus viridis {author}")
            assert (name.name, name.year) == ("Crotalus viridis", "1818")

    def test_a_subgenus_is_no_author(self) -> None:
        (name,) = parse_name("Bufo (Anaxyrus) woodhousii")
        assert (name.name, name.subgenus) == ("Bufo woodhousii", "Anaxyrus")


@pytest.mark.parametrize(
    ("typed", "name", "qualifier", "on"),
    [
        ("Thamnophis sp", "Thamnophis", "sp.", "open"),
        ("Thamnophis spp.", "Thamnophis", "spp.", "open"),
        ("Thamnophis sp. A", "Thamnophis", "sp. A", "open"),
        ("Thamnophis cf radix", "Thamnophis", "cf. radix", "epithet"),
        ("Thamnophis cf.radix", "Thamnophis", "cf. radix", "epithet"),
        ("Thamnophis ?radix", "Thamnophis", "?radix", "epithet"),
        ("Thamnophis radix ?", "Thamnophis radix", "?", "end"),
        ("Pituophis catenifer cf. sayi", "Pituophis catenifer", "cf. sayi", "infraspecies"),
        ("Pituophis catenifer ssp.", "Pituophis catenifer", "ssp.", "open infraspecies"),
        ("cf. Thamnophis radix", "Thamnophis radix", "cf. Thamnophis radix", "name"),
    ],
)
def test_signs_of_doubt_leave_the_name(typed: str, name: str, qualifier: str, on: str) -> None:
    parsed = parse_name(typed)[0]
    assert (parsed.name, parsed.qualifier, parsed.qualifier_on) == (name, qualifier, on)


def test_a_question_mark_that_touches_the_genus_doubts_nothing_else() -> None:
    assert parse_name("Thamnophis? radix") == ()


def test_short_forms_say_that_they_are_short() -> None:
    (name,) = parse_name("P. c. sayi")
    assert (name.genus_is_short, name.epithet_is_short, name.infra) == (True, True, "sayi")
    assert parse_name("C viridis")[0].genus_is_short
    assert not parse_name("Uta stansburiana")[0].genus_is_short


def test_single_letters_and_signs_are_no_epithets() -> None:
    assert all(not name.infra for name in parse_name("Thamnophis radix F"))
    assert parse_name("Bufo x") == ()


@pytest.mark.parametrize("typed", ["12 June", "wolf spider x3", "lizard, got away", "", "?", "=A1"])
def test_other_texts_are_no_names(typed: str) -> None:
    assert parse_name(typed) == ()


@pytest.mark.parametrize(
    ("typed", "pair"),
    [
        ("Spea bombifrons × Spea multiplicata", ("×", "Spea bombifrons", "Spea multiplicata")),
        ("Spea bombifrons x multiplicata", ("×", "Spea bombifrons", "Spea multiplicata")),
        ("racer or coachwhip", ("/", "racer", "coachwhip")),
        ("wolf spider x 3", None),
        ("a/b/c", None),
    ],
)
def test_pairs_are_split(typed: str, pair: tuple[str, str, str] | None) -> None:
    assert split_pair(typed) == pair


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_parsed_without_error(text: str) -> None:
    for name in parse_name(text):
        assert name.genus


def test_a_hostile_text_takes_no_time() -> None:
    start = time.process_time()
    for text in ("A " * 79 + "!", "Aaa, " * 30 + "9", "aaa-" * 30 + "9", "a b " * 30 + "1", "(" * 150, "A.-'" * 39):
        parse_name(text)
    assert time.process_time() - start < 0.2
