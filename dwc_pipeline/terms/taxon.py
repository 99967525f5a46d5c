"""One taxon of a checklist, and the ways in which the checklist names it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

#: from narrow to wide; ranks in the order of the zoological code, Darwin Core spells them in small letters.
RANKS = (
    "form", "variety", "subspecies", "species", "subgenus", "genus", "subtribe", "tribe", "subfamily", "family",
    "superfamily", "parvorder", "infraorder", "suborder", "order", "superorder", "infraclass", "subclass", "class",
    "superclass", "subphylum", "phylum", "subkingdom", "kingdom",
)  # fmt: skip
RANK_ORDER = {rank: place for place, rank in enumerate(RANKS)}
#: ranks that have a column of their own in a Darwin Core Taxon table.
COLUMN_RANKS = ("genus", "family", "order", "class", "phylum", "kingdom")
SPECIES_RANKS = ("species", "subspecies", "variety", "form")
NO_FACTS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, eq=False)
class Taxon:
    """An accepted taxon; one object a taxon of a checklist.

    name: without authorship. ancestors: rank -> name, narrow to wide, the taxon itself not among them.
    sensitive: the checklist's category text, "" where the taxon is not sensitive. target: None where the
    checklist does not say. facts: our own columns (sizes, months) as text. is_listed: False for a genus, family
    and so on that is known only from the columns of its members.
    """

    name: str
    rank: str
    authorship: str = ""
    taxon_id: str = ""
    according_to: str = ""
    ancestors: Mapping[str, str] = field(default_factory=lambda: NO_FACTS)
    common_names: tuple[str, ...] = ()
    is_venomous: bool = False
    sensitive: str = ""
    target: bool | None = None
    facts: Mapping[str, str] = field(default_factory=lambda: NO_FACTS)
    is_listed: bool = True

    @property
    def is_species(self) -> bool:
        """True for a species or anything below it."""
        return self.rank in SPECIES_RANKS

    @property
    def full_name(self) -> str:
        """Name with authorship."""
        return f"{self.name} {self.authorship}".strip()

    @property
    def species(self) -> str:
        """The species that the taxon is or belongs to; "" for a genus and above."""
        return " ".join(self.name.split()[:2]) if self.is_species else ""

    @property
    def lineage(self) -> dict[str, str]:
        """Rank -> name, the taxon itself first, then its species, genus and so on up."""
        own = {self.rank: self.name}
        if self.is_species and self.rank != "species":
            own["species"] = self.species
        return own | {rank: name for rank, name in self.ancestors.items() if rank not in own}

    def is_within(self, group: str) -> bool:
        """True if the taxon is the group or belongs to it, by the names of its lineage."""
        return group in self.lineage.values()

    def name_columns(self) -> dict[str, str]:
        """The Darwin Core terms that describe the taxon, only those that are known."""
        words = self.name.split() if self.is_species else []
        by_width = sorted(self.ancestors.items(), key=lambda item: -RANK_ORDER.get(item[0], 0))
        terms = {
            "scientificNameAuthorship": self.authorship,
            "taxonRank": self.rank,
            **{rank: self.lineage.get(rank, "") for rank in reversed(COLUMN_RANKS)},
            "higherClassification": " | ".join(name for _, name in by_width),
            "specificEpithet": words[1] if len(words) > 1 else "",
            "infraspecificEpithet": words[2] if len(words) > 2 else "",
            "vernacularName": self.common_names[0] if self.common_names else "",
            "nameAccordingTo": self.according_to,
            "taxonID": self.taxon_id,
        }
        return {term: value for term, value in terms.items() if value}


class NameUse(NamedTuple):
    """One scientific name as the checklist writes it, and the accepted taxon it stands for.

    regional: why the name stands for this taxon only in this region or in part; "" for any other name.
    """

    listed: str
    authorship: str
    taxon: Taxon
    is_synonym: bool = False
    regional: str = ""


class EnglishUse(NamedTuple):
    """One common name, whole, and its taxon; is_first for the taxon's first, that is its usual, common name."""

    listed: str
    taxon: Taxon
    is_first: bool


class CodeUse(NamedTuple):
    """One field code and its taxon.

    kind: "listed" by the checklist, "current" made from the accepted name, "old" made from an old combination of
    the same epithet, "lumped" made from the name of a taxon that the checklist takes into this one.
    name: the name that the code abbreviates; for a listed code the code as the checklist writes it.
    regional: as in NameUse.
    """

    taxon: Taxon
    kind: str
    name: str
    regional: str = ""
