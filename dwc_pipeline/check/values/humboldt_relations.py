"""What the terms of one Humboldt row ask of each other.

Source: Humboldt Extension list of terms 2026-05-26, definitions and comments; where a rule only follows from the
definitions, it says so.
"""

from __future__ import annotations

from dwc_pipeline.check.value_check import ValueCheck, on_values
from dwc_pipeline.check.values.humboldt_values import INCLUSIVE, SEARCHES, folded, is_true, words
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.terms.darwin_core import ECO

TERMS = "Humboldt Extension list of terms 2026-05-26"
SCOPES = ("targetTaxonomicScope", "targetLifeStageScope", "targetDegreeOfEstablishmentScope", "targetGrowthFormScope",
          "targetHabitatScope")  # fmt: skip
FULLY_REPORTED = {
    "isTaxonomicScopeFullyReported": ("targetTaxonomicScope", "excludedTaxonomicScope"),
    "isLifeStageScopeFullyReported": ("targetLifeStageScope", "excludedLifeStageScope"),
    "isDegreeOfEstablishmentScopeFullyReported": (
        "targetDegreeOfEstablishmentScope",
        "excludedDegreeOfEstablishmentScope",
    ),
    "isGrowthFormScopeFullyReported": ("targetGrowthFormScope", "excludedGrowthFormScope"),
}
#: detail -> boolean that has to be true beside it
DETAILS = {
    "absentTaxa": "isAbsenceReported",
    "voucherInstitutions": "hasVouchers",
    "materialSampleTypes": "hasMaterialSamples",
    "nonTargetTaxa": "hasNonTargetTaxa",
    "abundanceCap": "isAbundanceCapReported",
}


def _terms(*names: str) -> tuple[str, ...]:
    return tuple(ECO + name for name in names)


@on_values(
    Rule(
        id="effort-reported-and-not-there",
        severity=Severity.WARNING,
        what="isSamplingEffortReported is true, and samplingEffortValue or its unit is empty.",
        why="The data promise an effort that nobody can compute with.",
        remedy="Fill in value and unit, or write false.",
        source=f"{TERMS}, comment of isSamplingEffortReported (values normally in the two terms)",
    ),
    *_terms("isSamplingEffortReported", "samplingEffortValue", "samplingEffortUnit"),
)
def effort_check(reported: str, value: str, unit: str) -> str:
    """Effort that is reported is there."""
    return "has no samplingEffortValue with its unit beside it" if is_true(reported) and not (value and unit) else ""


@on_values(
    Rule(
        id="effort-is-there-and-not-reported",
        severity=Severity.WARNING,
        what="isSamplingEffortReported is false, and samplingEffortValue is filled.",
        why="Readers that go by the boolean pass over the effort.",
        remedy="Write true, or empty the value.",
        source=f"{TERMS}, definitions of both terms",
    ),
    *_terms("isSamplingEffortReported", "samplingEffortValue"),
)
def hidden_effort_check(reported: str, value: str) -> str:
    """Effort that is there is reported."""
    return f"stands beside an effort of {value}" if reported == "false" and value else ""


@on_values(
    Rule(
        id="effort-does-not-say-how",
        severity=Severity.NOTE,
        what="samplingEffortValue is filled, and samplingEffortProtocol is empty.",
        why="Trap-hours with and without closed traps are different figures.",
        remedy="Say in samplingEffortProtocol how the value was computed.",
        source=f"{TERMS}, definition of samplingEffortProtocol; that it should be filled: common practice",
    ),
    *_terms("samplingEffortValue", "samplingEffortProtocol"),
)
def effort_protocol_check(value: str, protocol: str) -> str:
    """Effort says how it was computed."""
    return "" if protocol else "has no samplingEffortProtocol beside it"


@on_values(
    Rule(
        id="abundance-cap-reported-and-not-there",
        severity=Severity.WARNING,
        what="isAbundanceCapReported is true, and abundanceCap is empty.",
        why="Counts at the cap look like true counts.",
        remedy="Fill in the cap, or write false.",
        source=f"{TERMS}, comment of isAbundanceCapReported",
    ),
    *_terms("isAbundanceCapReported", "abundanceCap"),
)
def cap_check(reported: str, cap: str) -> str:
    """A cap that is reported is there."""
    return "has no abundanceCap beside it" if is_true(reported) and not cap else ""


@on_values(
    Rule(
        id="vegetation-reported-and-not-described",
        severity=Severity.NOTE,
        what="isVegetationCoverReported is true, and verbatimSiteDescriptions is empty.",
        why="The reader looks for the cover there.",
        remedy="Describe the site, or write false.",
        source=f"{TERMS}, comment of isVegetationCoverReported",
    ),
    *_terms("isVegetationCoverReported", "verbatimSiteDescriptions"),
)
def cover_check(reported: str, described: str) -> str:
    """Cover that is reported is described."""
    return "has no verbatimSiteDescriptions beside it" if is_true(reported) and not described else ""


@on_values(
    Rule(
        id="non-target-taxa-without-a-scope",
        severity=Severity.WARNING,
        what="hasNonTargetTaxa is filled, and the event has no target taxonomic scope.",
        why="Without a scope nothing is outside it.",
        remedy="Give the scope that the survey had, if it had one; otherwise empty hasNonTargetTaxa.",
        source=f"{TERMS}, comment of hasNonTargetTaxa (only relevant if a target taxonomic scope is declared)",
    ),
    *_terms("hasNonTargetTaxa", "targetTaxonomicScope"),
)
def non_target_check(has: str, scope: str) -> str:
    """By-catch has a scope to be outside of."""
    return "" if scope else "has no targetTaxonomicScope beside it"


@on_values(
    Rule(
        id="non-target-organisms-without-a-scope",
        severity=Severity.WARNING,
        what="hasNonTargetOrganisms is filled, and no scope of life stages, establishment or growth forms is.",
        why="Without a scope nothing is outside it.",
        remedy="Give the scope that the survey had, if it had one; otherwise empty hasNonTargetOrganisms.",
        source=f"{TERMS}, comment of hasNonTargetOrganisms",
    ),
    *_terms("hasNonTargetOrganisms", *SCOPES[1:4]),
)
def organisms_check(has: str, *scopes: str) -> str:
    """Organisms are outside a scope that there is."""
    return "" if any(scopes) else "has no such scope beside it"


@on_values(
    Rule(
        id="full-report-of-non-target-taxa-has-no-ground",
        severity=Severity.NOTE,
        what="areNonTargetTaxaFullyReported is filled without a target taxonomic scope, or for an inventory that is "
        "no restricted or open search.",
        why="What was found by chance is never reported fully.",
        remedy="Empty it, or correct inventoryTypes or the scope.",
        source=f"{TERMS}, comment of areNonTargetTaxaFullyReported",
    ),
    *_terms("areNonTargetTaxaFullyReported", "targetTaxonomicScope", "inventoryTypes"),
)
def full_non_target_check(fully: str, scope: str, inventory: str) -> str:
    """A full report has a scope and a search."""
    return "" if scope and _may_be_search(inventory) else "has no target scope, or no search, beside it"


def _may_be_search(inventory: str) -> bool:
    return not inventory or any(folded(word) in SEARCHES for word in words(inventory))


NO_SEARCH = declare(
    Rule(
        id="completeness-of-what-was-no-search",
        severity=Severity.WARNING,
        what="A scope is called fully reported, or completeness is given, for another inventory than a restricted or "
        "open search.",
        why="Absences would be read from finds by chance.",
        remedy="Empty it, or correct inventoryTypes.",
        source=f"{TERMS}, comments of the terms (only for restricted or open search)",
    )
)


def search_check(name: str) -> ValueCheck:
    """Completeness belongs to a search."""

    def judge(text: str, inventory: str) -> str:
        return "" if _may_be_search(inventory) else f"stands beside inventoryTypes {inventory!r}"

    return ValueCheck(NO_SEARCH, _terms(name, "inventoryTypes"), judge)


FULLY_OF_NOTHING = declare(
    Rule(
        id="fully-reported-without-a-scope",
        severity=Severity.WARNING,
        what="A scope is called fully reported, and the scope itself is empty.",
        why="Nothing may be read as zero where nobody says what was looked for.",
        remedy="Give the scope that the survey had; it must not be inferred from the animals afterwards.",
        source="Humboldt Extension, properties of hierarchical events (2024-02-28) 3.2.4",
    )
)


def scope_check(name: str, target: str, excluded: str) -> ValueCheck:
    """What is fully reported is named."""

    def judge(text: str, *scopes: str) -> str:
        return f"has no {target} beside it" if is_true(text) and not any(scopes) else ""

    return ValueCheck(FULLY_OF_NOTHING, _terms(name, target, excluded), judge)


@on_values(
    Rule(
        id="completeness-does-not-say-how",
        severity=Severity.NOTE,
        what="taxonCompletenessReported tells of completeness, and taxonCompletenessProtocols is empty.",
        why="A full list after one walk and one after a species curve are different claims.",
        remedy="Say how completeness was judged.",
        source=f"{TERMS}, comment of taxonCompletenessReported",
    ),
    *_terms("taxonCompletenessReported", "taxonCompletenessProtocols"),
)
def completeness_protocol_check(reported: str, protocols: str) -> str:
    """Completeness says how it was judged."""
    told = reported in ("reportedComplete", "reportedIncomplete")
    return "has no taxonCompletenessProtocols beside it" if told and not protocols else ""


@on_values(
    Rule(
        id="sources-of-what-was-no-compilation",
        severity=Severity.WARNING,
        what="compilationSourceTypes is filled for an inventory that is no compilation.",
        why="Readers take visits in the field for figures from the literature.",
        remedy="Empty it, or correct inventoryTypes.",
        source=f"{TERMS}, comment of compilationSourceTypes (only if the event is a compilation)",
    ),
    *_terms("compilationSourceTypes", "inventoryTypes"),
)
def sources_check(sources: str, inventory: str) -> str:
    """Sources belong to a compilation."""
    other = inventory and not any("compilation" in folded(word) for word in words(inventory))
    return f"stands beside inventoryTypes {inventory!r}" if other else ""


@on_values(
    Rule(
        id="effort-of-a-compilation",
        severity=Severity.NOTE,
        what="A compilation of existing sources has a sampling effort.",
        why="The effort of those who made the sources is not the effort of the compilation.",
        remedy="Leave it empty unless the sources give it as the effort of this very event.",
        source=f"{TERMS}, comments of inventoryTypes and compilationTypes (effort is not inferred)",
    ),
    *_terms("samplingEffortValue", "inventoryTypes"),
)
def compiled_effort_check(value: str, inventory: str) -> str:
    """Compilations have no effort of their own."""
    compiled = [folded(word) for word in words(inventory)] == ["compilation"]
    return f"stands beside inventoryTypes {inventory!r}" if compiled else ""


@on_values(
    Rule(
        id="scope-is-in-words-only",
        severity=Severity.NOTE,
        what="verbatimTargetScope is filled, and no explicit scope term is.",
        why="Absence must not be assessed from words; the survey says less than it could.",
        remedy="Fill the explicit scope terms as far as the words say them.",
        source=f"{TERMS}, comment of verbatimTargetScope",
    ),
    *_terms("verbatimTargetScope", *SCOPES),
)
def verbatim_scope_check(_: str, *scopes: str) -> str:
    """Words come after explicit terms."""
    return "" if any(scopes) else "has no explicit scope beside it"


NOT_SAID = declare(
    Rule(
        id="detail-of-what-is-not-reported",
        severity=Severity.WARNING,
        what="A detail is filled, such as absentTaxa, and the term that announces it is not true.",
        why="Readers that go by the announcement pass over the detail, or take the two for a contradiction.",
        remedy="Write true beside it, or empty the detail.",
        source=f"follows from the definitions of the terms in the {TERMS}",
    )
)


def detail_check(detail: str, announced_by: str) -> ValueCheck:
    """A detail is announced."""

    def judge(text: str, announced: str) -> str:
        return "" if is_true(announced) else f"stands beside {announced_by} {announced!r}"

    return ValueCheck(NOT_SAID, _terms(detail, announced_by), judge)


@on_values(
    Rule(
        id="quantity-inclusive-says-nothing-here",
        severity=Severity.NOTE,
        what=f"{INCLUSIVE} stands beside isAbundanceReported false.",
        why="It only speaks of quantities, and none are reported.",
        remedy="Leave it empty, or correct isAbundanceReported.",
        source=f"{TERMS}, comment of {INCLUSIVE} (only where quantities are numbers)",
    ),
    *_terms(INCLUSIVE, "isAbundanceReported"),
)
def idle_inclusive_check(_: str, abundance: str) -> str:
    """It speaks of quantities that are there."""
    return "stands beside isAbundanceReported false" if abundance == "false" else ""


HUMBOLDT_RELATION_CHECKS: tuple[ValueCheck, ...] = (
    effort_check, hidden_effort_check, effort_protocol_check, cap_check, cover_check, non_target_check,
    organisms_check, full_non_target_check, *(search_check(name) for name in (*FULLY_REPORTED,
    "taxonCompletenessReported")), *(scope_check(name, *scopes) for name, scopes in FULLY_REPORTED.items()),
    completeness_protocol_check, sources_check, compiled_effort_check, verbatim_scope_check,
    *(detail_check(detail, announced) for detail, announced in DETAILS.items()), idle_inclusive_check,
)  # fmt: skip
