"""Names as typed against a checklist. Source of the table: handbook of the trade, section 6."""

from __future__ import annotations

import time

import pandas as pd
import pytest
from name_lists import demo, shared, southern_plains, table_of

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.normalise.scientific_name import NameContext, judge_name
from dwc_pipeline.terms.checklist import Checklist

HOW = {
    "synonym": {"synonym", "subspecies-left-out", "name-ending"},
    "vernacular": {"common-name"},
    "code": {"field-code"},
    "repaired": {"spelling-repaired"},
}


def judge(typed: str, **context: object) -> Verdict:
    return judge_name(typed, southern_plains(), NameContext(**context))  # type: ignore[arg-type]


@pytest.mark.parametrize("row", table_of("handbook_names.csv"), ids=lambda row: f"{row[0]}-{row[1]}")
def test_every_name_of_the_handbook_comes_out_as_listed(row: list[str]) -> None:
    _, typed, name, rank, qualifier, outcome = row
    verdict = judge(typed)
    if outcome == "no animal":
        assert verdict == Verdict(Status.CHANGED, "", "no-animal", verdict.note, also={"no_animal": "true"}), (
            "an empty check has no name and says so"
        )
    elif outcome in ("ask", "unlisted"):
        assert not verdict.is_read
        assert RULES[verdict.rule].asks
        assert outcome == "unlisted" or not name or verdict.readings[0] == name
    else:
        assert (verdict.value, verdict.also["taxonRank"]) == (name, rank)
        assert verdict.also.get("identificationQualifier", "") == qualifier
        assert not HOW.get(outcome) or verdict.rule in HOW[outcome]
        assert ("name-repaired" in flags_of(verdict)) == (outcome == "repaired")
        assert verdict.also["in_target_scope"] == ("false" if outcome == "bycatch" else "true")


def flags_of(verdict: Verdict) -> list[str]:
    return [flag.rule for flag in verdict.flags]


@pytest.mark.parametrize("row", table_of("hard_names.csv"), ids=lambda row: row[0])
def test_a_hard_name_is_read_rightly_or_asked(row: list[str]) -> None:
    typed, allowed = row
    verdict = judge(typed)
    written = "NO ANIMAL" if verdict.also.get("no_animal") else verdict.value
    assert not verdict.is_read or written in allowed.split("|"), verdict


def test_at_most_a_few_readable_hard_names_are_asked() -> None:
    readable = [typed for typed, allowed in table_of("hard_names.csv") if allowed]
    asked = [typed for typed in readable if not judge(typed).is_read]
    assert len(asked) <= len(readable) * 0.03, asked


def test_every_rule_that_a_name_raises_is_declared() -> None:
    for typed, *_ in [*table_of("hard_names.csv"), *(row[1:] for row in table_of("handbook_names.csv"))]:
        verdict = judge(typed)
        assert verdict.is_read or verdict.status is Status.EMPTY or verdict.rule in RULES
        assert all(flag.rule in RULES for flag in verdict.flags)
        assert verdict.note or verdict.status is Status.KEPT


class TestWhatElseTheCellSays:
    """lifeStage, sex, count and doubt beside a name. Common practice, no source."""

    @pytest.mark.parametrize(
        ("typed", "term", "value"),
        [
            ("juv racer", "lifeStage", "juvenile"),
            ("woodhouse's toadlet", "lifeStage", "metamorph"),
            ("Great Plains Toad toadlet", "lifeStage", "metamorph"),
            ("bullfrog tadpoles", "lifeStage", "larva"),
            ("hatchling ornate box turtle", "age_class", "hatchling"),
            ("wolf spider x3", "individualCount", "3"),
            ("3 toads", "individualCount", "3"),
            ("THMA_F", "sex", "female"),
            ("bullsnake (M)", "sex", "male"),
            ("gravid racer", "reproductiveCondition", "gravid"),
            ("DOR bullsnake", "vitality", "dead"),
            ("racer, got away", "fate", "escaped before processing"),
            ("unknown snake", "identificationRemarks", "unknown"),
            ("Thamnophis radix?", "identificationVerificationStatus", "doubtful"),
        ],
    )
    def test_a_word_beside_the_name_fills_its_own_column(self, typed: str, term: str, value: str) -> None:
        assert judge(typed).also[term] == value

    @pytest.mark.parametrize("typed", ["racer?", "maybe racer", "Thamnophis radix?", "THMA?", "Thamnophis cf. radix"])
    def test_doubt_is_always_told(self, typed: str) -> None:
        verdict = judge(typed)
        assert verdict.is_read
        assert "identification-doubtful" in flags_of(verdict)
        assert verdict.also["identificationQualifier"]

    def test_a_question_mark_after_the_sex_doubts_the_sex(self) -> None:
        assert "sex" not in judge("THMA F?").also

    @pytest.mark.parametrize("typed", ["racer 2", "racer #3", "bullsnake 2", "Coluber constrictor 3", "2019 racer"])
    def test_a_bare_number_is_no_count(self, typed: str) -> None:
        assert not judge(typed).is_read

    @pytest.mark.parametrize("typed", ["0 racers", "racer x0", "juvenile adult racer", "gravid male racer"])
    def test_words_that_contradict_are_asked(self, typed: str) -> None:
        assert judge(typed).rule == "words-beside-a-name-contradict"


class TestNotAvailable:
    """NA is a missing value, an empty check or a code; section 6.2, row 62."""

    @pytest.mark.parametrize("typed", ["NA", "n/a", "-", "NULL", "#N/A"])
    def test_it_is_asked_unless_the_survey_file_says(self, typed: str) -> None:
        assert judge(typed).rule == "na-in-the-name-column"
        assert judge(typed, na_means="missing").status is Status.EMPTY
        assert judge(typed, na_means="no animals").also == {"no_animal": "true"}

    def test_it_may_be_a_code_of_the_checklist(self) -> None:
        rats = Checklist.from_frame(frame_of(scientificName="Neotoma albigula", fieldCodes="NA"))
        assert judge_name("NA", rats).readings == ("Neotoma albigula", "no animal", "missing")
        assert judge_name("NA", rats, NameContext(na_means="code")).value == "Neotoma albigula"

    def test_it_stays_a_question_with_a_sex_beside_it(self) -> None:
        rats = Checklist.from_frame(frame_of(scientificName="Neotoma albigula", fieldCodes="NA"))
        assert not judge_name("NA_F", rats).is_read
        assert judge_name("NA_F", rats, NameContext(na_means="code")).also["sex"] == "female"


def frame_of(**columns: str) -> pd.DataFrame:
    return pd.DataFrame([columns])


class TestVenomousAndProtected:
    """Section 6.1: no such name rests on a repair. Row 8 of section 6.2: a wrong Latin ending alone is repaired."""

    @pytest.mark.parametrize(
        "typed",
        [
            "Crotalus virdis",
            "Crotallus viridis",
            "prarie rattlesnake",
            "massasaga",
            "Phrynosoma cornutem",
            "Crotallus",
        ],
    )
    def test_a_repair_is_asked(self, typed: str) -> None:
        verdict = judge(typed)
        assert verdict.rule == "venomous-name-by-repair"
        assert verdict.readings

    def test_a_wrong_ending_is_told_as_an_error_that_asks(self) -> None:
        assert "venomous-name-by-repair" in flags_of(judge("Crotalus viridus"))


class TestTheSurveyFile:
    """Declared words, by-catch, scope and synonyms as typed."""

    def test_a_declared_word_goes_before_everything(self) -> None:
        verdict = judge("copperhead", declared_words={"Copperhead": "Agkistrodon laticinctus"})
        assert (verdict.value, verdict.rule) == ("Agkistrodon laticinctus", "declared-word")

    def test_a_declared_word_is_known_beside_other_words(self) -> None:
        verdict = judge("juv blk snake x2", declared_words={"blk snake": "Pantherophis obsoletus"})
        assert verdict.value == "Pantherophis obsoletus"
        assert (verdict.also["lifeStage"], verdict.also["individualCount"]) == ("juvenile", "2")

    def test_a_declared_word_does_not_swallow_doubt(self) -> None:
        verdict = judge("blk snake?", declared_words={"blk snake": "Pantherophis obsoletus"})
        assert "identification-doubtful" in flags_of(verdict)

    def test_a_declared_name_may_be_outside_the_checklist(self) -> None:
        verdict = judge("spotted salamander", declared_words={"spotted salamander": "Ambystoma maculatum"})
        assert (verdict.value, verdict.also["family"]) == ("Ambystoma maculatum", "Ambystomatidae")
        assert flags_of(verdict) == ["name-declared-outside-checklist"]

    def test_a_regional_synonym_can_be_declared(self) -> None:
        verdict = judge("Sceloporus undulatus", declared_words={"Sceloporus undulatus": "Sceloporus consobrinus"})
        assert verdict.value == "Sceloporus consobrinus"

    def test_a_name_kept_by_a_species_elsewhere_can_be_declared(self) -> None:
        verdict = judge("Sistrurus catenatus", declared_words={"Sistrurus catenatus": "Sistrurus catenatus"})
        assert (verdict.value, verdict.also["family"]) == ("Sistrurus catenatus", "Viperidae")

    def test_a_word_can_be_declared_to_mean_an_empty_check(self) -> None:
        assert judge("NOHERP", declared_words={"NOHERP": "none"}).also == {"no_animal": "true"}

    @pytest.mark.parametrize("reading", ["no animal", "missing"])
    def test_what_is_offered_for_na_can_be_read_as_an_answer(self, reading: str) -> None:
        assert reading in judge("NA").readings
        assert not judge(reading).value
        assert judge(reading).status in (Status.CHANGED, Status.EMPTY)

    def test_by_catch_is_outside_the_scope_at_every_rank(self) -> None:
        assert judge("bullfrog", bycatch_groups=frozenset({"Anura"})).also["in_target_scope"] == "false"
        assert judge("toad", target_taxa=frozenset({"Squamata"})).also["in_target_scope"] == "false"
        assert judge("snake", target_taxa=frozenset({"Squamata"})).also["in_target_scope"] == "true"
        assert judge("bee").also["in_target_scope"] == "false"

    def test_a_synonym_is_kept_as_typed_where_wanted(self) -> None:
        verdict = judge("Bufo woodhousii", keep_synonyms_as_typed=True)
        assert (verdict.status, verdict.value) == (Status.KEPT, "Bufo woodhousii")
        assert verdict.also["taxonomicStatus"] == "synonym"
        assert verdict.also["acceptedNameUsage"] == "Anaxyrus woodhousii (Girard, 1854)"
        assert judge("Bufo woodhousii").also["taxonomicStatus"] == "accepted"


def test_the_terms_of_a_species_are_filled_from_the_checklist() -> None:
    also = judge_name("PICA", demo()).also
    wanted = {
        "scientificNameAuthorship": "(Blainville, 1835)",
        "taxonRank": "species",
        "kingdom": "Animalia",
        "phylum": "Chordata",
        "class": "Reptilia",
        "order": "Squamata",
        "family": "Colubridae",
        "genus": "Pituophis",
        "specificEpithet": "catenifer",
        "vernacularName": "Gopher Snake",
        "taxonomicStatus": "accepted",
        "nameAccordingTo": "Checklist of the demo ranch, 2025-03-01",
    }
    assert {term: also[term] for term in wanted} == wanted
    assert also["higherClassification"].endswith("Squamata | Serpentes | Colubridae | Pituophis")


def test_a_stage_in_the_second_name_of_a_cell_is_kept() -> None:
    verdict = judge_name("Spea sp. (tadpoles)", demo())
    assert (verdict.value, verdict.also["lifeStage"]) == ("Spea", "larva")


@pytest.mark.parametrize("typed", ["Tham sirt", "Tham. sirt.", "tham sirta", "Tham sirt juv"])
def test_both_words_cut_short_are_read_if_one_name_fits(typed: str) -> None:
    assert judge_name(typed, demo()).value == "Thamnophis sirtalis"


@pytest.mark.parametrize("typed", ["Plest obs", "Tham obs", "Pit mela", "Pse xxxx"])
def test_a_word_too_short_a_regional_name_and_no_name_are_asked(typed: str) -> None:
    assert judge_name(typed, demo()).status is not Status.CHANGED


def test_a_hybrid_counts_under_the_taxon_that_holds_both() -> None:
    verdict = judge("Spea bombifrons x multiplicata")
    assert verdict.also["counts_as"] == verdict.also["genus"] == "Spea"


def test_a_code_is_never_repaired() -> None:
    for code in ("HOMX", "THMX", "CRVJ", "XHMA"):
        assert not judge(code).is_read


class TestCodes:
    """Codes are written in capitals and collide. Common practice, no source."""

    def test_a_code_in_small_letters_is_told(self) -> None:
        assert flags_of(judge("thma")) == ["code-in-small-letters"]
        assert flags_of(judge("THMA")) == []

    def test_a_word_is_no_code_of_a_venomous_species(self) -> None:
        assert not judge("site").is_read, "SITE is Sistrurus tergeminus"
        assert judge("SITE").value == "Sistrurus tergeminus"

    def test_a_listed_code_goes_before_one_made_of_letters(self) -> None:
        rows = [
            {"scientificName": "Sceloporus consobrinus", "fieldCodes": "SCCO"},
            {"scientificName": "Scaphiopus couchii"},
        ]
        verdict = judge_name("SCCO", Checklist.from_frame(pd.DataFrame(rows).fillna("")))
        assert (verdict.value, flags_of(verdict)) == ("Sceloporus consobrinus", ["code-fits-another-name"])
        rows[1]["fieldCodes"] = "SCCU"
        verdict = judge_name("SCCO", Checklist.from_frame(pd.DataFrame(rows)))
        assert (verdict.value, flags_of(verdict)) == ("Sceloporus consobrinus", [])

    def test_a_code_that_is_also_a_word_for_nothing_is_asked(self) -> None:
        nils = Checklist.from_frame(frame_of(scientificName="Nilus ilius", fieldCodes="NIL"))
        assert judge_name("NIL", nils).readings == ("Nilus ilius", "no animal")

    def test_a_group_word_that_shortens_a_common_name_is_asked(self) -> None:
        assert judge("cricket").readings == ("Orthoptera", "Acris blanchardi")


def test_brackets_and_years_of_an_author_are_notes_only() -> None:
    assert flags_of(judge("Crotalus viridis Rafinesque, 1818")) == ["authorship-differs"]
    assert flags_of(judge("Crotalus viridis (Rafinesque 1818)")) == []


def test_a_cell_of_any_length_and_letters_is_met_without_a_crash() -> None:
    for typed in (
        "",
        " ",
        "\u200b",
        "x" * 10_000,
        "(" * 200,
        "?" * 50,
        "🐍",
        "A. " * 60,
        "×",
        "/",
        "x",
        "3",
        "3 3 3",
    ):
        assert not judge(typed).is_read


def test_three_hundred_names_are_judged_well_within_a_second() -> None:
    names = [row[0] for row in table_of("hard_names.csv")][:300]
    seconds = []
    for _ in range(3):  # the first round fills the caches; a busy machine may disturb one
        start = time.process_time()
        for name in names:
            judge(name)
        seconds.append(time.process_time() - start)
    assert min(seconds) < 1.0


def test_the_handbook_itself_has_these_rows() -> None:
    text = shared("handbook.md").read_text(encoding="utf-8")
    missing = [row[1] for row in table_of("handbook_names.csv") if f"| `{row[1]}` |" not in text]
    assert not missing
