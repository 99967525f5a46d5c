"""Vouchers without a catalogue number or a collection."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

KEPT = {"fate": "voucher", "verbatimIdentification": "UTST", "date": "2031-06-09"}


@season_rule(
    view="animal",
    field="catalogNumber",
    severity=Severity.ERROR,
    needs=("fate", "verbatimIdentification"),
    message="{verbatimIdentification} of {date} was kept as a voucher, without {what}",
    flagged={**KEPT, "catalogNumber": "", "institutionCode": "XM"},
    passes={**KEPT, "catalogNumber": "XM 1207", "institutionCode": "XM"},
)
def voucher_without_a_number(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal was kept as a voucher, and its catalogue number or its collection is missing.

    Why it matters: a voucher that nobody can find proves nothing; permits ask where each one went.
    What to do: fill in catalogNumber and institutionCode once the collection has given a number.
    """
    number, house = (text_column(animal, name).fillna("") == "" for name in ("catalogNumber", "institutionCode"))
    what = number.map({True: "a catalogue number", False: "a collection"}).mask(
        number & house, "number and collection"
    )
    return pd.DataFrame({"flag": (animal["fate"] == "voucher") & (number | house), "what": what})
