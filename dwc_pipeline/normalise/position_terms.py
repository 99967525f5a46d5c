"""The Darwin Core terms that a position fills."""

from __future__ import annotations

import math
from decimal import Decimal

from dwc_pipeline.normalise.position_context import ParsedCells, ParsedPosition, PositionCells, UncertaintyParts
from dwc_pipeline.normalise.position_places import Place, precision_m

#: Darwin Core, geodeticDatum and verbatimSRS: what to write where nothing is known.
NOT_RECORDED = "not recorded"


def position_terms(cells: PositionCells, parsed: ParsedCells, place: Place, remark: str) -> dict[str, str]:
    """The Darwin Core terms of a position that could be read, and its parts of the uncertainty."""
    position = place.position
    shift = "" if place.operation == "no datum operation" else f"{place.operation}, good to {place.accuracy_m:g} m"
    read_as = f"read as {position.form}" + ("" if position.label == "as typed" else f", {position.label}")
    parts = UncertaintyParts(precision_m(place), place.accuracy_m if position.datum else math.nan)
    return {
        "decimalLatitude": f"{place.latitude:.7f}",
        "decimalLongitude": f"{place.longitude:.7f}",
        "geodeticDatum": "EPSG:4326" if position.datum else NOT_RECORDED,
        "coordinatePrecision": _precision_text(position.step_degrees),
        "verbatimCoordinateSystem": position.form,
        "verbatimSRS": position.crs.split(" ")[0] if position.datum else NOT_RECORDED,
        "georeferenceRemarks": "; ".join(
            part for part in (read_as, remark, _datum_words(parsed, position), shift) if part
        ),
        "uncertainty_parts": parts.as_text(),
        **verbatim_terms(cells),
    }


def _datum_words(parsed: ParsedCells, position: ParsedPosition) -> str:
    """The datum of the position and who says so."""
    if not position.datum:
        return "datum not recorded"
    if f"datum {position.datum} " in parsed.datum_remark:
        return parsed.datum_remark
    return (
        f"datum of {position.crs}" if position.datum == position.crs else f"datum {position.datum} beside the numbers"
    )


def verbatim_terms(cells: PositionCells) -> dict[str, str]:
    """The cells as typed under their Darwin Core terms; an easting and northing as one, with the zone first."""
    planar = " ".join(part for part in (cells.zone, cells.easting, cells.northing) if part.strip())
    together = [cells.coordinates] if cells.coordinates.strip() else []
    if cells.easting.strip() or cells.northing.strip():
        together.append(planar)
    return {
        "verbatimCoordinates": " | ".join(together),
        "verbatimLatitude": cells.latitude,
        "verbatimLongitude": cells.longitude,
    }


def _precision_text(step_degrees: float) -> str:
    """Darwin Core coordinatePrecision: four figures, never in powers of ten; "" for a metric grid."""
    if math.isnan(step_degrees):
        return ""
    return f"{Decimal(f'{step_degrees:.4g}'):f}"
