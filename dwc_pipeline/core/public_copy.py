"""Tables that may leave the house. The type is made in one place only, the stage that protects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NewType

import pandas as pd

from dwc_pipeline.core.metadata import DatasetMetadata

#: event, occurrence, measurement and humboldt with generalised places and new identifiers. A writer for the
#: public takes nothing else, so exact places cannot reach it.
PublicTables = NewType("PublicTables", Mapping[str, pd.DataFrame])


@dataclass(frozen=True)
class PublicCopy:
    """All that the public copy is written from. statements: what was done to it, one sentence each."""

    name: str
    tables: PublicTables
    metadata: DatasetMetadata
    statements: tuple[str, ...]
