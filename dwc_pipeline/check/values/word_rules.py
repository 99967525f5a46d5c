"""Words that should come from a published list.

Sources: Darwin Core list of terms 2026-05-26; Simple Darwin Core (2023-09-13), section 5; the controlled vocabularies
for establishment means, degree of establishment and pathway (section 2 of each: who uses the vocabulary MUST write
its strings). The terms themselves only recommend the vocabularies: each "allows for any string literal value".
"""

from __future__ import annotations

from dwc_pipeline.check.part_block import ROW_TYPE
from dwc_pipeline.check.quality.word_list import word_list
from dwc_pipeline.check.value_check import EachTermCheck, ValueCheck, on_each, on_every, on_values
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.terms.darwin_core import DCTERMS, DWC, short_name
from dwc_pipeline.terms.detection import read_status

TERMS = "Darwin Core list of terms 2026-05-26"
SIMPLE = "Simple Darwin Core (2023-09-13), section 5"
DC = "http://purl.org/dc/elements/1.1/"
BASIS = DWC + "basisOfRecord"
#: comment of eventCategory
EVENT_CATEGORIES = ("Event", "MaterialGathering", "Occurrence", "OrganismInteraction", "Survey")
#: classes that say less than another class of the same list
BROAD_BASES = ("Occurrence", "Event", "MaterialEntity", "Organism", "Taxon", "Location")
IRI = ("http://", "https://", "urn:")


def is_iri_term(term: str) -> bool:
    """True for a term that takes only IRIs."""
    return term.startswith(("http://rs.tdwg.org/dwc/iri/", "http://rs.tdwg.org/eco/iri/"))


@on_each(
    Rule(
        id="type-is-not-dublin-core",
        severity=Severity.WARNING,
        what="type is no word of the Dublin Core type list.",
        why="Readers sort by it what is a picture, a sound, a thing or an event.",
        remedy="Write PhysicalObject, StillImage, MovingImage, Sound, Text, Event or another word of that list.",
        source=f"{SIMPLE} (should)",
    ),
    (DC + "type", DCTERMS + "type"),
    ROW_TYPE,
)
def type_check(text: str, row_type: str) -> str:
    """Types are Dublin Core types; in the tables of a package that archives do not have, type says something else."""
    if not row_type.startswith("http"):
        return ""
    return "" if text in word_list("dcType").terms else "is no Dublin Core type"


@on_values(
    Rule(
        id="basis-of-record-is-no-class",
        severity=Severity.WARNING,
        what="basisOfRecord is not the name of a Darwin Core class.",
        why="Readers sort specimens from sightings by it and refuse words that they do not know.",
        remedy="Write HumanObservation, MachineObservation, PreservedSpecimen, MaterialSample or another class name.",
        source=f"{SIMPLE} (should)",
    ),
    BASIS,
)
def basis_check(text: str) -> str:
    """Bases of record are classes."""
    return "" if text in word_list("basisOfRecord").terms else "is no name of a Darwin Core class"


@on_values(
    Rule(
        id="basis-of-record-is-broad",
        severity=Severity.NOTE,
        what="basisOfRecord is a broad class, though a narrower one exists.",
        why="It does not tell a voucher in a jar from an animal that was seen.",
        remedy="Write HumanObservation, PreservedSpecimen or the like.",
        source=f"{SIMPLE} (should be the most specific class)",
    ),
    BASIS,
    ROW_TYPE,
)
def broad_basis_check(text: str, row_type: str) -> str:
    """Bases of record are narrow."""
    is_occurrence = short_name(row_type) == "Occurrence" if row_type else False
    return "is a broad class" if is_occurrence and text in BROAD_BASES else ""


@on_values(
    Rule(
        id="event-category-is-another-word",
        severity=Severity.WARNING,
        what=f"eventCategory is none of {', '.join(EVENT_CATEGORIES)}.",
        why="Readers cannot tell surveys from single finds.",
        remedy="Use one of these; the narrower word belongs into eventType.",
        source=f"{TERMS}, comment of eventCategory (recommended)",
    ),
    DWC + "eventCategory",
)
def category_check(text: str) -> str:
    """Event categories are those of the list."""
    return "" if text in EVENT_CATEGORIES else f"is none of {', '.join(EVENT_CATEGORIES)}"


@on_values(
    Rule(
        id="event-type-is-a-broad-category",
        severity=Severity.NOTE,
        what="eventType holds a word that belongs into eventCategory.",
        why="eventType is for the narrow kind, such as a trap check or a road survey.",
        remedy="Move it to eventCategory and name the narrow kind, or leave eventType empty.",
        source=f"{TERMS}, definitions of eventType and eventCategory",
    ),
    DWC + "eventType",
)
def event_type_check(text: str) -> str:
    """Event types are narrow."""
    return "is a broad category" if text in EVENT_CATEGORIES else ""


NOT_CONTROLLED = declare(
    Rule(
        id="word-is-not-in-its-controlled-vocabulary",
        severity=Severity.WARNING,
        what="establishmentMeans, degreeOfEstablishment or pathway holds a string that is not in its vocabulary.",
        why="Readers that go by the vocabulary do not know the word; words of other lists mean other things.",
        remedy="Write the controlled string, such as native or introduced, or leave it empty.",
        source=f"{TERMS}, comments of the terms: recommended best practice is to use controlled value strings; the "
        "term allows for any string literal value",
    )
)


def controlled_check(name: str) -> ValueCheck:
    """Strings of a term are those of its vocabulary."""

    def judge(text: str) -> str:
        return "" if text in word_list(name).terms else f"is no string of the vocabulary for {name}"

    return ValueCheck(NOT_CONTROLLED, (DWC + name,), judge)


@on_values(
    Rule(
        id="occurrence-status-is-another-word",
        severity=Severity.WARNING,
        what="occurrenceStatus is neither of the edition of 2026-05-26 (detected, notDetected) nor of those before "
        "(present, absent).",
        why="A reader that does not know the word may take an empty check for a detection.",
        remedy="Write present or absent, or detected or notDetected, the same pair throughout.",
        source=f"{TERMS}, comment of occurrenceStatus (recommended; present and absent: editions before)",
    ),
    DWC + "occurrenceStatus",
)
def status_check(text: str) -> str:
    """Statuses are of one of the two editions, as written."""
    return "" if text in ("present", "absent", "detected", "notDetected") else (
        "is written otherwise than in either edition" if read_status(text) else "is a word of neither edition"
    )  # fmt: skip


@on_every(
    Rule(
        id="text-stands-in-a-term-for-identifiers",
        severity=Severity.ERROR,
        what="A term of the IRI namespaces of Darwin Core or the Humboldt Extension holds no IRI.",
        why="These terms take identifiers only; programs that link data follow them.",
        remedy="Give the IRI, or use the term of the same name for texts.",
        source=f"{TERMS} and Darwin Core RDF guide 1.4.3; Taxon Completeness Reported vocabulary, section 2 (MUST)",
    ),
    is_iri_term,
)
def iri_check(text: str) -> str:
    """Identifiers are identifiers."""
    return "" if text.startswith(IRI) and " " not in text else "is no IRI"


WORD_CHECKS: tuple[ValueCheck | EachTermCheck, ...] = (
    *type_check, basis_check, broad_basis_check, category_check, event_type_check,
    *map(controlled_check, ("establishmentMeans", "degreeOfEstablishment", "pathway")), status_check, iri_check,
)  # fmt: skip
