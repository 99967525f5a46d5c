"""What one data-quality test sees: the terms of one record, the parameters, and today's date."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache

from dwc_pipeline.check.quality.emptiness import is_empty


@dataclass(frozen=True)
class Record:
    """Terms by name with prefix ("dwc:day"); a term that is not there is Empty.

    parameters: values by name ("bdqval:latestValidDate"), defaults filled in. today: what "current" means.
    """

    terms: Mapping[str, str]
    parameters: Mapping[str, str] = field(default_factory=dict)
    today: date = date.min

    def text(self, term: str) -> str:
        """The value exactly as it stands; "" if the term is missing."""
        return self.terms.get(term, "")

    def is_empty(self, term: str) -> bool:
        """True if the term is missing or Empty."""
        text = self.terms.get(term, "")
        return not text or (text[0] <= " " and is_empty(text))

    def empty_among(self, *terms: str) -> tuple[str, ...]:
        """Those of the terms that are Empty."""
        return tuple(term for term in terms if self.is_empty(term))

    def filled_among(self, *terms: str) -> tuple[str, ...]:
        """Those of the terms that hold something."""
        return tuple(term for term in terms if not self.is_empty(term))

    def parameter(self, name: str) -> str:
        """The value of a parameter of the test, given or default, with "current" worked out."""
        return _worked_out(self.parameters[name], self.today)


@cache
def _worked_out(value: str, today: date) -> str:
    return value.replace("{current year}", f"{today:%Y}").replace("{current day}", today.isoformat())


def list_terms(terms: tuple[str, ...]) -> str:
    """Terms in a sentence: "dwc:day and dwc:month"."""
    return " and ".join([", ".join(terms[:-1]), terms[-1]] if len(terms) > 1 else terms)
