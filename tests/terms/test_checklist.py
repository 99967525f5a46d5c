"""The index of a checklist. Source of the columns: Darwin Core, class Taxon (terms at hand 2026-05-26)."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pandas as pd
import pytest

from dwc_pipeline.terms.checklist import Checklist

HIGHER = {
    "kingdom": "Animalia",
    "phylum": "Chordata",
    "class": "Reptilia",
    "order": "Squamata",
    "family": "Colubridae",
}


def checklist_of(*rows: dict[str, str]) -> Checklist:
    return Checklist.from_frame(pd.DataFrame(list(rows)).fillna(""), "a list")


def test_a_synonym_row_is_found_by_name_or_by_identifier() -> None:
    found = checklist_of(
        {"taxonID": "1", "scientificName": "Coluber constrictor", **HIGHER},
        {"taxonID": "2", "scientificName": "Bascanion constrictor", "acceptedNameUsageID": "1"},
        {"scientificName": "Hierophis constrictor", "taxonomicStatus": "heterotypic synonym",
         "acceptedNameUsage": "Coluber constrictor Linnaeus, 1758"},
        {"scientificName": "Zamenis constrictor", "taxonomicStatus": "synonym", "acceptedNameUsageID": "2"},
    )  # fmt: skip
    for name in ("Bascanion constrictor", "Hierophis constrictor", "Zamenis constrictor"):
        taxon = found.accepted(name)
        assert taxon is not None, name
        assert taxon.name == "Coluber constrictor"
    assert found.mistakes == ()


def test_flat_columns_of_synonyms_and_common_names_are_split() -> None:
    found = checklist_of(
        {"scientificName": "Aquarana catesbeiana", "synonyms": "Rana catesbeiana|Lithobates catesbeianus",
         "vernacularName": "American Bullfrog; bullfrog", "regionalSynonyms": "Rana clamitans"}
    )  # fmt: skip
    assert {use.listed for use in found.uses if use.is_synonym} == {
        "Rana catesbeiana",
        "Lithobates catesbeianus",
        "Rana clamitans",
    }
    assert found.accepted("Rana clamitans") is None
    assert {"americanbullfrog", "bullfrog"} <= set(found.english)


@pytest.mark.parametrize(
    ("scientific", "name", "author"),
    [
        ("Testudo hermanni (Gmelin, 1789)", "Testudo hermanni", "(Gmelin, 1789)"),
        ("Lampropeltis (Fitzinger, 1843)", "Lampropeltis", "(Fitzinger, 1843)"),
        ("Didelphis_virginiana", "Didelphis virginiana", ""),
        ("Pituophis catenifer subsp. sayi (Schlegel, 1837)", "Pituophis catenifer sayi", "(Schlegel, 1837)"),
        ("Hyla femoralis de Witt, 1800", "Hyla femoralis", "de Witt, 1800"),
        ("Bufo (Anaxyrus) woodhousii Girard, 1854", "Bufo woodhousii", "Girard, 1854"),
    ],
)
def test_an_authorship_inside_the_name_is_parted_from_it(scientific: str, name: str, author: str) -> None:
    taxon = checklist_of({"scientificName": scientific}).accepted(name)
    assert taxon is not None
    assert taxon.authorship == author


def test_names_may_stand_in_the_epithet_columns_alone() -> None:
    found = checklist_of({"genus": "Uta", "specificEpithet": "stansburiana"})
    assert "Uta stansburiana" in found.taxa


def test_higher_taxa_are_known_from_columns_and_parents() -> None:
    found = checklist_of(
        {"scientificName": "Coluber constrictor", **HIGHER},
        {"scientificName": "Colubridae", "taxonRank": "family", "parentNameUsage": "Serpentes"},
        {"scientificName": "Serpentes", "taxonRank": "suborder", "order": "Squamata"},
    )
    racer, family = found.taxa["Coluber constrictor"], found.taxa["Colubridae"]
    assert racer.is_within("Serpentes")
    assert family.is_within("Squamata")
    assert found.taxa["Coluber"].rank == "genus"
    assert list(racer.ancestors) == ["genus", "family", "suborder", "order", "class", "phylum", "kingdom"]
    assert [taxon.name for taxon in found.members["Serpentes"]] == ["Coluber constrictor", "Colubridae"]


def test_the_narrowest_common_taxon() -> None:
    found = checklist_of(
        {"scientificName": "Coluber constrictor", **HIGHER},
        {"scientificName": "Pituophis catenifer", **HIGHER},
        {"scientificName": "Crotalus viridis", **HIGHER, "family": "Viperidae"},
        {"scientificName": "Lycosidae", "taxonRank": "family", "kingdom": "Animalia", "phylum": "Arthropoda"},
    )
    taxa = found.taxa

    def common(*names: str) -> str:
        taxon = found.narrowest_common(taxa[name] for name in names)
        return taxon.name if taxon else ""

    assert common("Coluber constrictor", "Pituophis catenifer") == "Colubridae"
    assert common("Coluber constrictor", "Coluber") == "Coluber"
    assert common("Coluber constrictor", "Crotalus viridis") == "Squamata"
    assert common("Crotalus viridis", "Lycosidae") == "Animalia"


class TestCodes:
    """Two and two, three and three letters: common practice; USGS Techniques and Methods 2-A5 lists such codes."""

    def test_codes_are_made_of_present_and_old_names(self) -> None:
        found = checklist_of({"scientificName": "Anaxyrus woodhousii", "synonyms": "Bufo woodhousii"})
        assert {code: uses[0].kind for code, uses in found.codes.items()} == {
            "ANWO": "current",
            "ANAWOO": "current",
            "BUWO": "old",
            "BUFWOO": "old",
        }

    def test_collisions_are_information_and_no_mistake(self) -> None:
        found = checklist_of({"scientificName": "Scaphiopus couchii"}, {"scientificName": "Sceloporus consobrinus"})
        assert found.code_collisions == {"SCCO": ("Scaphiopus couchii", "Sceloporus consobrinus")}
        assert found.mistakes == ()

    def test_listed_codes_have_any_length_and_may_be_na(self) -> None:
        found = checklist_of({"scientificName": "Neotoma albigula", "fieldCodes": "NA|neoalb1"})
        assert found.codes["NA"][0].kind == found.codes["NEOALB1"][0].kind == "listed"


class TestMistakes:
    """Nothing is raised; every mistake is told with its row."""

    @pytest.mark.parametrize(
        ("rows", "told"),
        [
            ([{"scientificName": "Uta stansburiana"}] * 2, "row 3: Uta stansburiana is already accepted in row 2"),
            ([{"scientificName": "Uta x", "taxonomicStatus": "synonym"}], "row 2: Uta x is a synonym of nothing"),
            ([{"scientificName": "Uta x", "acceptedNameUsage": "Uta y"}], "row 2: Uta x is a synonym of Uta y"),
            ([{"scientificName": "Uta stansburiana", "venomous": "perhaps"}], 'venomous is "perhaps"'),
            ([{"scientificName": "", "family": "Colubridae"}], "row 2: no scientificName"),
            ([{"scientificName": "Uta stansburiana", "parentNameUsage": "Utidae"}], 'its parent "Utidae"'),
            ([{"scientificName": "Pelophylax cf. bedriagae"}], "carries a sign of doubt"),
            (
                [{"scientificName": "Uta a", "synonyms": "Uta c"}, {"scientificName": "Uta b", "synonyms": "Uta c"}],
                "Uta c is listed as a synonym of Uta a and of Uta b",
            ),
            (
                [{"scientificName": "Uta a", "synonyms": "Uta b"}, {"scientificName": "Uta b"}],
                "Uta b is an accepted name and also listed as a synonym of Uta a",
            ),
        ],
    )
    def test_a_mistake_is_told(self, rows: list[dict[str, str]], told: str) -> None:
        assert any(told in mistake for mistake in checklist_of(*rows).mistakes)

    def test_a_circle_of_synonyms_ends(self) -> None:
        found = checklist_of(
            {"scientificName": "Uta a", "taxonomicStatus": "synonym", "acceptedNameUsage": "Uta b"},
            {"scientificName": "Uta b", "taxonomicStatus": "synonym", "acceptedNameUsage": "Uta a"},
        )
        assert len(found.mistakes) == 2

    def test_a_circle_of_parents_ends(self) -> None:
        found = checklist_of(
            {"scientificName": "Aidae", "taxonRank": "family", "parentNameUsage": "Bformes"},
            {"scientificName": "Bformes", "taxonRank": "order", "parentNameUsage": "Aidae"},
        )
        assert found.taxa["Aidae"].ancestors["order"] == "Bformes"


def test_an_accepted_name_is_never_also_read_as_a_synonym() -> None:
    found = checklist_of({"scientificName": "Uta a", "synonyms": "Uta b"}, {"scientificName": "Uta b"})
    taxon = found.accepted("Uta b")
    assert taxon is not None
    assert taxon.name == "Uta b"


def test_a_partial_synonym_is_regional() -> None:
    found = checklist_of(
        {"scientificName": "Ambystoma mavortium"},
        {"scientificName": "Ambystoma maculatum", "taxonomicStatus": "pro parte synonym",
         "acceptedNameUsage": "Ambystoma mavortium"},
    )  # fmt: skip
    assert found.accepted("Ambystoma maculatum") is None


@pytest.mark.parametrize(
    ("cells", "targets"),
    [
        (("", ""), (None, None)),
        (("true", ""), (True, False)),
        (("false", ""), (False, True)),
        (("true", "false", ""), (True, False, True)),
    ],
)
def test_a_blank_target_means_what_the_marked_rows_leave(cells: tuple[str, ...], targets: tuple[object, ...]) -> None:
    rows = [
        {"scientificName": f"Uta {letter * 3}", "target": cell} for letter, cell in zip("abc", cells, strict=False)
    ]
    found = checklist_of(*rows)
    assert tuple(found.taxa[row["scientificName"]].target for row in rows) == targets


def test_the_facts_are_numbers_in_millimetres_and_grams() -> None:
    facts = checklist_of(
        {"scientificName": "Phrynosoma cornutum", "sizeMeasure": "SVL", "adultMinMm": "60", "massMinG": "20.5",
         "venomous": "no", "sensitive": "category 3", "months": "4-10"},
        {"scientificName": "Crotalus viridis", "venomous": "true", "recordMm": "about a metre"},
    ).facts()  # fmt: skip
    assert facts.loc["Phrynosoma cornutum", ["adultMinMm", "massMinG", "sizeMeasure"]].tolist() == [60.0, 20.5, "SVL"]
    assert facts["venomous"].tolist() == [False, True]
    assert pd.isna(facts.loc["Crotalus viridis", "recordMm"])


def test_headers_may_be_full_identifiers_in_any_case() -> None:
    frame = pd.DataFrame(
        {"http://rs.tdwg.org/dwc/terms/scientificName": ["Uta stansburiana"], "dwc:FAMILY": ["Utidae"]}
    )
    assert Checklist.from_frame(frame).taxa["Uta stansburiana"].ancestors["family"] == "Utidae"


def test_a_checklist_cannot_be_changed() -> None:
    found = checklist_of({"scientificName": "Uta stansburiana"})
    with pytest.raises(FrozenInstanceError):
        found.mistakes = ()  # type: ignore[misc]
    with pytest.raises(TypeError):
        found.taxa["Uta"] = found.taxa["Uta stansburiana"]  # type: ignore[index]


def test_an_empty_checklist_is_a_checklist() -> None:
    assert Checklist.from_frame(pd.DataFrame()).taxa == {}
    assert len(Checklist().facts()) == 0
