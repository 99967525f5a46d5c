"""What the rules about an archive as a whole look at: the columns that are kept when it is read in blocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from dwc_pipeline.check.archive_rules import EVENT_ID, OCCURRENCE_ID
from dwc_pipeline.check.hierarchy.event_tree import EVENT, OCCURRENCE, PARENT
from dwc_pipeline.check.hierarchy.quantity_rules import AXES, QUANTITY, QUANTITY_TYPE, RANKS
from dwc_pipeline.check.hierarchy.tree_rules import DATE, PLACE_TERMS
from dwc_pipeline.check.linked_disclosure import LOCATION_ID, TOLD_BY_EVENTS
from dwc_pipeline.check.part_block import Block, coded
from dwc_pipeline.check.quality_tally import terms_of_occurrences
from dwc_pipeline.check.row_type_rules import STATUS, registered_terms
from dwc_pipeline.check.values.disclosure_rules import STATEMENTS
from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.core.kept_column import KeptKeys, KeptTexts, LookAgain
from dwc_pipeline.terms.darwin_core import DWC, ECO

#: identifiers are only compared
COMPARED = frozenset({EVENT_ID, OCCURRENCE_ID, PARENT})
#: terms of events that a rule about several rows reads; Humboldt terms come on top
OF_EVENTS = frozenset({
    DATE, LOCATION_ID, *TOLD_BY_EVENTS, *(DWC + name for name in PLACE_TERMS),
    *(DWC + name for name in ("countryCode", "stateProvince", "county", "samplingProtocol", "samplingEffort",
                              "sampleSizeValue", "sampleSizeUnit")),
})  # fmt: skip
#: the same of the occurrences of events
OF_OCCURRENCES = frozenset({
    QUANTITY, QUANTITY_TYPE, DWC + "individualCount", *(DWC + name for name in (*AXES, *RANKS)),
})  # fmt: skip


def is_kept(part: ArchivePart, term: str) -> bool:
    """True for a term of a part that is needed as text once all rows have been seen."""
    is_asked_for = registered_terms().get(part.row_type, {}).get(term, False)
    if is_asked_for or term in STATEMENTS or term == STATUS or term.startswith(ECO):
        return True
    if part.is_core and part.row_type == EVENT:
        return term in OF_EVENTS or term in terms_of_occurrences()
    return not part.is_core and part.row_type == OCCURRENCE and term in OF_OCCURRENCES


@dataclass
class KeptColumns:
    """Gathers the columns of one part that are kept, block by block."""

    _texts: dict[str, KeptTexts] = field(default_factory=dict)
    _keys: dict[str, KeptKeys] = field(default_factory=dict)
    _ids: KeptKeys = field(default_factory=lambda: KeptKeys(_nothing))

    def add(self, block: Block) -> None:
        """Keep some columns of a block, and the identifiers of its rows."""
        part = block.part
        for term in part.rows.columns:
            if term in COMPARED:
                self._keys.setdefault(term, KeptKeys(_nothing)).add(*block.coded(term))
            elif is_kept(part, term):
                self._texts.setdefault(term, KeptTexts()).add(*block.coded(term))
        own = _term_of_ids(part)
        if own in COMPARED and own in part.rows:  # the same column: what is kept of it stands for both
            return
        self._ids.add(*(block.coded(own) if own and own in part.rows else coded(part.ids.to_numpy(dtype=object))))

    def part(self, part: ArchivePart, look_again: LookAgain) -> ArchivePart:
        """The part with what was kept of it."""
        for term, column in self._keys.items():
            column.look_again = _Looked(look_again, *_source(part, term))
        self._ids.look_again = _Looked(look_again, part.id_index, "")
        ids = self._keys.get(_term_of_ids(part), self._ids)
        return replace(part, kept={**self._texts, **self._keys}, kept_ids=ids)


def _term_of_ids(part: ArchivePart) -> str:
    """The term whose column has the identifiers of the core record; "" where no term has it without a default."""
    return next((one.term for one in part.fields if one.index == part.id_index and not one.default), "")


@dataclass(frozen=True)
class _Looked:
    """Looks texts up in a column of the files; the default stands where it is empty."""

    look_again: LookAgain
    column: int | None
    default: str

    def __call__(self, positions: Sequence[int]) -> list[str]:
        if self.column is None:
            return [self.default] * len(positions)
        return [text or self.default for text in self.look_again(self.column, positions)]


def _source(part: ArchivePart, term: str) -> tuple[int | None, str]:
    """The column of a term and its default; of a term mapped twice the first counts."""
    found = next(one for one in part.fields if one.term == term)
    return found.index, found.default or ""


def _nothing(positions: Sequence[int]) -> list[str]:
    return [""] * len(positions)
