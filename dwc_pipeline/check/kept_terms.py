"""What the rules about an archive as a whole look at: the columns that are kept when it is read in blocks."""

from __future__ import annotations

from dwc_pipeline.check.archive_rules import EVENT_ID, OCCURRENCE_ID
from dwc_pipeline.check.hierarchy.event_tree import PARENT
from dwc_pipeline.check.hierarchy.quantity_rules import AXES, QUANTITY, QUANTITY_TYPE, RANKS
from dwc_pipeline.check.hierarchy.tree_rules import DATE, PLACE_TERMS
from dwc_pipeline.check.linked_disclosure import LOCATION_ID, TOLD_BY_EVENTS
from dwc_pipeline.check.row_type_rules import STATUS, registered_terms
from dwc_pipeline.terms.darwin_core import DWC, ECO

#: terms that a rule about several rows reads, by identifier; Humboldt terms come on top
KEPT = frozenset({
    EVENT_ID, OCCURRENCE_ID, PARENT, DATE, LOCATION_ID, STATUS, QUANTITY, QUANTITY_TYPE, *TOLD_BY_EVENTS,
    *(DWC + name for name in (*PLACE_TERMS, *AXES, *RANKS)),
    *(DWC + name for name in ("countryCode", "stateProvince", "county", "samplingProtocol", "samplingEffort",
                              "sampleSizeValue", "sampleSizeUnit", "individualCount")),
})  # fmt: skip


def is_kept(term: str) -> bool:
    """True for a term that is needed once all rows have been seen."""
    required = any(terms.get(term, False) for terms in registered_terms().values())
    return term in KEPT or required or term.startswith(ECO)
