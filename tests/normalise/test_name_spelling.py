"""When a misspelt name may be repaired. Source of thresholds and distances: handbook of the trade, section 6.1."""

from __future__ import annotations

import itertools

import pytest
from name_lists import southern_plains
from rapidfuzz.distance import OSA

from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.terms.name_keys import english_key, epithet_key, scientific_key


def osa(one: str, other: str) -> int:
    """Optimal string alignment by its definition (Boytsov 2011, section 2.2.3): the check of the library."""
    table = [[max(i, j) if not i * j else 0 for j in range(len(other) + 1)] for i in range(len(one) + 1)]
    for i, j in itertools.product(range(1, len(one) + 1), range(1, len(other) + 1)):
        cost = one[i - 1] != other[j - 1]
        table[i][j] = min(table[i - 1][j] + 1, table[i][j - 1] + 1, table[i - 1][j - 1] + cost)
        if i > 1 and j > 1 and one[i - 1] == other[j - 2] and one[i - 2] == other[j - 1]:
            table[i][j] = min(table[i][j], table[i - 2][j - 2] + 1)
    return table[-1][-1]


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        ("Crotalus horridus", "Crotalus viridis", 4),
        ("Phrynosoma cornutum", "Phrynosoma modestum", 4),
        ("Holbrookia macualta", "Holbrookia maculata", 1),
        ("Masticophus flagelum", "Masticophis flagellum", 2),
        ("Thamnophis radiks", "Thamnophis radix", 2),
        ("Tantilla nigra", "Tantilla nigriceps", 5),
    ],
)
def test_distances_are_those_of_the_handbook(one: str, other: str, distance: int) -> None:
    assert OSA.distance(one.lower(), other.lower()) == osa(one.lower(), other.lower()) == distance


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        ("common watersnake", "common gartersnake", 2),
        ("eastern mud turtle", "eastern musk turtle", 2),
        ("milksnake", "bullsnake", 3),
    ],
)
def test_common_names_are_as_far_apart_as_the_handbook_says(one: str, other: str, distance: int) -> None:
    assert osa(english_key(one), english_key(other)) == distance


def test_no_two_accepted_species_are_nearer_than_the_clearance() -> None:
    species = [taxon.name for taxon in southern_plains().taxa.values() if taxon.rank == "species"]
    nearest = min(OSA.distance(one.lower(), other.lower()) for one, other in itertools.combinations(species, 2))
    assert nearest == 4
    folded = {scientific_key(name) for name in species}
    assert len(folded) == len(species)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("Rana dulcis", "the typed genus is another known genus"),
        ("Sepa bombifrons", "a genus of four letters"),
        ("Hypsiglena jona", "half of a short epithet"),
        ("Xoluber constrictor", "the first letter"),
        ("Coluber cnstricter x", "more than the name"),
        ("Uta stansbr", "too far"),
        ("racr", "a short common name"),
        ("rattlesnke", "a group word"),
        (
            "Anaxyrus mexicanus",
            "an accepted toad of Mexico (Brocchi, 1877; from memory), two letters from americanus",
        ),
        ("Urosaurus cornutus", "the epithet of another species of the list"),
    ],
)
def test_a_name_is_not_repaired_over(typed: str, why: str) -> None:
    assert not judge_name(typed, southern_plains()).is_read, why


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Buffo cognatus", "Anaxyrus cognatus"),
        ("Colubre constrictor", "Coluber constrictor"),
        ("Heterodon platirhinus", "Heterodon platirhinos"),
        ("Aspidoscelis tessellatus", "Aspidoscelis tesselatus"),
        ("great plians toad", "Anaxyrus cognatus"),
        ("Thamnophis radixx?", "Thamnophis radix"),
    ],
)
def test_a_near_name_is_repaired_and_told(typed: str, name: str) -> None:
    verdict = judge_name(typed, southern_plains())
    assert (verdict.value, verdict.rule) == (name, "spelling-repaired")
    assert "name-repaired" in [flag.rule for flag in verdict.flags]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("Tantilla nigra", "Tantilla nigriceps"),
        ("garter snake", "Thamnophis"),
        ("T. sirtalus", "Thamnophis sirtalis"),
        ("THMX", "Thamnophis marcianus"),
        ("Bufo fowleri", "Anaxyrus cognatus"),
        ("no snakes", "no animal"),
    ],
)
def test_what_could_have_been_meant_is_offered(typed: str, first: str) -> None:
    assert judge_name(typed, southern_plains()).readings[0] == first


def test_no_epithet_of_another_genus_is_taken_for_a_misspelling() -> None:
    """Genera of the list with every epithet of the list: none is repaired to another taxon."""
    uses = [use for use in southern_plains().uses if len(use.listed.split()) > 1]
    genera = sorted({use.listed.split()[0] for use in uses})
    owners: dict[str, set[str]] = {}
    for use in uses:
        owners.setdefault(epithet_key(use.listed.split()[1]), set()).add(use.taxon.species)
    for genus, epithet in itertools.product(genera[::24], sorted({use.listed.split()[1] for use in uses})):
        verdict = judge_name(f"{genus} {epithet}", southern_plains())
        assert not verdict.is_read or verdict.value in owners[epithet_key(epithet)], (genus, epithet, verdict)
