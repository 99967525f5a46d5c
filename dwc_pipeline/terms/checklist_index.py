"""From the rows of a checklist to taxa, names, common names and codes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import TypeVar

from dwc_pipeline.terms.checklist_rows import ChecklistRow
from dwc_pipeline.terms.name_keys import (
    english_keys,
    epithet_key,
    field_codes_of,
    scientific_key,
    split_authorship,
)
from dwc_pipeline.terms.taxon import RANK_ORDER, CodeUse, EnglishUse, NameUse, Taxon

K = TypeVar("K", bound=Hashable)
V = TypeVar("V", bound=Hashable)
#: synonym of a synonym of ...; longer chains run in a circle.
LONGEST_CHAIN = 20


def grouped(pairs: Iterable[tuple[K, V]]) -> Mapping[K, tuple[V, ...]]:
    """Every distinct value under its key, in the order given."""
    groups: dict[K, dict[V, None]] = defaultdict(dict)
    for key, value in pairs:
        groups[key][value] = None
    return MappingProxyType({key: tuple(values) for key, values in groups.items()})


def accepted_taxa(
    rows: list[ChecklistRow], according_to: str, mistakes: list[str]
) -> tuple[dict[str, Taxon], dict[int, Taxon]]:
    """Taxa by name, those of the columns among them; and the taxon of each accepted row by its row number."""
    accepted = _without_duplicates([row for row in rows if not row.is_synonym], mistakes)
    ancestors = _ancestors(rows, accepted, mistakes)
    own = {row.number: _taxon(row, ancestors[row.number], according_to) for row in accepted}
    taxa: dict[str, Taxon] = {}
    for taxon in own.values():
        taxa.setdefault(taxon.name, taxon)
    for name, taxon in _taxa_of_columns(own.values(), according_to).items():
        taxa.setdefault(name, taxon)
    return taxa, own


def _without_duplicates(accepted: list[ChecklistRow], mistakes: list[str]) -> list[ChecklistRow]:
    """The first row of each accepted name; a second row in another family is another taxon of the same name."""
    seen: dict[tuple[str, str], ChecklistRow] = {}
    families: dict[str, int] = {}
    kept = []
    for row in accepted:
        place = (row.name, row.higher.get("family", "") + row.higher.get("kingdom", ""))
        if row.name in families:
            what = "the row is left out" if place in seen else "both are kept, so the name is asked"
            mistakes.append(f"row {row.number}: {row.name} is already accepted in row {families[row.name]}; {what}.")
        if place not in seen:
            kept.append(row)
        seen.setdefault(place, row)
        families.setdefault(row.name, row.number)
    return kept


def _ancestors(
    rows: list[ChecklistRow], accepted: list[ChecklistRow], mistakes: list[str]
) -> dict[int, dict[str, str]]:
    """Rank -> name for each accepted row, from its columns, its parents and what other rows say of those."""
    by_reference = {row.taxon_id: row for row in rows if row.taxon_id} | {row.name: row for row in reversed(accepted)}
    result = {}
    for row in accepted:
        found = dict(row.higher)
        if row.rank in ("species", "subspecies", "variety", "form"):
            found.setdefault("genus", row.name.split()[0])
        found.pop(row.rank, None)
        waiting, visited = [row.parent, *found.values()], {row.name, row.taxon_id}
        while waiting:
            reference = waiting.pop(0)
            parent = by_reference.get(reference)
            if parent is None or parent.name in visited:
                continue
            visited |= {parent.name}
            if parent.rank and parent.rank not in ("species", row.rank):
                found.setdefault(parent.rank, parent.name)
            for rank, name in parent.higher.items():
                found.setdefault(rank, name)
            waiting += [parent.parent, *parent.higher.values()]
        if row.parent and row.parent not in by_reference:
            mistakes.append(f'row {row.number}, {row.name}: its parent "{row.parent}" is not in the checklist.')
        own_place = RANK_ORDER.get(row.rank, -1)
        result[row.number] = {
            rank: name
            for rank, name in sorted(found.items(), key=lambda item: RANK_ORDER.get(item[0], len(RANK_ORDER)))
            if RANK_ORDER.get(rank, len(RANK_ORDER)) > own_place
        }
    return result


def _taxon(row: ChecklistRow, ancestors: dict[str, str], according_to: str) -> Taxon:
    return Taxon(
        name=row.name,
        rank=row.rank,
        authorship=row.authorship,
        taxon_id=row.taxon_id,
        according_to=row.according_to or according_to,
        ancestors=MappingProxyType(ancestors),
        common_names=row.common_names,
        is_venomous=row.is_venomous,
        sensitive=row.sensitive,
        target=row.target,
        facts=MappingProxyType(row.facts),
    )


def _taxa_of_columns(own: Iterable[Taxon], according_to: str) -> dict[str, Taxon]:
    """Genera, families and so on of the columns. Their ancestors are what all members share; target if any is."""
    members: dict[tuple[str, str], list[Taxon]] = defaultdict(list)
    for taxon in own:
        for rank, name in taxon.ancestors.items():
            members[rank, name].append(taxon)
    taxa: dict[str, Taxon] = {}
    for (rank, name), below in members.items():
        shared = set.intersection(*(set(taxon.ancestors.items()) for taxon in below))
        wider = {r: n for r, n in below[0].ancestors.items() if (r, n) in shared and r != rank}
        wider = {r: n for r, n in wider.items() if RANK_ORDER.get(r, 99) > RANK_ORDER.get(rank, 99)}
        targets = {taxon.target for taxon in below}
        taxa.setdefault(
            name,
            Taxon(
                name=name,
                rank=rank,
                according_to=below[0].according_to or according_to,
                ancestors=MappingProxyType(wider),
                target=True if True in targets else False if False in targets else None,
                is_listed=False,
            ),
        )
    return taxa


def name_uses(
    rows: list[ChecklistRow], own: dict[int, Taxon], taxa: dict[str, Taxon], mistakes: list[str]
) -> list[NameUse]:
    """Every scientific name: accepted ones first, then synonyms; a name that is accepted is no synonym besides."""
    uses = [NameUse(taxon.name, taxon.authorship, taxon) for taxon in own.values()]
    accepted_keys = {scientific_key(taxon.name): taxon for taxon in own.values()}
    for use in _synonyms(rows, own, mistakes):
        holder = accepted_keys.get(scientific_key(use.listed))
        if holder is None:
            uses.append(use)
        elif holder.name != use.taxon.name and use.listed == holder.name:
            mistakes.append(
                f"{use.listed} is an accepted name and also listed as a synonym of {use.taxon.name}; "
                "it is read as the accepted name."
            )
        elif holder.name == use.taxon.name:
            uses.append(use)
    uses += [NameUse(taxon.name, "", taxon) for taxon in taxa.values() if not taxon.is_listed]
    _report_shared_synonyms(uses, mistakes)
    return uses


def _synonyms(rows: list[ChecklistRow], own: dict[int, Taxon], mistakes: list[str]) -> Iterator[NameUse]:
    by_reference: dict[str, ChecklistRow] = {}
    for row in sorted(rows, key=lambda row: row.is_synonym):
        for reference in (row.taxon_id, row.name):
            if reference:
                by_reference.setdefault(reference, row)
    for row in rows:
        if row.is_synonym:
            holder = _end_of_chain(row, by_reference)
            if holder is None or holder.number not in own:
                mistakes.append(
                    f"row {row.number}: {row.name} is a synonym of "
                    f"{row.accepted or 'nothing'}, which is not an accepted name of the checklist."
                )
                continue
            yield NameUse(row.name, row.authorship, own[holder.number], True, row.regional)
        elif row.number in own:
            for written in row.synonyms:
                yield NameUse(*split_authorship(written), own[row.number], True)
            for written in row.regional_synonyms:
                yield NameUse(*split_authorship(written), own[row.number], True, row.regional or "by region")


def _end_of_chain(row: ChecklistRow, by_reference: dict[str, ChecklistRow]) -> ChecklistRow | None:
    at: ChecklistRow | None = row
    for _ in range(LONGEST_CHAIN):
        if at is None or not at.is_synonym:
            return at
        at = by_reference.get(at.accepted)
    return None


def _report_shared_synonyms(uses: list[NameUse], mistakes: list[str]) -> None:
    holders: dict[str, dict[str, None]] = defaultdict(dict)
    for use in uses:
        if use.is_synonym:
            holders[use.listed][use.taxon.name] = None
    for name, accepted in holders.items():
        if len(accepted) > 1:
            mistakes.append(f"{name} is listed as a synonym of {' and of '.join(accepted)}; it is asked each time.")


def english_uses(taxa: Iterable[Taxon]) -> Iterator[tuple[str, EnglishUse]]:
    """Every key of every common name."""
    for taxon in taxa:
        for place, name in enumerate(taxon.common_names):
            for key in sorted(english_keys(name)):
                yield key, EnglishUse(name, taxon, place == 0)


def code_uses(rows: list[ChecklistRow], own: dict[int, Taxon], uses: list[NameUse]) -> Iterator[tuple[str, CodeUse]]:
    """Codes that the checklist lists, and those made from accepted names and synonyms of species."""
    for row in rows:
        if row.number in own:
            for code in row.codes:
                yield code.upper(), CodeUse(own[row.number], "listed", code)
    for use in uses:
        codes = field_codes_of(use.listed) if use.taxon.is_species else None
        if codes is None or use.taxon.rank != "species":
            continue
        same_epithet = epithet_key(use.listed.split()[-1]) == epithet_key(use.taxon.name.split()[-1])
        kind = "current" if not use.is_synonym else "old" if same_epithet else "lumped"
        for code in codes:
            yield code, CodeUse(use.taxon, kind, use.listed, use.regional)
