"""What a public copy shows of places, dates, people and identifiers."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from dwc_pipeline.protect.run import Protected
from dwc_pipeline.terms.schema import pandera_schema, row_type

Make = Callable[..., Protected]
SENSITIVE = {"taxa": {"Phrynosoma cornutum": 2}}
RANCH = {"name": "Windmill Ranch", "places": ["N*"], "grid": "0.1", "words": ["Hollis Pike"]}


def events(made: Protected) -> pd.DataFrame:
    return made.copy.tables["event"]


def by_cell(made: Protected) -> dict[tuple[str, str], int]:
    shown = events(made)
    return shown.groupby(["decimalLatitude", "decimalLongitude"]).size().to_dict()


def test_one_sensitive_animal_makes_every_event_of_its_place_coarse(protected: Make) -> None:
    cells = by_cell(protected(SENSITIVE))
    assert cells[("36.8", "-99.6")] == 4  # session and both checks of N1, and the find in the same cell
    assert cells[("36.7423451", "-99.6123457")] == 3  # N2 as held


def test_an_animal_known_only_to_its_genus_counts_as_the_sensitive_species(
    protected: Make, tables: dict[str, pd.DataFrame]
) -> None:
    last = tables["occurrence"].index[4]
    tables["occurrence"].loc[last, ["scientificName", "specificEpithet"]] = ["Phrynosoma", ""]
    assert by_cell(protected(SENSITIVE))[("36.8", "-99.6")] == 4


def test_the_coarsest_of_taxon_and_place_rule_holds(protected: Make) -> None:
    made = protected({"taxa": {"Phrynosoma cornutum": 3}, "property": [RANCH]})
    assert by_cell(made)[("36.8", "-99.6")] == 4  # N1 and the find beside it
    assert by_cell(made)[("36.7", "-99.6")] == 3  # N2 holds no sensitive animal, but lies on the ranch


def test_effort_of_a_private_place_is_generalised_with_its_events(protected: Make) -> None:
    made = protected({"property": [RANCH]})
    effort = made.copy.tables["humboldt"].merge(events(made), on="eventID")
    assert set(effort["samplingEffortValue"]) == {"287"}
    assert not (set(effort["decimalLatitude"]) & {"36.7512345", "36.7423451"})


def test_a_find_without_a_place_in_a_cell_of_the_ranch_counts_as_on_it(protected: Make) -> None:
    shown = events(protected({"property": [RANCH]}))
    chance = shown[shown["eventType"] == "incidental"].iloc[0]
    assert chance["coordinatePrecision"] == "0.1"


def test_a_small_group_is_coarsened_then_dated_to_the_month_then_withheld(protected: Make) -> None:
    made = protected({"property": [RANCH]}, smallest_group=2)
    private = events(made)[events(made)["informationWithheld"] != ""]
    of_ranch = private[private["dataGeneralizations"].str.contains("not given")]
    assert len(of_ranch) == 7  # two places of three events and the find: no other property keeps them company
    assert set(of_ranch["decimalLatitude"]) == {""}
    assert of_ranch["eventDate"].str.len().le(15).all()


def test_properties_known_to_lie_in_the_cell_keep_a_ranch_company(protected: Make) -> None:
    made = protected({"property": [{**RANCH, "other_properties_in_cell": 5}]}, smallest_group=3)
    assert set(events(made).loc[events(made)["coordinatePrecision"] != "", "coordinatePrecision"]) == {"0.1"}


def test_two_private_places_in_one_cell_pass_a_test_of_two(protected: Make, tables: dict[str, pd.DataFrame]) -> None:
    tables["event"] = tables["event"][tables["event"]["eventType"] != "incidental"]
    near = [{**RANCH, "places": ["N1"]}, {**RANCH, "name": "Second Ranch", "places": ["N2"]}]
    made = protected({"property": near}, smallest_group=2)
    precision = events(made).loc[events(made)["coordinatePrecision"] != "", "coordinatePrecision"]
    assert set(precision) == {"1"}  # 36.75 parts them on the finer grid


def test_hours_are_left_out_and_dates_can_be_coarser(protected: Make) -> None:
    assert not events(protected())["eventDate"].str.contains("T").any()
    month = events(protected(dates="month"))
    assert set(month.loc[month["eventType"] == "trapCheck", "eventDate"]) == {"2031-05"}
    assert set(month.loc[month["eventType"] == "trapCheck", "day"]) == {""}


def test_nothing_typed_freely_is_left(protected: Make) -> None:
    made = protected(SENSITIVE)
    text = "\n".join(table.to_csv() for table in made.copy.tables.values()) + repr(made.copy.metadata)
    for word in ("Windmill", "Cedar", "gate", "WD-", "900118", "pond", "17.78", "604", "Ada", "Bo Sample", "F-N1"):
        assert word not in text, word
    assert not re.search(r"\b(N1|N2|P7|Q9)\b", text)


def test_only_people_who_may_be_named_are_named(protected: Make) -> None:
    made = protected(named=["Ada Example"])
    assert set(made.copy.tables["occurrence"]["recordedBy"]) == {"Ada Example"}
    assert [party.name for party in made.copy.metadata.people] == ["Ada Example"]


def test_identifiers_are_the_same_in_every_version_and_only_with_the_key(
    protected: Make, tables: dict[str, pd.DataFrame]
) -> None:
    first = events(protected())
    tables["event"] = tables["event"].iloc[::-1]
    again = events(protected())
    other = events(protected(key="another text of the person"))
    assert first["eventID"].tolist() == again["eventID"].tolist()
    assert not set(first["eventID"]) & set(other["eventID"])


def test_the_order_of_rows_follows_what_is_shown_and_not_the_sheets(
    protected: Make, tables: dict[str, pd.DataFrame]
) -> None:
    first = protected().copy.tables
    tables["occurrence"] = tables["occurrence"].sample(frac=1, random_state=3)
    second = protected().copy.tables
    pd.testing.assert_frame_equal(first["occurrence"], second["occurrence"])


def test_links_still_hold(protected: Make) -> None:
    made = protected(SENSITIVE).copy.tables
    assert made["occurrence"]["eventID"].isin(made["event"]["eventID"]).all()
    assert set(made["event"]["parentEventID"]) <= {"", *made["event"]["eventID"]}
    assert made["measurement"]["occurrenceID"].isin(made["occurrence"]["occurrenceID"]).all()


@pytest.mark.parametrize("name", ["event", "occurrence", "measurement", "humboldt"])
def test_the_tables_keep_to_their_schema(protected: Make, name: str) -> None:
    table = protected(SENSITIVE).copy.tables[name]
    pandera_schema(name, list(table)).validate(table, lazy=True)
    assert row_type(name)


def test_the_box_of_the_description_is_that_of_the_cells(protected: Make) -> None:
    box = protected(SENSITIVE, grid="0.1").copy.metadata.box
    assert box is not None
    assert (box.west, box.south, box.east, box.north) == (-99.65, 36.35, -98.45, 36.95)


def test_what_was_done_is_said_in_words(protected: Make) -> None:
    made = protected(SENSITIVE)
    coarse = events(made)[events(made)["coordinatePrecision"] == "0.1"].iloc[0]
    assert coarse["dataGeneralizations"].startswith("Coordinates rounded to 0.1 degree because ")
    assert "Society for Examples" in coarse["informationWithheld"]
    assert any("grid of 0.1 degree" in one for one in made.copy.statements)


def test_public_tables_are_made_in_one_stage_only() -> None:
    package = Path(__file__).resolve().parents[2] / "dwc_pipeline"
    makers = {path.parent.name for path in package.rglob("*.py") if "PublicTables(" in path.read_text("utf-8")}
    assert makers == {"protect"}
