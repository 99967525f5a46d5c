"""A reading of a name against the checklist, before it becomes a verdict."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

from dwc_pipeline.core.rule import Rule
from dwc_pipeline.core.verdict import NOTHING_ELSE, Flag, Verdict, ambiguous, unreadable
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import english_key
from dwc_pipeline.terms.taxon import Taxon

MOST_READINGS = 6
#: taxa wider than this hold nearly everything and are no useful reading of a choice between two names.
TOO_WIDE = ("class", "phylum", "kingdom")
#: letters and what common names are written with; "racer?" is not the name "racer".
IS_WORDS = re.compile(r"[^\W\d_][\w\s'’‘´`.-]*")
#: readings of a cell that holds NA or the like, beside the names of taxa.
NO_ANIMAL, MISSING = "no animal", "missing"


@dataclass(frozen=True)
class NameContext:
    """What the survey file says of names.

    na_means: what NA in a name column means: "", "missing", "no animal" (or "no animals"), "code".
    declared_words: spelling on the sheets -> name in the checklist. bycatch_groups: taxa outside the target scope.
    target_taxa: taxa of the target scope; where given, they go before the checklist's target column.
    keep_synonyms_as_typed: scientificName is the synonym, with acceptedNameUsage beside it.
    """

    na_means: str = ""
    declared_words: Mapping[str, str] = field(default_factory=lambda: NOTHING_ELSE)
    bycatch_groups: frozenset[str] = frozenset()
    target_taxa: frozenset[str] = frozenset()
    keep_synonyms_as_typed: bool = False

    @cached_property
    def declared(self) -> Mapping[str, str]:
        """Key of a declared spelling -> the name it stands for."""
        return MappingProxyType({declared_key(word): name for word, name in self.declared_words.items()})


def declared_key(word: str) -> str:
    """Key of a declared spelling; a sign such as "?" is part of it."""
    return english_key(word) if IS_WORDS.fullmatch(word.strip()) else word.strip().casefold()


class Match(NamedTuple):
    """One reading.

    how: name of the reading, used as the rule of the change. note: the evidence. listed: the scientific name of
    the checklist that was matched (the synonym where it is one), with its authorship. qualifier: sign of doubt as
    written to identificationQualifier. value: what scientificName becomes where it is not the taxon's name.
    """

    taxon: Taxon
    how: str
    note: str = ""
    listed: str = ""
    listed_authorship: str = ""
    is_synonym: bool = False
    qualifier: str = ""
    is_doubtful: bool = False
    value: str = ""
    flags: tuple[Flag, ...] = ()
    remarks: tuple[str, ...] = ()
    further: Mapping[str, str] = NOTHING_ELSE


Outcome = Match | Verdict | None


def question(rule: Rule, note: str, readings: Iterable[str] = ()) -> Verdict:
    """A name that a person must settle: ambiguous where there are readings, else unreadable."""
    offered = tuple(dict.fromkeys(reading for reading in readings if reading))[:MOST_READINGS]
    return ambiguous(rule.id, note, offered) if offered else unreadable(rule.id, note)


def widening(taxa: Iterable[Taxon], checklist: Checklist) -> list[str]:
    """The names of the taxa, and the narrowest taxon that holds them all unless it holds nearly everything."""
    several = list(taxa)
    common = checklist.narrowest_common(several)
    return [*(taxon.name for taxon in several), common.name if common and common.rank not in TOO_WIDE else ""]


def distinct_names(taxa: Iterable[Taxon]) -> list[str]:
    """The names of the taxa, each once."""
    return list(dict.fromkeys(taxon.name for taxon in taxa))
