"""A length over one and a half times the record of the species."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Over this multiple of the record it is no animal of the species. [share]; our choice
FAR = 1.5
SPECIES = {"scientificName": "Uta stansburiana", "record_mm": 64.0, "size_measure": "SVL"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.ERROR,
    needs=("scientificName", "size_mm", "record_mm"),
    message="{size_measure} {size_mm} mm; the record of {scientificName} in the checklist is {record_mm} mm{hint}",
    flagged={**SPECIES, "size_mm": 520.0},
    passes={**SPECIES, "size_mm": 70.0},
    source="the record lengths of the survey's own checklist",
)
def far_longer_than_the_record(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal is over one and a half times as long as the record of its species in the checklist.

    Why it matters: the number, its unit or the name is wrong, and with it every mean and condition index of the
    species.
    What to do: check the unit (millimetres in a column of centimetres are ten times too long), the number and the
    name.
    """
    tenth = animal["size_mm"] / 10
    fits = (tenth <= animal["record_mm"]) & (tenth >= animal["record_mm"] / 10)
    hint = ("; a tenth of it, " + tenth.round(1).astype(str) + " mm, would fit").where(fits, "")
    return pd.DataFrame({"flag": animal["size_mm"] > FAR * animal["record_mm"], "hint": hint})
