"""Measurement rows of animals and of events, each with type, value, unit, accuracy and method."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import mapped, text_column, without_gaps
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.terms.sheet import SheetField, sheet_fields

#: Facts of an animal that have no term of their own: field -> measurementType.
ANIMAL_FACTS = {
    "tail_condition": "tail condition",
    "lifeStage/age_class": "age class",
    "verbatimIdentification/age_class": "age class",
    "sex/age_class": "age class",
    "mark": "mark code",
    "mark/mark_type": "mark type",
    "second_mark": "second mark code",
    "second_mark/mark_type": "second mark type",
    "capture_status": "capture status",
    "trap_type": "trap type",
    "trap": "trap number",
    "fate": "fate",
    "tail_length/tail_condition": "tail condition",
    "total_length/tail_condition": "tail condition",
}
MEASUREMENT_COLUMNS = (
    "measurementID",
    "eventID",
    "occurrenceID",
    "measurementType",
    "measurementValue",
    "measurementAccuracy",
    "measurementUnit",
    "measurementDeterminedDate",
    "measurementDeterminedBy",
    "measurementMethod",
    "measurementRemarks",
    "kind",
    "tidy_row",
    "field",
)


def measured_fields(kind: str) -> list[SheetField]:
    """The fields of a kind of row that hold a measured quantity of an animal or of the weather."""
    skip = {
        "gps_accuracy",
        "bag_mass",
        "distance",
        "odometer_start",
        "odometer_end",
        "stopped_minutes",
        "handling_minutes",
    }
    return [field for field in sheet_fields(kind).values() if field.reading == "measure" and field.name not in skip]


#: term of a measurement -> column of the occurrence that it is taken from
OF_THE_ANIMAL = {
    "occurrenceID": "occurrenceID",
    "eventID": "eventID",
    "measurementDeterminedBy": "recordedBy",
    "measurementDeterminedDate": "date",
}


def animal_measurements(captures: pd.DataFrame, occurrence: pd.DataFrame) -> pd.DataFrame:
    """Measurement rows of the animals.

    captures: standard rows. occurrence: indexed by the same rows, with occurrenceID, eventID, recordedBy, date.
    """
    rows = captures if captures.index.equals(occurrence.index) else captures.loc[occurrence.index]
    parts = [quantity_rows(rows, field.name, field.quantity, field.unit) for field in measured_fields("capture")]
    extra = [name for name in rows if name.startswith("measurement:") and "/" not in name]
    parts.extend(quantity_rows(rows, name, name.removeprefix("measurement:"), "") for name in extra)
    parts.extend(fact_rows(rows, column, kind) for column, kind in ANIMAL_FACTS.items() if column in rows)
    made = pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=list(MEASUREMENT_COLUMNS))
    made = made.drop_duplicates(["tidy_row", "measurementType"])
    at = occurrence.index.get_indexer(made["tidy_row"])
    for term, of_animal in OF_THE_ANIMAL.items():
        made[term] = occurrence[of_animal].to_numpy()[at]
    made["kind"] = "capture"
    slug = on_distinct(made["measurementType"], in_identifiers)
    made["measurementID"] = made["occurrenceID"] + "-" + slug
    return without_gaps(made.reindex(columns=list(MEASUREMENT_COLUMNS))).sort_values("tidy_row", kind="stable")


def in_identifiers(types: pd.Series) -> pd.Series:
    """Types of measurement as parts of identifiers."""
    return types.str.replace(r"[^A-Za-z0-9]+", "-", regex=True)


def event_measurements(rows: pd.DataFrame, kind: str, event_of_row: pd.Series) -> pd.DataFrame:
    """Weather rows of the events. event_of_row: eventID by standard row."""
    known = rows.loc[rows.index.intersection(event_of_row.index)]
    fields = [field for field in measured_fields(kind) if field.name in known]
    parts = [quantity_rows(known, field.name, field.quantity, field.unit) for field in fields]
    parts.append(fact_rows(known, "sky", "sky"))
    made = pd.concat(parts, ignore_index=True)
    made["eventID"] = mapped(made["tidy_row"], event_of_row)
    made["occurrenceID"], made["kind"] = "", kind
    slug = on_distinct(made["measurementType"], in_identifiers)
    made = made.drop_duplicates(["eventID", "measurementType"])
    made["measurementID"] = made["eventID"] + "-" + slug.reindex(made.index)
    return without_gaps(made.reindex(columns=list(MEASUREMENT_COLUMNS)))


def quantity_rows(rows: pd.DataFrame, field: str, quantity: str, unit: str) -> pd.DataFrame:
    """Rows for one measured field where it is filled, with what its cells say of accuracy, method and doubt."""
    rows = rows[text_column(rows, field) != ""]
    return pd.DataFrame(
        {
            "tidy_row": rows.index,
            "field": field,
            "measurementType": quantity,
            "measurementValue": text_column(rows, field),
            "measurementUnit": text_column(rows, f"{field}/measurementUnit").replace("", unit),
            "measurementAccuracy": text_column(rows, f"{field}/measurementAccuracy"),
            "measurementMethod": text_column(rows, f"{field}/measurementMethod"),
            "measurementRemarks": text_column(rows, f"{field}/measurementRemarks"),
        }
    )


def fact_rows(rows: pd.DataFrame, column: str, kind: str) -> pd.DataFrame:
    """Rows for a fact in words where one is told."""
    value = text_column(rows, column)
    value = value[value != ""]
    return pd.DataFrame(
        {"tidy_row": value.index, "field": column.split("/")[0], "measurementType": kind, "measurementValue": value}
    )
