"""Occurrences: one for each capture row with an animal, on the deepest event it can be given to."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import blank_rows, first_filled, joined, text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.sheet import sheet_fields

NAME_TERMS = (
    "scientificNameAuthorship",
    "taxonRank",
    "kingdom",
    "phylum",
    "class",
    "order",
    "family",
    "genus",
    "specificEpithet",
    "infraspecificEpithet",
    "acceptedNameUsage",
    "taxonomicStatus",
    "vernacularName",
    "nameAccordingTo",
    "taxonID",
    "identificationQualifier",
    "identificationVerificationStatus",
    "identificationRemarks",
)
PLAIN_FIELDS = (
    "recordNumber",
    "recordedBy",
    "reproductiveCondition",
    "behavior",
    "associatedTaxa",
    "catalogNumber",
    "institutionCode",
    "preparations",
)
ANIMAL_FIELDS = (
    "verbatimIdentification",
    "recordNumber",
    "snout_vent_length",
    "tail_length",
    "total_length",
    "body_mass",
    "straight_carapace_length",
    "mark",
    "sex",
    "lifeStage",
    "fate",
    "capture_status",
)
#: What a row says of its animal, for recognising it in the register. All of it stands in an archive as well, as a
#: term of the occurrence or as a measurement of the type named in MEASURED_FEATURES.
FEATURES = (
    "recordNumber",
    "mark",
    "scientificName",
    "snout_vent_length",
    "total_length",
    "straight_carapace_length",
    "body_mass",
    "tail_length",
    "sex",
    "lifeStage",
    "individualCount",
    "verbatimIdentification",
)
#: whose cells go before those of other fields in what they say of a further term
STATING_FIRST = "verbatimIdentification/"
MEASURED_FEATURES = {"mark": "mark code"} | {
    name: field.quantity for name, field in sheet_fields("capture").items() if name in FEATURES and field.quantity
}


def says_no_animal(captures: pd.DataFrame) -> pd.Series:
    """Rows that say that nothing was caught: a word for it, or a count of 0."""
    word = text_column(captures, "verbatimIdentification/no_animal") == "true"
    return word | (text_column(captures, "individualCount") == "0")


def has_no_animal_words(verbatim: pd.DataFrame) -> pd.Series:
    """Rows on which no field about an animal is filled at all."""
    blank = blank_rows((text_column(verbatim, field) for field in ANIMAL_FIELDS), verbatim.index)
    return pd.Series(verbatim.index.isin(blank), index=verbatim.index)


def occurrence_rows(captures: pd.DataFrame, verbatim: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """Occurrence terms of rows with animals, indexed like the standard rows; identifiers are given later.

    verbatim: the same rows as typed.
    """
    made = pd.DataFrame(index=captures.index)
    name = text_column(captures, "verbatimIdentification")
    made["scientificName"] = name
    made["verbatimIdentification"] = stripped(text_column(verbatim, "verbatimIdentification"))
    for term in NAME_TERMS:
        made[term] = text_column(captures, f"verbatimIdentification/{term}")
    for field in PLAIN_FIELDS:
        made[field] = text_column(captures, field)
    for term in ("sex", "lifeStage", "reproductiveCondition", "vitality", "preparations"):
        made[term] = stated(captures, term)
    count = stated(captures, "individualCount")
    vague = text_column(captures, "individualCount/organismQuantity")
    blank = (stripped(text_column(verbatim, "individualCount")) == "") & (count == "") & (vague == "")
    # A row is one animal unless its sheet counts animals (survey file, habits.row_is).
    one_each = blank & (text_column(captures, "row_is") != "a count")
    made["individualCount"] = count.where(~one_each, "1")
    made["organismQuantity"] = vague
    made["organismQuantityType"] = text_column(captures, "individualCount/organismQuantityType")
    made["basisOfRecord"] = np.where(made["catalogNumber"] != "", "PreservedSpecimen", "HumanObservation")
    made["disposition"] = np.where(made["catalogNumber"] != "", "in collection", "")
    fate = text_column(captures, "fate")
    made["occurrenceRemarks"] = joined(
        text_column(captures, "occurrenceRemarks"),
        ("fate: " + fate).where(fate != "", ""),
        *(text_column(captures, column) for column in captures if column.endswith("/remark")),
        text_column(captures, "cell_remarks"),
    )
    made["detected"] = "true"
    scope = set(survey.protocol.target_taxa)
    ranks = made[["kingdom", "phylum", "class", "order", "family", "genus", "scientificName"]]
    inside = ranks.isin(scope).any(axis=1) if scope else pd.Series(True, index=made.index)
    made["in_scope"] = np.where(name == "", "", np.where(inside, "true", "false"))
    made["date"] = text_column(captures, "when/date")
    return made


def stated(captures: pd.DataFrame, term: str) -> pd.Series:
    """What the field of the term says, else what a cell of another field says of it: "dead SCUN", "2 juv"."""
    others = sorted(
        (column for column in captures if column.endswith(f"/{term}")),
        key=lambda column: (not column.startswith(STATING_FIRST), column),
    )
    return first_filled(*(text_column(captures, column) for column in (term, *others)))


def features_of(occurrence: pd.DataFrame, captures: pd.DataFrame) -> pd.DataFrame:
    """What the register keeps of each animal."""
    return pd.DataFrame(
        {
            name: text_column(occurrence, name) if name in occurrence else text_column(captures, name)
            for name in FEATURES
        },
        index=occurrence.index,
    )


def animal_stem(event: pd.Series, trap: pd.Series) -> pd.Series:
    """Start of the identifiers of animals of an event, with the trap where it is known."""
    label = trap.str.replace(" | ", "-", regex=False)
    return (event + ("-" + label).where(label != "", "-a")).astype(object)
