"""Captures set beside the capture before, totals at the foot, distances and groups."""

from __future__ import annotations

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod

from dwc_pipeline.check.animal_groups import animal_group
from dwc_pipeline.check.distance import metres_between
from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.recapture_flags import first_rows, is_tag


def captures(rows: list[dict[str, object]]) -> pd.DataFrame:
    base = {"organismID": "one", "place": "A1", "where": "x", "eventID": "", "mark": "2-4-9"}
    return pd.DataFrame([{**base, **row} for row in rows])


class TestBesideEarlier:
    def test_looks_back_to_the_nearest_earlier_check(self) -> None:
        animal = captures(
            [{"date": "2031-05-03", "x": 3}, {"date": "2031-05-01", "x": 1}, {"date": "2031-05-02", "x": 2}]
        )
        made = beside_earlier(animal, animal["x"] > 0, ("x",))
        assert made["earlier_x"].tolist()[0] == 2
        assert made["earlier_date"].tolist() == ["2031-05-02", "", "2031-05-01"]
        assert made["days"].iloc[0] == 1

    def test_rows_of_one_check_are_one_meeting(self) -> None:
        animal = captures(
            [{"date": "2031-05-01", "x": 1}, {"date": "2031-05-01", "x": 2}, {"date": "2031-05-04", "x": 3}]
        )
        made = beside_earlier(animal, animal["x"] > 0, ("x",))
        assert made["earlier_date"].tolist() == ["", "", "2031-05-01"]

    def test_rows_without_a_date_or_an_animal_take_no_part(self) -> None:
        animal = captures([{"date": "", "x": 1}, {"date": "2031-05-02", "x": 2, "organismID": ""}])
        assert beside_earlier(animal, animal["x"] > 0, ("x",))["earlier_where"].tolist() == ["", ""]

    @given(st.lists(st.tuples(st.sampled_from("ab"), st.integers(1, 28)), min_size=1, max_size=12))
    @settings(max_examples=40, deadline=None)
    def test_the_earlier_capture_is_of_the_same_animal_and_earlier(self, met: list[tuple[str, int]]) -> None:
        rows: list[dict[str, object]] = [
            {"organismID": who, "date": f"2031-05-{day:02d}", "who": who} for who, day in met
        ]
        animal = captures(rows)
        made = beside_earlier(animal, pd.Series(True, index=animal.index), ("who",))
        told = made["earlier_where"] != ""
        assert (made.loc[told, "earlier_who"] == animal.loc[told, "who"]).all()
        assert (made.loc[told, "earlier_date"] < animal.loc[told, "date"]).all()


def test_a_first_row_is_not_sure_where_a_row_of_the_mark_has_no_date() -> None:
    animal = captures([{"date": "2031-05-03"}, {"date": ""}])
    assert not first_rows(animal).any()


def test_tags_are_told_from_clip_codes() -> None:
    marks = pd.Series(["985141000402359", "3D9.1BF1A2B3C4", "2-4-9", "LF1-RF2", "AB1"])
    assert is_tag(marks).tolist() == [True, True, False, False, False]


@pytest.mark.parametrize("point", [(36.70, -99.60, 36.71, -99.60), (36.70, -99.60, 36.70, -99.58)])
def test_distances_agree_with_the_ellipsoid(point: tuple[float, float, float, float]) -> None:
    """WGS 84 geodesic of PROJ (Karney 2013); a sphere is within 0.56 % of it."""
    latitude, longitude, other_latitude, other_longitude = point
    _, _, metres = Geod(ellps="WGS84").inv(longitude, latitude, other_longitude, other_latitude)
    assert float(metres_between(*point)) == pytest.approx(metres, rel=0.0056)


class TestAnimalGroups:
    def test_snakes_are_known_by_family_or_by_the_checklist(self) -> None:
        view = pd.DataFrame(
            {
                "scientificName": ["Coluber constrictor", "Novusanguis primus", "Uta stansburiana", "Squamata"],
                "family": ["Colubridae", "Novidae", "Phrynosomatidae", ""],
                "order": "Squamata",
            }
        )
        checklist = pd.DataFrame(
            {"scientificName": ["Novidae", "Serpentes"], "parentNameUsage": ["Serpentes", "Squamata"]}
        )
        assert animal_group(view, checklist).tolist() == ["snake", "snake", "lizard", ""]
