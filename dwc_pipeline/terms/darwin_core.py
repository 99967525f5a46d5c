"""The terms that archives use: name, identifier, class, and what became of a deprecated one.

Source: Darwin Core and Humboldt Extension lists of terms, 2026-05-26; the data are schemas/darwin_core_terms.csv.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

from dwc_pipeline.terms.schema import schemas_folder

DWC = "http://rs.tdwg.org/dwc/terms/"
DCTERMS = "http://purl.org/dc/terms/"
ECO = "http://rs.tdwg.org/eco/terms/"
OBIS = "http://rs.iobis.org/obis/terms/"
#: where a name that is in no list is certainly a slip of the pen
CLOSED_NAMESPACES = (DWC, ECO)
#: which term identifies the rows of a type, in the order in which a core is chosen
IDENTIFIERS = {"Event": "eventID", "Taxon": "taxonID", "Occurrence": "occurrenceID"}


@dataclass(frozen=True)
class Term:
    """One term. kind: class or property. organised_in: class that a property belongs to, "" for record-level terms.

    replaced_by: identifier of the term to use instead of a deprecated one, where the list names it.
    """

    name: str
    iri: str
    kind: str
    organised_in: str
    is_deprecated: bool
    replaced_by: str


@cache
def all_terms() -> dict[str, Term]:
    """Every term by its identifier."""
    path = schemas_folder() / "darwin_core_terms.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        return {
            row["iri"]: Term(
                row["term"],
                row["iri"],
                row["kind"],
                row["class"],
                row["standing"] == "deprecated",
                row["replaced_by"],
            )
            for row in rows
        }


@cache
def _current_by_name() -> dict[str, Term]:
    """Current terms by name; where two lists share a name, the Darwin Core term, then the dcterms one."""
    preferred = (DWC, DCTERMS, ECO, OBIS)
    ranked = sorted(
        (term for term in all_terms().values() if not term.is_deprecated),
        key=lambda term: next((rank for rank, base in enumerate(preferred) if term.iri == base + term.name), 9),
    )
    found: dict[str, Term] = {}
    for term in ranked:
        found.setdefault(term.name, term)
    return found


def term_by_name(name: str) -> Term | None:
    """The current term of that name, or None.

    >>> term_by_name("eventDate").iri
    'http://rs.tdwg.org/dwc/terms/eventDate'
    """
    return _current_by_name().get(name)


def term_by_iri(iri: str) -> Term | None:
    """The term with that identifier, deprecated ones included, or None."""
    return all_terms().get(iri)


def identifier_term(row_type: str) -> str:
    """The term that identifies rows of a type, "" where none is known.

    >>> identifier_term("http://rs.tdwg.org/dwc/terms/Event")
    'http://rs.tdwg.org/dwc/terms/eventID'
    """
    name = IDENTIFIERS.get(row_type.removeprefix(DWC), "")
    return DWC + name if name else ""


def short_name(iri: str) -> str:
    """The last part of an identifier: what people call the term.

    >>> short_name("http://rs.tdwg.org/eco/terms/siteCount")
    'siteCount'
    """
    return iri.rstrip("/#").replace("#", "/").rsplit("/", 1)[-1]
