"""An animal without a place."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity

#: Any of these says where the animal was, or which run or search it belongs to.
PLACED_BY = ("place", "run", "locality", "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude", "easting")


@season_rule(
    view="animal",
    field="place",
    severity=Severity.ERROR,
    needs=("verbatimIdentification", "date"),
    message='"{verbatimIdentification}" of {date} without a place',
    flagged={"verbatimIdentification": "UTST", "date": "2031-06-20", "place_typed": ""},
    passes=[
        {"verbatimIdentification": "UTST", "date": "2031-06-20", "place_typed": "A9"},
        {"verbatimIdentification": "UTST", "date": "2031-06-20", "run_typed": "RR04"},
    ],
)
def animal_without_a_place(animal: pd.DataFrame) -> pd.Series:
    """An animal has a date, but neither array, route, site nor position.

    Why it matters: the animal belongs to no check and no place; it can be neither mapped nor counted in a rate.
    What to do: fill in the array or the site. If blank cells repeat the one above, say so in the survey file
    (fill_down).
    """
    blank = pd.Series(True, index=animal.index)
    for name in PLACED_BY:
        blank &= stripped(text_column(animal, f"{name}_typed")) == ""
    return blank & (text_column(animal, "place") == "")
