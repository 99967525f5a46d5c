"""Which mark stands before the decimals of a sheet's measures, by the survey file or the cells themselves."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.normalise.number import DECIMAL_COMMA, EITHER
from dwc_pipeline.terms.sheet import sheet_fields


def decimal_marks(tidy: TidyTable, comma_declared: bool) -> dict[int, str]:
    """Source -> "," where the survey file says so; EITHER where a measured cell can only be 12,5; else "".

    One hand fills all columns of a sheet, so a comma in one of them makes a point in another doubtful.
    """
    numbers = [int(number) for number in tidy.origin["source"].unique()]
    if comma_declared:
        return dict.fromkeys(numbers, ",")
    fields = sheet_fields(tidy.kind)
    marks = dict.fromkeys(numbers, "")
    for name in tidy.text:
        if name in fields and fields[name].reading == "measure":
            has_comma = on_distinct(tidy.verbatim(name), has_decimal_comma)
            marks |= {int(number): EITHER for number in tidy.origin["source"][has_comma].unique()}
    return marks


def has_decimal_comma(texts: pd.Series) -> pd.Series:
    """True where the comma of a number can only stand before decimals."""
    return texts.map(lambda text: DECIMAL_COMMA.fullmatch(text) is not None).astype(bool)
