"""Places and people by the survey's own lists."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_survey import prepared

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.person import PeopleList, judge_people
from dwc_pipeline.normalise.place_name import PlaceList, judge_place

PLACES = PlaceList(
    {"A1": ("Plum Thicket North",), "A2": (), "A12": (), "R1": ("County Road 14",), "S1": ("North Pond",)}
)
PEOPLE = PeopleList({"Kim Marsh": ("KM",), "Rosa Tell": (), "Karl Moor": ("KLM",), "Kim Dale": ()})


class TestPlaces:
    @pytest.mark.parametrize(
        "typed", ["A1", "a 1", "Array 1", "A01", "A-1", "ARRAY-01", "arr. 1", "plum thicket north"]
    )
    def test_one_place_in_any_usual_spelling(self, typed: str) -> None:
        assert judge_place(typed, PLACES).value == "A1"

    @pytest.mark.parametrize(("typed", "code"), [("Route 1", "R1"), ("rt 1", "R1"), ("Site 1", "S1"), ("2", "A2")])
    def test_the_word_for_the_kind_of_place_may_stand_before_it(self, typed: str, code: str) -> None:
        assert judge_place(typed, PLACES).value == code

    @pytest.mark.parametrize(("typed", "codes"), [("1", ("A1", "R1", "S1")), ("A1/A2", ("A1", "A2"))])
    def test_what_fits_several_places_is_asked(self, typed: str, codes: tuple[str, ...]) -> None:
        verdict = judge_place(typed, PLACES)
        assert (verdict.status, verdict.readings) == (Status.AMBIGUOUS, codes)

    @pytest.mark.parametrize(
        "typed", ["A4", "A1O", "AI", "1A", "Plum Thickett North", "North", "A", "A1?", "A1 2", "A1-2", "B1"]
    )
    def test_what_only_looks_like_a_place_is_asked(self, typed: str) -> None:
        verdict = judge_place(typed, PLACES)
        assert (verdict.status, verdict.value, verdict.rule) == (Status.UNREADABLE, "", "place-not-in-place-list")

    def test_near_places_are_offered(self) -> None:
        assert judge_place("Plum Thickett North", PLACES).readings[0] == "A1"

    def test_two_codes_that_fold_alike_are_asked(self) -> None:
        assert judge_place("a 1", PlaceList({"A1": (), "a-1": ()})).status is Status.AMBIGUOUS

    def test_a_code_that_looks_like_not_available_is_a_code(self) -> None:
        assert judge_place("NA", PlaceList({"NA": ()})).value == "NA"
        assert judge_place("NA", PLACES).status is Status.EMPTY

    @settings(max_examples=200, deadline=None)
    @given(
        code=st.sampled_from(["A", "R", "S"]),
        number=st.integers(1, 99),
        zeros=st.integers(0, 2),
        mark=st.sampled_from(["", " ", "-", "_"]),
    )
    def test_zeros_and_marks_never_lead_to_another_place(self, code: str, number: int, zeros: int, mark: str) -> None:
        places = PlaceList({f"{letter}{n}": () for letter in "ARS" for n in range(1, 100)})
        typed = f"{code.lower()}{mark}{'0' * zeros}{number}"
        assert judge_place(typed, places).value == f"{code}{number}"


class TestPeople:
    @pytest.mark.parametrize(
        "typed",
        [
            "KM/RT",
            "K.M. & R.T.",
            "KM, RT",
            "km rt",
            "KM and RT",
            "KM;RT",
            "Kim Marsh, Rosa Tell",
            "KM-RT",
            "Marsh & Tell",
        ],
    )
    def test_two_people_in_any_usual_spelling(self, typed: str) -> None:
        assert judge_people(typed, PEOPLE).value == "Kim Marsh | Rosa Tell"

    @pytest.mark.parametrize("typed", ["Kim Marsh", "Marsh, Kim", "K. Marsh", "KM", "Marsh, K."])
    def test_one_person_in_any_usual_spelling(self, typed: str) -> None:
        assert judge_people(typed, PEOPLE).value == "Kim Marsh"

    def test_the_order_of_the_cell_stays_for_the_first_is_the_primary_collector(self) -> None:
        """Darwin Core recordedBy: the primary collector should be listed first."""
        assert judge_people("RT/KM", PEOPLE).value == "Rosa Tell | Kim Marsh"

    def test_unknown_initials_stay_as_typed_and_are_flagged(self) -> None:
        """Handbook of the trade, rule 71."""
        verdict = judge_people("KM/XY", PEOPLE)
        assert (verdict.value, [flag.rule for flag in verdict.flags]) == (
            "Kim Marsh | XY",
            ["observer-not-in-people-list"],
        )

    def test_a_first_name_of_two_people_is_asked(self) -> None:
        verdict = judge_people("Kim", PEOPLE)
        assert (verdict.status, verdict.readings) == (Status.AMBIGUOUS, ("Kim Marsh", "Kim Dale"))

    def test_a_misspelt_name_is_offered_and_not_applied(self) -> None:
        verdict = judge_people("Kim Mash", PEOPLE)
        assert (verdict.value, verdict.flags[0].readings[0]) == ("Kim Mash", "Kim Marsh")

    def test_a_surname_with_initials_stays_one_person(self) -> None:
        assert judge_people("Stone, J.", PEOPLE).value == "Stone, J."

    @pytest.mark.parametrize("typed", ["", "NA", "?", "-"])
    def test_nobody_is_empty(self, typed: str) -> None:
        assert judge_people(typed, PEOPLE).status is Status.EMPTY


def test_a_site_list_without_codes_gives_no_place_and_no_crash(tmp_path):
    table = '[[table]]\nname = "s"\nholds = "place"\nfiles = ["s.csv"]\ncolumns = { Where = "locality" }\n'
    season = prepared(tmp_path, {"s.csv": "Where\nby the gate\n"}, table)
    assert season.records.tables["place"].empty
