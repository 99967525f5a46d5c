"""Whatever position is written in whatever form reads back as itself, and a slip never passes for the truth."""

from __future__ import annotations

import math

import pandas as pd
import pyproj
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from dwc_pipeline.core.verdict import Verdict
from dwc_pipeline.normalise.coordinate_uncertainty import degree_precision_uncertainty
from dwc_pipeline.normalise.grid_reference import BANDS
from dwc_pipeline.normalise.position_text import (
    POSITION_COLUMNS,
    PositionContext,
    UncertaintyParts,
    judge_position,
    judge_positions,
)

NO_PLACE = PositionContext(datum="WGS84")
PROPERTY = PositionContext(datum="WGS84", boundary=box(-100.5, 36.2, -99.0, 37.2), boundary_slack_m=0.0)
latitudes = st.floats(-70, 70).filter(lambda degrees: abs(degrees) > 0.1)
longitudes = st.floats(-179.9, 179.9).filter(lambda degrees: abs(degrees) > 0.1)
on_property = st.tuples(st.floats(36.21, 37.19), st.floats(-100.49, -99.01))


def judge(cell: str, context: PositionContext = NO_PLACE) -> Verdict:
    return judge_position(cell, "", "", "", "", "", "", context)


def metres_off(verdict: Verdict, latitude: float, longitude: float) -> float:
    north, east = (float(part) for part in verdict.value.split())
    return float(pyproj.Geod(ellps="WGS84").inv(longitude, latitude, east, north)[2])


def sexagesimal(degrees: float, parts: int, decimals: int) -> tuple[str, ...]:
    """Whole degrees, minutes and seconds, carried over so that no part reaches 60."""
    unit = 60 ** (parts - 1)
    steps = round(abs(degrees) * unit * 10**decimals)
    whole, fraction = divmod(steps, 10**decimals)
    last = f"{whole % 60:02d}" + (f".{fraction:0{decimals}d}" if decimals else "")
    whole //= 60
    return (str(whole), last) if parts == 2 else (str(whole // 60), f"{whole % 60:02d}", last)


@settings(max_examples=50, deadline=None)
@given(latitudes, longitudes, st.integers(1, 7), st.sampled_from([", ", " ", "; ", "/", " | "]))
def test_signed_decimal_degrees_read_back(lat: float, lon: float, decimals: int, between: str):
    verdict = judge(f"{lat:+.{decimals}f}{between}{lon:+.{decimals}f}")
    assume(round(lat, decimals) != 0 and round(lon, decimals) != 0)
    assert verdict.is_read
    assert metres_off(verdict, lat, lon) <= degree_precision_uncertainty(10.0**-decimals, lat) + 0.02


@settings(max_examples=40, deadline=None)
@given(latitudes, longitudes, st.integers(1, 7), st.booleans(), st.booleans())
def test_decimal_degrees_with_letters_read_back(lat: float, lon: float, decimals: int, before: bool, swapped: bool):
    halves = [
        (f"{abs(degrees):.{decimals}f}", letters[degrees < 0]) for degrees, letters in ((lat, "NS"), (lon, "EW"))
    ]
    assume(all(float(number) for number, _ in halves))
    texts = [letter + number if before else number + letter for number, letter in halves]
    verdict = judge(" ".join(texts[::-1] if swapped else texts))
    assert verdict.is_read
    assert metres_off(verdict, lat, lon) <= degree_precision_uncertainty(10.0**-decimals, lat) + 0.02


MARKS = [("°", "'", '"'), ("º", "’", "”"), ("°", "′", "″"), (" ", " ", ""), (":", ":", ""), ("-", "-", ""),
         ("d", "m", "s"), ("° ", "' ", "''"), (" deg ", " min ", " sec")]  # fmt: skip


@settings(max_examples=70, deadline=None)
@given(latitudes, longitudes, st.integers(2, 3), st.integers(0, 3), st.sampled_from(MARKS))
def test_minutes_and_seconds_read_back_under_any_mark(
    lat: float, lon: float, parts: int, decimals: int, marks: tuple[str, str, str]
):
    halves = []
    for degrees, letters in ((lat, "NS"), (lon, "EW")):
        numbers = sexagesimal(degrees, parts, decimals)
        assume(any(float(number) for number in numbers))
        last_mark = marks[parts - 1] if marks[2] else ""
        written = numbers[0] + "".join(
            mark + number for mark, number in zip(marks, numbers[1:], strict=False)
        ) + last_mark  # fmt: skip
        halves.append(f"{written} {letters[degrees < 0]}")
    verdict = judge(", ".join(halves))
    assert verdict.is_read, halves
    step = 10.0**-decimals / 60 ** (parts - 1)
    assert metres_off(verdict, lat, lon) <= degree_precision_uncertainty(step, lat) + 0.02
    stated = UncertaintyParts.from_text(verdict.also["uncertainty_parts"]).precision_m
    assert stated >= degree_precision_uncertainty(step, float(verdict.value.split()[0])) * 0.999


def utm_of(lat: float, lon: float) -> tuple[int, str, float, float]:
    """Zone, band, easting and northing, by the projection library alone."""
    zone = min(60, int((lon + 180) // 6) + 1)
    easting, northing = pyproj.Proj(f"+proj=utm +zone={zone} +ellps=WGS84" + (" +south" if lat < 0 else ""))(lon, lat)
    return zone, BANDS[min(19, int((lat + 80) // 8))], easting, northing


@settings(max_examples=50, deadline=None)
@given(
    latitudes,
    longitudes,
    st.sampled_from(
        [
            "{z}{b} {e} {n}",
            "{z} {b} {e} {n}",
            "{e} {n} {z}{b}",
            "UTM {z}{b} {e}E {n}N",
            "zone {z}{b}, {e} mE, {n} mN",
            "UTM zone {z}{b} E {e} N {n}",
            "{z}{b} 0{e} {n}",
            "{n}N {e}E {z}{b}",
        ]
    ),
)
def test_utm_reads_back_in_any_order(lat: float, lon: float, pattern: str):
    zone, band, east, north = utm_of(lat, lon)
    # a northing of fewer than six digits is a strip of 100 km along the equator, and asked about without letters
    assume(north >= 100_000)
    verdict = judge(pattern.format(z=zone, b=band, e=round(east), n=round(north)))
    may_be_asked = (north < 1_000_000 and "E" not in pattern) or (band == "E" and "{z} {b} {e}" in pattern)
    assert verdict.is_read or may_be_asked
    if verdict.is_read:
        assert metres_off(verdict, lat, lon) <= 1.5


@settings(max_examples=40, deadline=None)
@given(latitudes, longitudes, st.integers(1, 5), st.booleans())
def test_grid_references_read_back_within_their_cell(lat: float, lon: float, digits: int, spaced: bool):
    mgrs = pytest.importorskip("mgrs", reason="the mgrs package is not installed")
    text = mgrs.MGRS().toMGRS(lat, lon, MGRSPrecision=digits)
    if spaced:
        head, tail = text[: -2 * digits], text[-2 * digits :]
        text = f"{head[:-2]} {head[-2:]} {tail[:digits]} {tail[digits:]}"
    verdict = judge(text)
    assert verdict.is_read
    radius = UncertaintyParts.from_text(verdict.also["uncertainty_parts"]).precision_m
    assert metres_off(verdict, lat, lon) <= radius * 1.002


def slips(lat: float, lon: float) -> dict[str, str]:
    """One usual slip each, in a cell that should say lat, lon on the property."""
    zone, band, east, north = utm_of(lat, lon)
    return {
        "minus missing": f"{lat:.5f} {-lon:.5f}",
        "minus missing, letters half": f"{lat:.5f} N {-lon:.5f}",
        "east for west": f"{lat:.5f} N {-lon:.5f} E",
        "south for north": f"{lat:.5f} S {-lon:.5f} W",
        "minus on both": f"{-lat:.5f} {lon:.5f}",
        "signs swapped": f"{-lat:.5f} {-lon:.5f}",
        "letters on the wrong number": f"{lat:.5f} W {-lon:.5f} N",
        "sign against letter": f"{lat:.5f} N {lon:.5f} E",
        "points lost": f"{lat:.5f} {lon:.5f}".replace(".", ""),
        "point lost in one": f"{lat:.5f}".replace(".", "") + f" {lon:.5f}",
        "point a place to the left": f"{lat / 10:.6f} {lon:.5f}",
        "zone below": f"{zone - 1}{band} {east:.0f} {north:.0f}",
        "zone above": f"{zone + 1}{band} {east:.0f} {north:.0f}",
        "zone missing": f"{east:.0f} {north:.0f}",
        "band of the next strip": f"{zone}T {east:.0f} {north:.0f}",
        "easting under northing": f"{zone}{band} {north:.0f}E {east:.0f}N",
        "northing lost a digit": f"{zone} {east:.0f} {str(round(north))[:1] + str(round(north))[2:]}",
        "easting lost a digit": f"{zone}{band} {str(round(east))[1:]} {north:.0f}",
        "square in the next band": f"{zone}T{'MF'}4333467460",
    }


@settings(max_examples=25, deadline=None)
@given(on_property)
def test_no_slip_passes_for_the_truth(place: tuple[float, float]):
    for slip, cell in slips(*place).items():
        verdict = judge(cell, PROPERTY)
        told = any(flag.rule == "position-outside-the-property" for flag in verdict.flags)
        assert not verdict.is_read or told, (slip, cell, verdict)


@settings(max_examples=25, deadline=None)
@given(on_property)
def test_the_evidence_of_the_property_finds_the_truth_again(place: tuple[float, float]):
    lat, lon = place
    for slip in (
        "minus missing",
        "east for west",
        "south for north",
        "minus on both",
        "signs swapped",
        "points lost",
    ):
        readings = judge(slips(lat, lon)[slip], PROPERTY).readings
        assert readings, slip
        north, east = (float(part) for part in readings[0].split(" (")[0].split())
        assert math.hypot(north - lat, east - lon) < 2e-5, (slip, readings)


@settings(max_examples=100, deadline=None)
@given(on_property, st.integers(0, 5), st.data())
def test_a_damaged_cell_is_right_or_asked_or_told_or_still_on_the_property(
    place: tuple[float, float], form: int, data: st.DataObject
):
    lat, lon = place
    zone, band, east, north = utm_of(lat, lon)
    minutes = [sexagesimal(degrees, 2, 3) for degrees in place]
    seconds = [sexagesimal(degrees, 3, 1) for degrees in place]
    text = (
        f"{lat:.5f}, {lon:.5f}",
        f"N {' '.join(minutes[0])} W {' '.join(minutes[1])}",
        f"{' '.join(seconds[0])} N, {' '.join(seconds[1])} W",
        f"{zone}{band} {east:.0f} {north:.0f}",
        f"{lat:.5f}N {-lon:.5f}W",
        f"UTM {zone} {east:.0f}E {north:.0f}N",
    )[form]
    at = data.draw(st.integers(0, len(text) - 1))
    how = data.draw(st.sampled_from(["drop", "double", "turn"]))
    damaged = {
        "drop": text[:at] + text[at + 1 :],
        "double": text[: at + 1] + text[at:],
        "turn": text[:at] + text[at : at + 2][::-1] + text[at + 2 :],
    }[how]
    verdict = judge(damaged, PROPERTY)
    if verdict.is_read and not any(flag.rule.startswith("position-") for flag in verdict.flags):
        found = [float(part) for part in verdict.value.split()]
        assert 36.2 <= found[0] <= 37.2, damaged
        assert -100.5 <= found[1] <= -99.0, damaged


@settings(max_examples=70, deadline=None)
@given(st.text(alphabet="0123456789.,-+ NSEW°'\":/d msUTMzoneFJ", max_size=30))
def test_no_text_breaks_the_reader(text: str):
    verdict = judge(text, PROPERTY)
    assert bool(verdict.value) == verdict.is_read


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=20), st.text(max_size=20), st.text(max_size=8), st.text(max_size=8))
def test_no_cells_break_the_reader(first: str, second: str, zone: str, datum: str):
    for cells in ((first, second, "", ""), ("", "", first, second)):
        verdict = judge_position("", *cells, zone, datum, PROPERTY)
        assert bool(verdict.value) == verdict.is_read


def test_many_are_judged_as_one_by_one():
    cells = ["36.7512, -99.6348", "14S 443334 4067461", "see map", "36.7512 99.6348", "N36 45.072 W99 38.088", ""]
    together = judge_positions(pd.DataFrame({"coordinates": cells}), PROPERTY)
    assert together == [judge(cell, PROPERTY) for cell in cells]
    assert judge_positions(pd.DataFrame(columns=list(POSITION_COLUMNS)), PROPERTY) == []
