"""Tables by name, some of them only made when somebody looks at them: a check reads no summary that a run writes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import pandas as pd


class TablesOnDemand(Mapping[str, pd.DataFrame]):
    """Tables that are there, followed by tables that are made once, when first asked for."""

    def __init__(
        self, there: Mapping[str, pd.DataFrame], on_demand: Mapping[str, Callable[[], pd.DataFrame]]
    ) -> None:
        self._there = {name: table for name, table in there.items() if name not in on_demand}
        self._makers = dict(on_demand)
        self._names = tuple(dict.fromkeys([*there, *on_demand]))

    def __getitem__(self, name: str) -> pd.DataFrame:
        if name in self._makers:
            self._there[name] = self._makers.pop(name)()
        return self._there[name]

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)
