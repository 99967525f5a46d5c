"""Site lists with one row for each trap: the code of the array comes back, the label beside it does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from dwc_pipeline.assemble.places import TRAP_LETTER
from dwc_pipeline.draft.cell_evidence import TRAP_LABEL, Share
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.header_evidence import header_evidence
from dwc_pipeline.draft.placing import USUAL, Fit, Placed, is_firm
from dwc_pipeline.draft.proposal import Confidence
from dwc_pipeline.terms.sheet import sheet_fields
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: share of the labels that must look like those of traps
NEARLY_ALL = 0.9
#: letters with which the labels of box, funnel and pitfall traps begin
TYPE_LETTERS = frozenset(TRAP_LETTER.values())
NOTE = "one row a trap: the traps of a place are those of all its rows"


def with_a_trap_a_row(text: pd.DataFrame, placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """The columns of a site list with the labels of single traps placed as its traps.

    text: cells of the table by column letter. Only where no two rows name the same trap of the same place, so that a
    log or a capture sheet is no site list.
    """
    place = next((one for one in placed if one.field == "place" and is_firm(one)), None)
    label = next((one for one in placed if one is not place and is_label(one.column)), None)
    if place is None or label is None or text[[place.column.letter, label.column.letter]].duplicated().any():
        return tuple(placed)
    return tuple(
        Placed(label.column, "traps", Fit(USUAL, USUAL, "trap", Share(1.0), ""), Confidence.LIKELY, note=NOTE)
        if one is label
        else replace(one, field="", confidence=Confidence.UNSURE)
        if one.field == "traps"
        else one
        for one in placed
    )


def is_a_trap_a_row(placed: Sequence[Placed]) -> bool:
    """True for columns that `with_a_trap_a_row` found to be those of such a list."""
    return any(one.field == "traps" and one.note == NOTE for one in placed)


def is_label(column: Column) -> bool:
    """True if a column is called a trap and holds one label in each cell."""
    spoken = max(header_evidence(column.header, sheet_fields(kind)["trap"]).score for kind in ("capture", "trap_log"))
    return spoken >= USUAL and column.share(lambda cell: TRAP_LABEL.fullmatch(cell) is not None) >= NEARLY_ALL


def type_of_single_traps(one: Placed, placed: Sequence[Placed]) -> tuple[Confidence, str] | None:
    """Whether a column with the type of each trap can be left aside, and why; None for any other column.

    It can where all labels begin with the letter of a type, for then the effort is told by type all the same.
    """
    types = load_vocabulary("trap_type")
    if is_firm(one) or not one.column.counts or one.column.share(lambda cell: types.find(cell) is not None) < USUAL:
        return None
    label = next(other.column for other in placed if other.note == NOTE)
    if label.share(lambda cell: cell[:1].upper() in TYPE_LETTERS) == 1.0:
        return Confidence.LIKELY, "left aside: type of single traps, which the letters of the labels tell"
    return Confidence.UNSURE, "type of single traps: a label tells it only if it begins with B (box), F (funnel) or P"
