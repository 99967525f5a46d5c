"""Deaths in traps and in the hand without a cause."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import in_one_text, text_columns
from dwc_pipeline.core.rule import Severity

#: Causes that a survey meets, and words that say that it is not known. Common practice, no source.
CAUSES = (
    r"heat|hot|overheat|sun|dried|dry|desicc|dehydrat|drown|flood|water|cold|froze|ants?\b|ant-|predat|eaten|eating|"
    r"killed by|bitten|shrew|mouse|snake|raccoon|crush|squash|trampl|handl|injur|wound|escap|disease|sick|fung|"
    r"parasit|shock|euthan|cause|unknown|why|because|due to"
)
DEAD = {"fate": "died in trap", "verbatimIdentification": "UTST", "place": "A2", "date": "2031-06-09"}


@season_rule(
    view="animal",
    field="fate",
    severity=Severity.WARNING,
    needs=("fate", "verbatimIdentification"),
    message="{verbatimIdentification} at {place} on {date}: {fate}, and no cause is written",
    flagged={**DEAD, "fate_typed": "died in trap", "occurrenceRemarks_typed": ""},
    passes={**DEAD, "fate_typed": "died in trap", "occurrenceRemarks_typed": "ants in the pit"},
)
def death_without_a_cause(animal: pd.DataFrame) -> pd.Series:
    """An animal died in a trap or in the hand, and its row gives no cause.

    Why it matters: causes are what a survey can do something about, and permits ask for them: heat, drowning, ants,
    predation, crushing, handling.
    What to do: add the cause to the remarks, or "cause unknown".
    """
    died = animal["fate"].isin(["died in trap", "died in hand"])
    words = in_one_text(text_columns(animal[died], ("fate_typed", "occurrenceRemarks_typed", "cell_remarks")))
    return died & ~words.str.contains(CAUSES, case=False, regex=True).reindex(animal.index, fill_value=False)
