"""Positions of rows: read together from their cells, with the uncertainty summed from its parts."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import as_text, number_column, text_column
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.normalise.coordinate_uncertainty import datum_uncertainty, gps_uncertainty, sum_of_uncertainties
from dwc_pipeline.normalise.position_context import UncertaintyParts

UNCERTAINTY_UNKNOWN = declare(
    Rule(
        "coordinate-uncertainty-unknown",
        Severity.WARNING,
        "Nothing says how accurate a position is.",
        "A point without a radius is not a georeference: nobody can tell 5 m from 5 km. 0 is never valid.",
        "Write the accuracy that the receiver displayed, or set assume_gps_uncertainty in the survey file to allow "
        "the published default of 30 m.",
        source="Georeferencing Best Practices 3.3.2; Darwin Core, coordinateUncertaintyInMeters",
        asks=True,
    )
)
PROTOCOL = (
    "point-radius: twice the accuracy displayed by the receiver, the last digit of the coordinates, the datum "
    "operation and the extent of the place, added and rounded up (Georeferencing Best Practices 2020)"
)


def whole_days(texts: pd.Series, otherwise: str) -> pd.Series:
    """The days that the texts begin with; another day where they name none."""
    day = texts.str.slice(0, 10)
    return pd.to_datetime(day.where(day.str.len() == 10, otherwise))


def add_uncertainty(
    rows: pd.DataFrame, kind: str, survey_day: str, allow_default: bool
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows with `position/coordinateUncertaintyInMeters` and georeferenceProtocol; findings where unknown.

    survey_day: day that counts for positions without one of their own.
    """
    rows = rows.copy()
    placed = text_column(rows, "position/decimalLatitude") != ""
    parts = {
        text: UncertaintyParts.from_text(text)
        for text in text_column(rows, "position/uncertainty_parts").unique()
        if text
    }
    told = text_column(rows, "position/uncertainty_parts")
    precision = told.map({text: part.precision_m for text, part in parts.items()}).astype("float64")
    datum = told.map({text: part.datum_operation_m for text, part in parts.items()}).astype("float64")
    days = on_distinct(text_column(rows, "positioned_on"), lambda texts: whole_days(texts, survey_day)).to_numpy()
    gps = gps_uncertainty(
        number_column(rows, "gps_accuracy").to_numpy(), days.astype("datetime64[D]"), allow_default=allow_default
    )
    extent = number_column(rows, "arm_length").fillna(0.0).to_numpy()
    total = sum_of_uncertainties(
        gps, precision.to_numpy(), datum_uncertainty(datum.to_numpy(), datum.notna().to_numpy()), extent
    )
    total = np.where(placed, total, np.nan)
    rows["position/coordinateUncertaintyInMeters"] = as_text(pd.Series(total, index=rows.index), 0)
    known = ~np.isnan(total)
    rows["position/georeferenceProtocol"] = np.where(known, PROTOCOL, "")
    rows["position/georeferenceSources"] = np.where(placed, "field sheet", "")
    lost = rows.index[placed & ~known]
    names = text_column(rows, "place").reindex(lost)
    return rows, findings_on_rows(
        UNCERTAINTY_UNKNOWN,
        kind,
        lost,
        "gps_accuracy",
        value="",
        cause=kind,
        message="no accuracy is written for the position of " + names.where(names != "", "this row"),
    )
