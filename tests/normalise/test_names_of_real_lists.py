"""Names of open data sets. Sources: Mammal Diversity Database 1.2 (CC BY 4.0), checklist of alien herpetofauna of
Belgium (CC0 1.0), a lesson's table of names with typing errors (CC BY 4.0, Data Carpentry)."""

from __future__ import annotations

import pandas as pd
import pytest
from name_lists import mammals, shared

from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.read.checklist_file import read_checklist
from dwc_pipeline.terms.checklist import Checklist


def mammal_table() -> pd.DataFrame:
    path = shared("realdata", "04-checklists", "mammals", "MDD_v1.2_UnitedStates.csv")
    return pd.read_csv(path, dtype=str, keep_default_na=False)


def test_every_mammal_is_read_by_its_name_as_the_list_writes_it() -> None:
    for typed in mammal_table()["sciName"]:
        assert judge_name(typed, mammals()).value == typed.replace("_", " ")


def test_every_name_of_2005_leads_to_the_present_name() -> None:
    table = mammal_table().query("MSW3_sciName != sciName and MSW3_sciName != 'NA'")
    assert len(table) > 50
    for typed, present in zip(table["MSW3_sciName"], table["sciName"], strict=True):
        assert judge_name(typed, mammals()).value == present.replace("_", " ")


def test_no_common_name_leads_to_a_wrong_mammal() -> None:
    table = mammal_table()
    read, asked = 0, []
    for present, first, others in zip(
        table["sciName"], table["mainCommonName"], table["otherCommonNames"], strict=True
    ):
        for name in filter(None, [first, *others.split("|")]):
            verdict = judge_name(name.lower().replace("’", "'"), mammals())
            assert not verdict.is_read or verdict.value == present.replace("_", " "), (name, verdict)
            read += verdict.is_read
            asked += [] if verdict.is_read else [name]
    assert read > 950, asked


def test_the_reptiles_and_amphibians_are_read_with_their_authors() -> None:
    frame = read_checklist(shared("realdata", "04-checklists", "herps", "taxon.csv"))
    checklist = Checklist.from_frame(frame)
    assert len(frame) == 127
    for typed in frame["scientificName"]:
        verdict = judge_name(typed, checklist)
        assert verdict.is_read, typed
        assert typed.startswith(verdict.value)


@pytest.mark.parametrize(
    ("typed", "name", "flags"),
    [
        ("Ammospermophilis harrisi", "Ammospermophilus harrisii", ["name-repaired"]),
        ("Ammospermophilus harrisi", "Ammospermophilus harrisii", []),
        ("Dipodomys merriami", "Dipodomys merriami", []),
        ("  Amphispiza bilineata  ", "", []),
        ("Crotalus viridis", "", []),
    ],
)
def test_typing_errors_of_the_lesson_are_repaired_or_asked(typed: str, name: str, flags: list[str]) -> None:
    table = pd.read_csv(
        shared("realdata", "02-messy-workbook", "raw", "Portal_rodents_19772002_simplified.csv"),
        dtype=str,
        keep_default_na=False,
        encoding="utf-8",
        encoding_errors="replace",
    )
    assert typed in set(table["scientificName"])
    verdict = judge_name(typed, mammals())
    assert (verdict.value, [flag.rule for flag in verdict.flags]) == (name, flags)


def test_codes_with_a_sex_are_read_by_the_listed_codes() -> None:
    """Cells such as "DM_F" of the lesson's workbook: codes of two letters that the checklist lists."""
    codes = {"DM": "Dipodomys merriami", "DO": "Dipodomys ordii", "OL": "Onychomys leucogaster"}
    frame = pd.DataFrame([{"scientificName": name, "fieldCodes": code} for code, name in codes.items()])
    checklist = Checklist.from_frame(frame)
    for code, name in codes.items():
        verdict = judge_name(f"{code}_F", checklist)
        assert (verdict.value, verdict.also["sex"]) == (name, "female")
