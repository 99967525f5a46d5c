"""All rules about the events of an archive taken together: hierarchy, scopes, effort, quantities."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.archive_fault import Check
from dwc_pipeline.check.hierarchy.event_tree import EventTree, build_tree
from dwc_pipeline.check.hierarchy.quantity_rules import QUANTITY_CHECKS
from dwc_pipeline.check.hierarchy.scope_rules import SCOPE_CHECKS
from dwc_pipeline.check.hierarchy.tree_rules import TREE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.findings import as_findings, join_findings

HUMBOLDT_CHECKS: tuple[Check[EventTree], ...] = (*TREE_CHECKS, *SCOPE_CHECKS, *QUANTITY_CHECKS)


def check_humboldt(contents: ArchiveContents) -> pd.DataFrame:
    """Findings about the events of an archive taken together; none for an archive without an event core."""
    tree = build_tree(contents)
    if tree is None:
        return as_findings([])
    return join_findings(check.findings(tree, contents.name) for check in HUMBOLDT_CHECKS)
