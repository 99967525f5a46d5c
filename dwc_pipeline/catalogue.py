"""Every rule of the house, from wherever it is declared."""

from __future__ import annotations

import difflib
import importlib
import pkgutil

import dwc_pipeline
from dwc_pipeline.core.rule import RULES, Rule
from dwc_pipeline.errors import PipelineError
from dwc_pipeline.terms.standard_rules import numbers_of


class UnknownRule(PipelineError):
    """No rule has that identifier."""


def all_rules() -> dict[str, Rule]:
    """All rules by identifier; every module that may declare one is imported."""
    for module in pkgutil.walk_packages(dwc_pipeline.__path__, "dwc_pipeline."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    return dict(sorted(RULES.items()))


def explanation(identifier: str) -> str:
    """The text of one rule. Raises UnknownRule with the nearest identifiers if there is none."""
    rules = all_rules()
    if identifier not in rules:
        near = difflib.get_close_matches(identifier, rules, 3, 0.4)
        hint = f" Perhaps one of: {', '.join(near)}." if near else " All rules are listed in docs/rules.md."
        raise UnknownRule(f'There is no rule "{identifier}".{hint}')
    rule = rules[identifier]
    lines = [
        f"{rule.id} ({rule.severity}{', a question' if rule.asks else ''})",
        "",
        rule.what,
        "",
        f"Why it matters: {rule.why}",
        f"What to do: {rule.remedy}",
        f"Source: {rule.source}",
    ]
    numbers = numbers_of(identifier)
    if numbers:
        lines.append(f"Rules of the standards: {'; '.join(numbers)}")
    return "\n".join(lines)
