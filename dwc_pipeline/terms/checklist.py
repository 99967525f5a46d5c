"""The person's checklist of names, indexed once: accepted names, synonyms, common names and field codes.

The checklist rules; nothing is known of taxonomy beyond it. Source of the columns: Darwin Core, class Taxon.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

import pandas as pd

from dwc_pipeline.terms.checklist_index import accepted_taxa, code_uses, english_uses, grouped, name_uses
from dwc_pipeline.terms.checklist_rows import FACT_COLUMNS, checklist_rows
from dwc_pipeline.terms.name_keys import scientific_key
from dwc_pipeline.terms.taxon import RANK_ORDER, CodeUse, EnglishUse, NameUse, Taxon


@dataclass(frozen=True, eq=False)
class Checklist:
    """An immutable index of names.

    according_to: what nameAccordingTo says where the rows do not. taxa: accepted name -> taxon, with the genera,
    families and so on of the columns. names: key of a scientific name -> its uses. english: key of a common name
    -> its uses. codes: field code in capitals -> its uses. members: name of a genus or above -> the accepted
    taxa listed in it. mistakes: what is wrong in the checklist, one sentence each.
    """

    according_to: str = ""
    taxa: Mapping[str, Taxon] = field(default_factory=dict)
    names: Mapping[str, tuple[NameUse, ...]] = field(default_factory=dict)
    english: Mapping[str, tuple[EnglishUse, ...]] = field(default_factory=dict)
    codes: Mapping[str, tuple[CodeUse, ...]] = field(default_factory=dict)
    members: Mapping[str, tuple[Taxon, ...]] = field(default_factory=dict)
    mistakes: tuple[str, ...] = ()

    @classmethod
    def from_frame(cls, frame: pd.DataFrame, according_to: str = "") -> Checklist:
        """Index a Darwin Core Taxon table; see `checklist_rows` for the columns. Nothing is raised: mistakes
        are listed, and a row that cannot be used is left out."""
        rows, mistakes = checklist_rows(frame)
        taxa, own = accepted_taxa(rows, according_to, mistakes)
        uses = name_uses(rows, own, taxa, mistakes)
        listed = list(own.values())
        return cls(
            according_to=according_to,
            taxa=MappingProxyType(taxa),
            names=grouped((scientific_key(use.listed), use) for use in uses),
            english=grouped(english_uses(listed)),
            codes=grouped(code_uses(rows, own, uses)),
            members=grouped((name, taxon) for taxon in listed for name in taxon.ancestors.values()),
            mistakes=tuple(mistakes),
        )

    def taxon(self, name: str) -> Taxon | None:
        """The taxon of an accepted name or of a genus, family and so on above one; None if unknown."""
        return self.taxa.get(name)

    def accepted(self, name: str) -> Taxon | None:
        """The taxon that an accepted name or an unconditional synonym stands for, the name written in full."""
        uses = self.names.get(scientific_key(name), ())
        taxa = {use.taxon.name: use.taxon for use in uses if not use.regional}
        return next(iter(taxa.values())) if len(taxa) == 1 else self.taxa.get(name)

    def narrowest_common(self, taxa: Iterable[Taxon]) -> Taxon | None:
        """The taxon of lowest rank that holds them all; None if nothing does."""
        lineages = [taxon.lineage for taxon in taxa]
        if not lineages:
            return None
        shared = set.intersection(*(set(lineage.items()) for lineage in lineages))
        ranked = sorted(shared, key=lambda item: RANK_ORDER.get(item[0], len(RANK_ORDER)))
        return next((self.taxa[name] for _, name in ranked if name in self.taxa), None)

    @cached_property
    def old_genera(self) -> Mapping[str, tuple[Taxon, ...]]:
        """Genera that only synonyms stand in, in small letters, and the taxa those synonyms stand for."""
        current = {name.lower() for name in self.taxa}
        return grouped(
            (genus, use.taxon)
            for use in self.uses
            if use.is_synonym and (genus := use.listed.split()[0].lower()) not in current
        )

    @cached_property
    def uses(self) -> tuple[NameUse, ...]:
        """Every scientific name of the checklist."""
        return tuple(use for uses in self.names.values() for use in uses)

    @cached_property
    def with_listed_code(self) -> frozenset[Taxon]:
        """Taxa for which the checklist lists a code."""
        return frozenset(use.taxon for uses in self.codes.values() for use in uses if use.kind == "listed")

    @cached_property
    def code_collisions(self) -> Mapping[str, tuple[str, ...]]:
        """Codes that stand for more than one taxon, with the names; information, not a mistake."""
        shared = {code: tuple(dict.fromkeys(use.taxon.name for use in uses)) for code, uses in self.codes.items()}
        return MappingProxyType({code: names for code, names in shared.items() if len(names) > 1})

    def facts(self) -> pd.DataFrame:
        """One line for each listed accepted taxon: index scientificName; sizes mm and masses g as numbers (NaN
        where unknown), sizeMeasure and months as text, venomous as bool, sensitive as text."""
        listed = [taxon for taxon in self.taxa.values() if taxon.is_listed]
        table = pd.DataFrame(
            [{column: taxon.facts.get(column, "") for column in FACT_COLUMNS} for taxon in listed],
            index=pd.Index([taxon.name for taxon in listed], name="scientificName", dtype=object),
            columns=list(FACT_COLUMNS),
        )
        for column in FACT_COLUMNS:
            if column not in ("sizeMeasure", "months"):
                table[column] = pd.to_numeric(table[column], errors="coerce").astype(float)
        table["venomous"] = [taxon.is_venomous for taxon in listed]
        table["sensitive"] = [taxon.sensitive for taxon in listed]
        return table
