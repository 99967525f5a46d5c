"""What a position is read with, and what the reading of a text yields before any conversion."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise.boundary import NEAR_BORDER_M, Surroundings


@dataclass(frozen=True)
class PositionContext:
    """What the survey file, the site list and the sheet say about positions that do not say it themselves.

    zone, zone_letter: UTM zone and its band (or hemisphere) letter; None and "" if not declared.
    hemisphere_ns, hemisphere_ew: "N" and "W" only if the survey file declares that unsigned latitudes are north and
    unsigned longitudes west; else "".
    datum: "WGS84", "NAD83", "NAD27", an EPSG code, or "". datum_source: where that is said, for the remarks.
    state_plane_crs: EPSG code of the State Plane zone, or "".
    boundary: polygon in WGS 84 longitude and latitude, or None. boundary_slack_m: how far outside still passes.
    precision_is_kept: zeros at the end of a number were written on purpose.
    column_form: the form of the other cells of the column, such as "degrees minutes seconds", or "".
    grids_folder: folder of datum grid files, or "".
    """

    zone: int | None = None
    zone_letter: str = ""
    hemisphere_ns: str = ""
    hemisphere_ew: str = ""
    datum: str = ""
    datum_source: str = "the survey file"
    state_plane_crs: str = ""
    boundary: Any = None
    boundary_slack_m: float = NEAR_BORDER_M
    precision_is_kept: bool = False
    column_form: str = ""
    grids_folder: str = ""

    @property
    def surroundings(self) -> Surroundings:
        """Where the points of the survey may be."""
        return Surroundings(self.boundary, self.boundary_slack_m)


class PositionCells(NamedTuple):
    """The cells of one row that together may hold a position, as typed; "" for a cell that is not there."""

    coordinates: str = ""
    latitude: str = ""
    longitude: str = ""
    easting: str = ""
    northing: str = ""
    zone: str = ""
    datum: str = ""


class ParsedPosition(NamedTuple):
    """One reading of a text, in its own reference system.

    kind: "degrees", "utm", "grid reference" or "state plane".
    x, y: longitude and latitude in degrees, or easting and northing in the unit of the system.
    crs: code for `datum_shift.to_wgs84`. datum: usual name, "" if nobody wrote it (the numbers then count as WGS 84).
    form: Darwin Core verbatimCoordinateSystem.
    step_degrees, radius_m: last digit in degrees, or metres of doubt from the last digit; the other one is NaN.
    label: what was done to read it so, in a few words. numbers: the two numbers as typed, in the order x, y.
    """

    kind: str
    x: float
    y: float
    crs: str
    datum: str
    form: str
    step_degrees: float = math.nan
    radius_m: float = math.nan
    label: str = "as typed"
    numbers: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class ParsedText:
    """What one group of cells says.

    source: which cells, in words. readings: best first; none if it cannot be read.
    offers: what could have been meant where it cannot be read; never used without a person.
    rule, note: the fault, "" where there is one sound reading. reading_rule: how a sound one was read.
    place_settles: the first reading may be used if the point then lies where the survey works and no other does.
    alternatives: further readings that only the place could speak for. is_plain: typed as the standard value is.
    """

    source: str
    readings: tuple[ParsedPosition, ...] = ()
    offers: tuple[ParsedPosition, ...] = ()
    rule: str = ""
    note: str = ""
    reading_rule: str = ""
    place_settles: bool = False
    alternatives: tuple[ParsedPosition, ...] = ()
    is_plain: bool = False
    needs_zone: bool = False
    flags: tuple[Flag, ...] = ()
    remark: str = ""


@dataclass(frozen=True)
class ParsedCells:
    """What all groups of cells of a row say, and the findings about their context cells."""

    groups: tuple[ParsedText, ...] = ()
    flags: tuple[Flag, ...] = ()
    datum_remark: str = ""
    verbatim: dict[str, str] = field(default_factory=dict)


class UncertaintyParts(NamedTuple):
    """What a position adds to its uncertainty, metres; the datum's part is NaN where no datum is known."""

    precision_m: float
    datum_operation_m: float

    @property
    def datum_is_known(self) -> bool:
        """False where the part for an unknown datum must be added instead."""
        return not math.isnan(self.datum_operation_m)

    def as_text(self) -> str:
        """The parts as one cell.

        >>> UncertaintyParts(14.244, 0.0).as_text()
        'precision_m=14.244 datum_operation_m=0'
        """
        datum = f"{self.datum_operation_m:.6g}" if self.datum_is_known else "unknown"
        return f"precision_m={self.precision_m:.6g} datum_operation_m={datum}"

    @classmethod
    def from_text(cls, text: str) -> UncertaintyParts:
        """The parts from such a cell; raises ValueError if it is not one."""
        try:
            precision, datum = (part.split("=")[1] for part in text.split(" "))
            return cls(float(precision), math.nan if datum == "unknown" else float(datum))
        except IndexError as fault:
            raise ValueError(f"{text!r} does not hold parts of an uncertainty") from fault
