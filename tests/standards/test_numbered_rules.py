"""Every numbered rule of the published documents has a rule of ours that speaks of it, or a reason why none can.

Each of these has a flagged and a passing example in the table of its tests, which run them.
"""

from __future__ import annotations

import re
import runpy
import sys
from pathlib import Path

import pytest

from dwc_pipeline.catalogue import all_rules, explanation
from dwc_pipeline.terms.standard_rules import numbers_of, standard_rules

TESTS = Path(__file__).resolve().parents[1]
DIGESTS = TESTS.parents[1] / "shared" / "standards"
#: digest -> documents of ours that number its rules
DOCUMENTS = {
    "digest-archive.md": {"text guide", "Simple Darwin Core", "list of terms", "row types"},
    "digest-humboldt.md": {"hierarchical events", "inclusive quantities", "Humboldt values", "Humboldt relations"},
    "digest-dwc-dp.md": {"data package guide"},
    "digest-eml.md": {"EML 2.2.0"},
}
#: file of tests -> table of examples in it; a flagged one stands with each rule, the sound one passes
EXAMPLES = {
    "check/test_archive_rules.py": "BROKEN",
    "check/test_eml_rules.py": "BROKEN",
    "check/test_package_rules.py": "BROKEN",
    "check/test_value_rules.py": "ROWS",
    "check/test_humboldt_rules.py": "ARCHIVES",
}
#: rules whose examples are tests of their own -> the test
BY_THEMSELVES = {
    "eml-breaks-its-schema": "standards/test_archive_standard.py",
    "package-identifier-leads-nowhere": "check/test_package_rules.py",
    "package-descriptor-is-not-json": "check/test_package_rules.py",
    "package-is-packed-otherwise": "check/test_package_rules.py",
    "package-descriptor-is-not-at-the-root": "check/test_package_rules.py",
    "package-table-cannot-be-read": "check/test_package_rules.py",
    "archive-file-is-on-the-web": "read/test_archive_reader.py",
}


def rules_with_examples() -> set[str]:
    """Rules that stand in a table of examples, or among the strange archives."""
    found: set[str] = set()
    for file, table in EXAMPLES.items():
        found |= set(runpy.run_path(str(TESTS / file))[table])
    strange = runpy.run_path(str(TESTS / "strange_damaged.py"))["DAMAGED"]
    return found | {rule for one in strange.values() for rule in one.errors | one.said}


@pytest.fixture(scope="module")
def with_examples() -> set[str]:
    sys.path.insert(0, str(TESTS / "check"))
    try:
        return rules_with_examples()
    finally:
        sys.path.remove(str(TESTS / "check"))


@pytest.mark.parametrize("one", standard_rules(), ids=lambda one: f"{one.document} {one.number}")
def test_each_numbered_rule_is_checked_or_has_a_reason(one, with_examples: set[str]) -> None:  # type: ignore[no-untyped-def]
    assert bool(one.rules) != bool(one.reason)
    for rule in one.rules:
        assert rule in all_rules()
        assert rule in with_examples or rule in BY_THEMSELVES
        assert one.number in explanation(rule)


def test_a_rule_of_ours_tells_its_numbers() -> None:
    assert numbers_of("core-identifier-is-repeated") == ["T7 (text guide, 2.1.2)"]
    assert numbers_of("svl-shrank") == []


def test_examples_by_themselves_are_there() -> None:
    for rule, file in BY_THEMSELVES.items():
        text = (TESTS / file).read_text(encoding="utf-8")
        assert rule in text or "NOT_JSON.id" in text, rule


@pytest.mark.parametrize("digest", DOCUMENTS)
@pytest.mark.skipif(not DIGESTS.is_dir(), reason="the digests of the documents are not at hand")
def test_no_number_is_left_out(digest: str) -> None:
    text = (DIGESTS / digest).read_text(encoding="utf-8")
    numbers = set(re.findall(r"^\| ([A-Z]\d+) \|", text, re.MULTILINE))
    if digest == "digest-dwc-dp.md":
        numbers |= {f"F{number}" for number in range(1, 7)}
    ours = {one.number for one in standard_rules() if one.document in DOCUMENTS[digest]}
    assert numbers == ours
