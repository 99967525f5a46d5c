"""Where things stand on the invented ranch, and how the site list writes it.

The typed positions were computed once with PROJ from the points below: UTM zone 14 N on NAD83 (EPSG:26914), and
for A4 on NAD27 by the operation `NAD27 to WGS 84 (6)`, stated accuracy 7 m.
"""

from __future__ import annotations

#: Latitude and longitude, WGS84, in degrees.
POINTS = {
    "A1": (36.76412, -99.63348),
    "A2": (36.75803, -99.62271),
    "A3": (36.75127, -99.63904),
    "A4": (36.74566, -99.61582),
    "A5": (36.76731, -99.60815),
    "A6": (36.75418, -99.60174),
    "A7": (36.74390, -99.59423),
    "A8": (36.73655, -99.62590),
    "CS1": (36.76188, -99.61893),
    "CS2": (36.74871, -99.60622),
    "CS3": (36.73912, -99.60958),
    "R1-N": (36.77350, -99.61050),
    "R1-S": (36.72910, -99.61050),
}
ARRAYS = tuple(code for code in POINTS if code.startswith("A"))
TRAPS = ("B1", *(f"F{number}" for number in range(1, 9)), "P1", "P2", "P3")

RANCH = "Kettle Dune Ranch"
BOUNDARY = (
    (-99.6480, 36.7240),
    (-99.5860, 36.7240),
    (-99.5860, 36.7580),
    (-99.5930, 36.7580),
    (-99.5930, 36.7760),
    (-99.6480, 36.7760),
    (-99.6480, 36.7240),
)

SITE_COLUMNS = (
    "Site",
    "Type",
    "Pasture",
    "Habitat",
    "Easting",
    "Northing",
    "Zone",
    "Datum",
    "Latitude",
    "Longitude",
    "Traps",
    "Arms",
    "Arm (ft)",
    "Length (mi)",
    "County",
    "Elev ft",
    "GPS acc m",
    "Remarks",
)

LABELS = "B1, F1-F8, P1-P3"


def _array(
    code: str, pasture: str, habitat: str, position: dict[str, object], feet: int, elevation: int
) -> dict[str, object]:
    row = {"Site": code, "Type": "array", "Pasture": pasture, "Habitat": habitat, "Traps": LABELS, "Arms": 4}
    return {**row, **position, "Arm (ft)": feet, "County": "Harper", "Elev ft": elevation, "GPS acc m": 4}


def _utm(easting: int, northing: int, datum: str) -> dict[str, object]:
    return {"Easting": easting, "Northing": northing, "Zone": "14S", "Datum": datum}


def _degrees(latitude: object, longitude: object, datum: str) -> dict[str, object]:
    return {"Latitude": latitude, "Longitude": longitude, "Datum": datum}


def site_rows() -> list[dict[str, object]]:
    """The site list as typed; the faults in it are listed with the others."""
    sage, grass, plum = "sand sagebrush, loose dune sand", "sandsage with bluestem, deep sand", "plum thicket edge"
    return [
        _array("A1", "North Dunes", sage, _utm(443461, 4068893, "NAD83"), 50, 1985),
        _array("A2", "North Dunes", grass, _utm(444418, 4068211, "NAD83"), 50, 1970),
        _array("A3", "West", plum, _utm(442956, 4067471, "NAD83"), 50, 1962),
        _array("A4", "Middle", grass, _utm(445058, 4066627, "NAD27"), 50, 1950),
        _array("A5", "East Dunes", sage, _degrees("36°46'02.3\"N", "99°36'29.3\"W", "WGS84"), 50, 1978),
        _array("A6", "East Dunes", grass, _degrees(36.75418, 99.60174, "WGS84"), 50, 1955),
        _array(
            "A7", "Draw", "mixed grass swale below dunes", _degrees("N36 44.634", "W99 35.654", "WGS84"), 40, 1931
        ),
        _array("A8", "South", "sandsage and yucca, shallow sand", _degrees(36.73655, -99.62590, "WGS84"), 50, 1940),
        {
            "Site": "CS1",
            "Type": "search site",
            "Pasture": "North Dunes",
            "Habitat": "tin and boards at old shed",
            **_degrees(36.76188, -99.61893, "WGS84"),
            "County": "Harper",
            "Elev ft": 1972,
            "GPS acc m": 5,
        },
        {
            "Site": "CS2",
            "Type": "search site",
            "Pasture": "Draw",
            "Habitat": "fallen cottonwoods",
            **_degrees(36.74871, -99.60622, "WGS84"),
            "County": "Harper",
            "Elev ft": 1936,
            "GPS acc m": 5,
        },
        {
            "Site": "CS3",
            "Type": "search site",
            "Pasture": "South",
            "Habitat": "board line along two-track",
            **_degrees(36.73912, -99.60958, "WGS84"),
            "County": "Harper",
            "Elev ft": 1944,
            "GPS acc m": 5,
        },
        {
            "Site": "R1",
            "Type": "route",
            "Pasture": "whole ranch",
            "Habitat": "caliche loop road, north to south gate",
            **_degrees(36.77350, -99.61050, "WGS84"),
            "Length (mi)": 11.4,
            "County": "Harper",
            "GPS acc m": 10,
        },
    ]
