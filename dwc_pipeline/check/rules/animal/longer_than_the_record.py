"""A length over the record of the species."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.rules.animal.far_longer_than_the_record import FAR
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

SPECIES = {"scientificName": "Uta stansburiana", "record_mm": 64.0, "size_measure": "SVL"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.WARNING,
    needs=("scientificName", "size_mm", "record_mm"),
    message="{size_measure} {size_mm} mm; the record of {scientificName} in the checklist is {record_mm} mm",
    flagged={**SPECIES, "size_mm": 71.0},
    passes={**SPECIES, "size_mm": 58.0},
    source="the record lengths of the survey's own checklist",
)
def longer_than_the_record(animal: pd.DataFrame) -> pd.Series:
    """An animal is longer than the record of its species in the checklist, by up to half.

    Why it matters: the length, its unit or the name may be wrong.
    What to do: check the number, the unit and the name. A true record is worth a voucher photograph and a note.
    """
    return (animal["size_mm"] > animal["record_mm"]) & (animal["size_mm"] <= FAR * animal["record_mm"])
