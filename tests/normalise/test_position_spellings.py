"""Some three hundred cells as people type them, each with what may and what may not be made of it.

The cells are invented round one point, 36.7512 N 99.6348 W; the spellings are common practice, no source.
"""

from __future__ import annotations

import math

import pytest
from shapely.geometry import box

from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.normalise.position_text import PositionContext, judge_position

PROPERTY = box(-100.5, 36.2, -99.0, 37.2)
NOWHERE = PositionContext(datum="WGS84")
ON_THE_PROPERTY = PositionContext(datum="WGS84", boundary=PROPERTY)
IN_ZONE_14 = PositionContext(datum="WGS84", zone=14)

#: one reading, with or without knowing the property: the point
READ = (
    "14 S 0443334 4067461",
    "N36°45.072 W099°38.088",
    "36.7512 , -99.6348",
    "36.7512;-99.6348",
    "36.7512/-99.6348",
    "36.7512|-99.6348",
    "36.7512 -99,6348",
    "36,7512 -99,6348",
    "36,7512,-99,6348",
    "36.7512N99.6348W",
    "36.7512n 99.6348w",
    "+36.7512 -099.6348",
    "-99.6348 36.7512",
    "W99.6348 N36.7512",
    "W 99 38.088 N 36 45.072",
    "36 45.072 -99 38.088",
    "36 45 04 -99 38 05",
    "36 45 04 N 99 38 05 W",
    "36 45 04N 99 38 05W",
    "36 45 04 n, 99 38 05 w",
    "N36 45 04 W99 38 05",
    "N 36 45 04, W 99 38 05",
    "36°45'04''N 99°38'05''W",
    "36° 45' 04\" North 99° 38' 05\" West",
    "North 36.7512 West 99.6348",
    "36 deg 45.072 min N 99 deg 38.088 min W",
    "36°45.072N 99°38.088W",
    "36.7512 -99.6348 WGS84",
    "36.7512 -99.6348 (NAD83)",
    "NAD27 36.7512 -99.6348",
    "lat 36.7512 lon -99.6348",
    "lon -99.6348 lat 36.7512",
    "Lat=36.7512, Lng=-99.6348",
    "latitude: 36.7512N longitude: 99.6348W",
    "x: -99.6348 y: 36.7512",
    "(36.7512,-99.6348)",
    "[36.7512, -99.6348]",
    "[-99.6348, 36.7512]",
    "POINT(-99.6348 36.7512)",
    "36-45-04N 99-38-05W",
    "36–45–04N 99–38–05W",
    "36.7512 −99.6348",
    "36.7512 –99.6348",
    "36.45.04 -99.38.05",
    "36.45.04N 99.38.05W",
    "36:45:04 -99:38:05",
    "36°45´04´´N 99°38´05´´W",
    "36º 45' 4.3'' N / 99º 38' 5.3'' W",
    "36*45'04\" N 99*38'05\" W",
    "36o45'04\"N 99o38'05\"W",
    "36° 45' 04\" N -99° 38' 05\" W",
    "99° 38' 05\" W 36° 45' 04\" N",
    "364504N 993805W",
    "364504N0993805W",
    "N364504 W0993805",
    "3645.072N 09938.088W",
    "14S 443334 4067461",
    "14s 443334 4067461",
    "14 443334 4067461",
    "14N 443334 4067461",
    "443334 4067461 14S",
    "4067461 443334 14S",
    "zone 14S E 443334 N 4067461",
    "Zone 14, 443334 E, 4067461 N, NAD83",
    "UTM Zone 14N, 443334mE, 4067461mN (WGS84)",
    "14SMF4333467460",
    "14S MF 43334 67460",
    "14s mf 43334 67460",
    "MGRS 14SMF4333467460",
    "USNG: 14S MF 43334 67460",
    "14SMF4333467460 WGS84",
    "3.67512E+01 -9.96348E+01",
    "36°45’04.32”N99°38’05.28”W",
    "36°45'04.32\"N,99°38'05.28\"W",
    "36 ° 45 ' 04.32 \" N 99 ° 38 ' 05.28 \" W",
    "36d 45m 04s N, 99d 38m 05s W",
    "36D45M04S N 99D38M05S W",
    "36d45'04\"N 99d38'05\"W",
    "36 45.072' N 99 38.088' W",
    "36,45.072 -99,38.088",
    "N36,45.072 W99,38.088",
    "36.7512 degrees N, 99.6348 degrees W",
    "36.7512deg N 99.6348deg W",
    "36.7512 N, -99.6348 W",
    "36.7512000000 -99.6348000000",
    "36.7512345678901 -99.6348123456789",
    "036.7512 -099.6348",
    "36.7512 -99.6348.",
    "36°45'04\"N 99.6348W",
    "36.7512N 99°38'05\"W",
    "３６.7512 -99.6348",
)

#: cells that a person must decide, even where the property is known
ASKED = (
    "36.7512,-99.6348,1250",
    "36.7512N -99.6348E",
    "99 38 05 36 45 04",
    "36.7512 N 99.6348",
    "99.6348 36.7512",
    "36 45.072 99 38.088",
    "36 45 04 99 38 05",
    "36°45'04\" 99°38'05\"",
    "36°45'04\"N, 99°38'05\"",
    "36.7512 -99.6348 5m",
    "36.7512 -99.6348 12",
    "36-45-04 99-38-05",
    "36.7512–99.6348",
    "36.7512 - 99.6348",
    "36.45.04 99.38.05",
    "36:45:04 99:38:05",
    "36:45 99:38",
    "-36° 45' 04\" N 99° 38' 05\" W",
    "36° 45' 04\" N -99° 38' 05\" E",
    "364504 993805",
    "364504 -993805",
    "3645N 09938W",
    "3645.072 -9938.088",
    "367512 -996348",
    "36751200 -99634800",
    "367512 996348",
    "36.7512 -996348",
    "367512 -99.6348",
    "0 -99.6348",
    "36.7512 0",
    "36.7512 180",
    "14T 443334 4067461",
    "14R 443334 4067461",
    "14H 443334 4067461",
    "443334 4067461 5",
    "443334N 4067461E zone 14",
    "44333 406746",
    "443334 406746",
    "443334 467461",
    "14S4433344067461",
    "443334-4067461",
    "MF4333467460",
    "MF 43334 67460",
    "mf 4333 6746",
    "MC 1023",
    "NE 1234",
    "1.0 1.0",
    "12.5 34.5",
    "85.5 -36.2",
    "-85.5 36.2",
    "454018.28 195535.90 m",
    "12:30 13:45",
    "36,45,04 99,38,05",
)

#: cells without a reading
UNREADABLE = (
    "36 45",
    "36.7512°",
    "36.7512,",
    ",-99.6348",
    "36 99",
    "36.7512 -99.6348 NAD27/WGS84",
    "36.7512 -99.6348 ?",
    "~36.7512 -99.6348",
    "36.7512? -99.6348",
    "ca. 36.75 -99.63",
    "36.7512 -99.6348 +/- 5m",
    "y 36.7512 x -99.6348",
    "POINT (36.7512 -99.6348)",
    "geo:36.7512,-99.6348",
    "https://maps.example/@36.7512,-99.6348,15z",
    "36.7512 x 99.6348",
    "36.7512 -- 99.6348",
    "36 .7512 -99.6348",
    "36. 7512 -99. 6348",
    "36.75.12 -99.63.48",
    "36° 45' 60\" N 99° 38' 05\" W",
    "36° 60' N 99° 38' W",
    "36 45 75 N 99 38 05 W",
    "36° 45.072' 04\" N 99° 38.088' 05\" W",
    "36.5° 45' N 99.5° 38' W",
    "36° 45' 04\" N 99° 38' 05\" N",
    "36° 45' 04\" W 99° 38' 05\" N",
    "36°45'04\"N",
    "36 45 04",
    "36.7512",
    "-99.6348",
    "366.7512 -99.6348",
    "36.7512 -999.6348",
    "36.7512 260.3652",
    "36.7512 -199.6348",
    "96.7512 -99.6348",
    "0 0",
    "0,0",
    "0.0000 0.0000",
    "N0 W0",
    "90 180",
    "91 181",
    "61S 443334 4067461",
    "0S 443334 4067461",
    "14I 443334 4067461",
    "443334 4067461 5m",
    "443334 4067461 +-5",
    "443334 4067461 1250",
    "443.334 4067.461",
    "443 4067",
    "44334 4067461",
    "4433340 4067461",
    "443334 40674610",
    "4433344067461",
    "443334,5 4067461,5",
    "443 334 4 067 461",
    "443 334 E 4 067 461 N",
    "4 43 334 40 67 461",
    "1443334 4067461",
    "14443334 4067461",
    "443334 4067461 14S 443334",
    "99443334 4067461",
    "14SMF 43334 6746",
    "14SMF433346746",
    "14SMI4333467460",
    "14SAA4333467460",
    "14TMF4333467460",
    "T25N R24W Sec 14 NE1/4",
    "T25N-R24W-S14",
    "NE/4 Sec 14, T25N, R24W",
    "Sec 14 T25N R24W",
    "T. 25 N., R. 24 W.",
    "see map",
    "same",
    "same as above",
    '"',
    "GPS",
    "GPS pt 12",
    "waypoint 36",
    "WP 0036",
    "WP 36 99",
    "site 14",
    "Array 3",
    "AB 1234",
    "RB12",
    "NE corner",
    "5 mi N of town",
    "3.5 mi NNW of gate",
    "36",
    "-99",
    "x",
    "N",
    "3824d 36 45",
    "1 1",
    "12 34",
    "36.7512,-99.6348;36.7513,-99.6349",
    "36.7512 -99.6348 36.7513 -99.6349",
    "36.7512,-99.6348 to 36.7600,-99.6400",
    "36.7512 to 36.7513 -99.6348",
    "36.75-36.76 -99.63",
    "X 1489558.30 Y 641520.69 ft",
    "1489558 641520 ft",
    "36e5 -99e1",
    "36.7512E -99.6348",
    "3.67512E+01",
    "#REF!",
    "1/4 mile",
    "2024-05-06",
    "05/06/2024",
    "12:30",
    "36;45;04 N 99;38;05 W",
    "36.7512N 99.6348W 14S",
    "36.7512. -99.6348",
    "36.7512 -99.6348N",
    "36.7512W -99.6348N",
    "36'45'04 99'38'05",
    "36\" 45' N 99\" 38' W",
)

#: readable only with the zone of the survey; a question without it
NEEDS_ZONE = (
    "443,334 4,067,461",
    "443334mE 4067461mN",
    "443334E 4067461N 14",
    "443334 4067461 14",
    "443334 m 4067461 m",
    "443334 E, 4067461 N",
    "E443334 N4067461",
    "4067461N 443334E",
    "4067461 443334",
    "443.334km 4067.461km",
    "443334.5 4067461.5",
    "443334,4067461",
    "443334;4067461",
    "443334 / 4067461",
)

#: readable as typed where nothing is known of the place; a question where the property is known
ELSEWHERE = {
    "36.7512 N 99.6348 E": (36.7512, 99.6348),
    "+36.7512 +99.6348": (36.7512, 99.6348),
    "-36.7512 99.6348": (-36.7512, 99.6348),
    "-36.7512 -99.6348": (-36.7512, -99.6348),
    "99.6348, -36.7512": (-36.7512, 99.6348),
    "-99.6348 -36.7512": (-36.7512, -99.6348),
    "36° 45' 04\" S 99° 38' 05\" W": (-36.751111, -99.634722),
    "S36.7512 W99.6348": (-36.7512, -99.6348),
    "3.67512 -99.6348": (3.67512, -99.6348),
    "36.7512 -9.96348": (36.7512, -9.96348),
    "13S 443334 4067461": (36.751204, -105.634802),
    "15S 443334 4067461": (36.751204, -93.634802),
}

#: readable everywhere, but with a finding where the property is known
OFF_THE_PROPERTY = {
    "63.7512 -99.6348": "36.7512 -99.6348",
    "37.6512 -99.6348": "36.7512 -99.6348",
    "26.7512 -99.6348": "36.7512 -99.6348",
    "36.7512 -96.9348": "",
    "36.2 -85.5": "",
    "36 -99": "",
}


def judge(cell: str, context: PositionContext) -> Verdict:
    return judge_position(cell, "", "", "", "", "", "", context)


def metres_off(verdict: Verdict, latitude: float = 36.7512, longitude: float = -99.6348) -> float:
    north, east = (float(part) for part in verdict.value.split())
    return math.hypot((north - latitude) * 111_000, (east - longitude) * 89_000)


@pytest.mark.parametrize("cell", READ)
def test_a_sound_cell_is_read_as_the_point(cell: str):
    for context in (NOWHERE, ON_THE_PROPERTY, IN_ZONE_14):
        verdict = judge(cell, context)
        assert verdict.is_read
        assert metres_off(verdict) < 60  # a whole second, or NAD27 taken to WGS84
        assert not any(flag.rule.startswith("position-") for flag in verdict.flags)


@pytest.mark.parametrize("cell", ASKED)
def test_a_cell_of_two_minds_is_a_question_wherever_it_stands(cell: str):
    statuses = {judge(cell, context).status for context in (NOWHERE, ON_THE_PROPERTY, IN_ZONE_14)}
    assert statuses <= {Status.AMBIGUOUS, Status.UNREADABLE}


@pytest.mark.parametrize("cell", UNREADABLE)
def test_a_cell_without_a_reading_gets_none(cell: str):
    for context in (NOWHERE, ON_THE_PROPERTY, IN_ZONE_14):
        verdict = judge(cell, context)
        assert verdict.status is Status.UNREADABLE
        assert verdict.value == ""
        assert verdict.note


@pytest.mark.parametrize("cell", NEEDS_ZONE)
def test_an_easting_and_northing_need_their_zone(cell: str):
    assert metres_off(judge(cell, IN_ZONE_14)) < 2
    assert not judge(cell, NOWHERE).is_read
    asked = judge(cell, ON_THE_PROPERTY)
    assert asked.status is Status.AMBIGUOUS
    assert asked.readings[0].startswith("36.7512")
    assert "inside the property" in asked.readings[0]


@pytest.mark.parametrize(("cell", "place"), ELSEWHERE.items())
def test_a_slip_that_would_explain_the_place_makes_a_question_of_it(cell: str, place: tuple[float, float]):
    assert metres_off(judge(cell, NOWHERE), *place) < 60
    asked = judge(cell, ON_THE_PROPERTY)
    assert asked.status is Status.AMBIGUOUS
    assert asked.rule == "position-fits-only-when-repaired"
    assert asked.readings[0].startswith("36.75")
    assert asked.readings[-1].startswith(f"{place[0]:.3f}"[:5])


@pytest.mark.parametrize(("cell", "repair"), OFF_THE_PROPERTY.items())
def test_a_place_off_the_property_is_kept_and_told(cell: str, repair: str):
    assert judge(cell, NOWHERE).is_read
    told = judge(cell, ON_THE_PROPERTY)
    flag = next(flag for flag in told.flags if flag.rule == "position-outside-the-property")
    assert told.is_read
    if repair:
        assert flag.readings[0].startswith(repair)


@pytest.mark.parametrize("cell", ["", "NA", "n/a", "-", "unknown", "nan", "  "])
def test_a_blank_is_empty_and_no_finding(cell: str):
    verdict = judge(cell, ON_THE_PROPERTY)
    assert verdict.status is Status.EMPTY
    assert verdict.flags == ()
