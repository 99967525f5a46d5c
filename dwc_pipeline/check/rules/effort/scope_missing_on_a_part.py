"""Scope or completeness on a parent and not on its part."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.core.rule import Severity

TERMS = ("targetTaxonomicScope", "isTaxonomicScopeFullyReported", "taxonCompletenessReported")
WHOLE = {"eventID": "X-A2-s1", "parentEventID": "X", "targetTaxonomicScope": "Anura | Squamata"}


@season_rule(
    view="scope",
    field="targetTaxonomicScope",
    severity=Severity.ERROR,
    needs=("eventID",),
    message="{eventID} lacks {lacking}, which its parent {parentEventID} has",
    flagged=[WHOLE, {"eventID": "X-A2-c1", "parentEventID": "X-A2-s1", "targetTaxonomicScope": ""}],
    passes=[WHOLE, {"eventID": "X-A2-c1", "parentEventID": "X-A2-s1", "targetTaxonomicScope": "Anura | Squamata"}],
    source="Humboldt Extension: terms are not inherited, each event carries its own",
)
def scope_missing_on_a_part(scope: pd.DataFrame) -> pd.DataFrame:
    """An event lacks a term of scope or completeness that its parent has.

    Why it matters: nothing is inherited from a parent; whether an animal that is not listed was absent would be
    unknown for that event.
    What to do: report this; the terms are written from the survey file for every event of sampling.
    """
    by_id = scope.drop_duplicates("eventID").set_index("eventID")
    lacking = pd.Series("", index=scope.index)
    for term in TERMS:
        whole = mapped(text_column(scope, "parentEventID"), text_column(by_id, term))
        lacks = (whole != "") & (text_column(scope, term).fillna("") == "")
        lacking = lacking + lacks.map({True: f", {term}", False: ""})
    return pd.DataFrame({"flag": lacking != "", "lacking": lacking.str.removeprefix(", ")})
