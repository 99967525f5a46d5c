"""The published data-quality tests: what the standard says of each, and the function that answers it.

schemas/quality/tests.csv holds identifiers, labels and information elements; functions are joined to it by label.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.response import Response
from dwc_pipeline.terms.schema import schemas_folder

Answer = Callable[[Record], Response]
_ANSWERS: dict[str, Answer] = {}


@dataclass(frozen=True)
class QualityTest:
    """One published test.

    guid: its identifier. label: its name; former_labels: names it had. type: Validation, Issue, Measure, Amendment.
    acted_upon, consulted: the terms it looks at. parameters: name -> default as printed.
    needs: `rule` (nothing but the test), `data` (facts kept with the project, PROJ), `network` (not at hand).
    """

    guid: str
    label: str
    type: str
    acted_upon: tuple[str, ...]
    consulted: tuple[str, ...]
    parameters: dict[str, str]
    needs: str
    former_labels: tuple[str, ...]

    @cached_property
    def terms(self) -> tuple[str, ...]:
        """All terms of the record that the answer can depend on."""
        return tuple(term for term in self.acted_upon + self.consulted if not term.startswith("bdqval:"))


def implements(label: str) -> Callable[[Answer], Answer]:
    """Join a function to the published test of that label."""

    def join(answer: Answer) -> Answer:
        if label not in quality_tests():
            raise ValueError(f"there is no published test {label}")
        if label in _ANSWERS:
            raise ValueError(f"{label} is implemented twice")
        _ANSWERS[label] = answer
        return answer

    return join


def answer_of(label: str) -> Answer:
    """The function that answers the test."""
    return _ANSWERS[label]


@cache
def quality_tests() -> dict[str, QualityTest]:
    """The published tests by current label."""
    defaults: dict[str, dict[str, str]] = {}
    for row in read_facts("parameters"):
        defaults.setdefault(row["label"], {})[row["parameter"]] = row["default"]
    return {
        row["label"]: QualityTest(
            row["guid"],
            row["label"],
            row["type"],
            tuple(row["acted_upon"].split()),
            tuple(row["consulted"].split()),
            defaults.get(row["label"], {}),
            row["needs"],
            tuple(row["former_labels"].split()),
        )
        for row in read_facts("tests")
    }


@cache
def _by_any_name() -> dict[str, QualityTest]:
    tests = quality_tests().values()
    names = {former: test for test in tests for former in test.former_labels}
    return names | {test.guid: test for test in tests} | {test.label: test for test in tests}


def find_test(name: str) -> QualityTest:
    """The test of a label (current or former) or identifier; KeyError if there is none."""
    wanted = name.strip().removeprefix("urn:uuid:").rpartition("/")[2]
    try:
        return _by_any_name()[wanted]
    except KeyError:
        raise KeyError(f"there is no published data-quality test {name!r}") from None


def read_facts(name: str) -> list[dict[str, str]]:
    """The rows of schemas/quality/<name>.csv, comment lines left out."""
    path: Path = schemas_folder() / "quality" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))
