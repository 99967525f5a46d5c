"""The forms of a scientific name against the checklist: in full, abbreviated, open, doubted, with subspecies."""

from __future__ import annotations

import re
from dataclasses import replace

from rapidfuzz.distance import OSA

from dwc_pipeline.core.verdict import Flag, Verdict
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_authorship import authorship_flags, is_authorship_of
from dwc_pipeline.normalise.name_grammar import ParsedName, parse_name
from dwc_pipeline.normalise.name_match import Match, Outcome, distinct_names, question, widening
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import epithet_key, plain_letters, scientific_key
from dwc_pipeline.terms.taxon import NameUse

#: a subspecies whose name differs by no more than one letter in so many from a species may be that species.
LETTERS_PER_EDIT = 3
#: a genus cut short has no more letters than this.
LONGEST_SHORT_GENUS = 5
#: a name with both words cut short has at least so many letters of each; "obs" may stand for observed.
SHORTEST_CUT_GENUS, SHORTEST_CUT_EPITHET = 3, 4
#: endings of Latin epithets; a word such as "pond" after a name is no subspecies.
LOOKS_LATIN = re.compile(r"(?:us|a|um|is|e|i|ae|er|or|ns|x|es|os|on|as)$")


def read_scientific(text: str, checklist: Checklist) -> Outcome:
    """The first way to read the text as a scientific name that the checklist knows."""
    readings = parse_name(text)
    for parsed in readings:
        # "Crotalus Viridis Concolor Woodbury, 1929": a subspecies must not pass for part of an author's name
        is_fullest = parsed.infra or not any(other.infra for other in readings)
        is_author_known = is_fullest and bool(parsed.year) and bool(parsed.epithet)
        outcome = _parsed(parsed, checklist, any_author=is_author_known)
        if outcome is not None:
            return outcome
    return _without_full_stop(readings[0], checklist) if readings else None


def _without_full_stop(parsed: ParsedName, checklist: Checklist) -> Outcome:
    """ "Crot viridis": a genus cut short without its full stop; "Tham sirt": both words cut short."""
    if parsed.qualifier_on or parsed.authorship or not parsed.epithet or parsed.epithet_is_short:
        return None
    if not parsed.genus_is_short and len(parsed.genus) <= LONGEST_SHORT_GENUS:
        outcome = _abbreviated(replace(parsed, genus_is_short=True), checklist)
        if outcome is not None:
            return outcome
    if parsed.infra or len(parsed.genus) < SHORTEST_CUT_GENUS or len(parsed.epithet) < SHORTEST_CUT_EPITHET:
        return None
    return _abbreviated(replace(parsed, genus_is_short=True, epithet_is_short=True), checklist)


def _parsed(parsed: ParsedName, checklist: Checklist, *, any_author: bool = False) -> Outcome:
    if parsed.qualifier_on == "name":
        return _whole_name_doubted(parsed, checklist)
    if parsed.qualifier_on == "open":
        return _open(parsed, checklist)
    if parsed.qualifier_on == "epithet":
        return _epithet_doubted(parsed, checklist)
    if parsed.genus_is_short or parsed.epithet_is_short:
        return _abbreviated(parsed, checklist)
    outcome = name_in_full(parsed, checklist, any_author=any_author)
    if not isinstance(outcome, Match) or not parsed.qualifier:
        return outcome
    doubtful = parsed.qualifier_on != "open infraspecies"
    return outcome._replace(qualifier=parsed.qualifier, is_doubtful=doubtful)


def name_in_full(parsed: ParsedName, checklist: Checklist, *, any_author: bool = False) -> Outcome:
    """A name with its genus written out; its author must be the checklist's unless any author will do."""
    uses = checklist.names.get(scientific_key(parsed.name), ())
    if parsed.authorship and not any_author:
        uses = tuple(use for use in uses if is_authorship_of(parsed.authorship, _author_of(use)))
    if uses:
        return _of_uses(parsed, uses, checklist)
    return None if parsed.epithet or parsed.authorship else genus_or_above(parsed.genus, checklist)


def _author_of(use: NameUse) -> str:
    """The authorship of a name; an old combination of the same epithet has the author of the accepted name."""
    same_epithet = epithet_key(use.listed.split()[-1]) == epithet_key(use.taxon.name.split()[-1])
    return use.authorship or (use.taxon.authorship if same_epithet else "")


def _of_uses(parsed: ParsedName, uses: tuple[NameUse, ...], checklist: Checklist) -> Outcome:
    regional = [use for use in uses if use.regional]
    taxa = list(dict.fromkeys(use.taxon for use in uses))
    if regional:
        note = (
            f"{parsed.name} stands for {regional[0].taxon.name} only here ({regional[0].regional}); "
            "elsewhere it is a species of its own."
        )
        return question(rules.REGIONAL_SYNONYM, note, [*(taxon.name for taxon in taxa), parsed.name])
    if len(taxa) > 1:
        note = f"{parsed.name} stands for {' and for '.join(distinct_names(taxa))} in the checklist."
        return question(rules.TWO_READINGS, note, widening(taxa, checklist))
    typed = plain_letters(parsed.name).lower()
    use = next((use for use in uses if plain_letters(use.listed).lower() == typed), uses[0])
    return _match(parsed, use, typed == plain_letters(use.listed).lower())


def _match(parsed: ParsedName, use: NameUse, is_same: bool) -> Match:
    taxon = use.taxon
    if use.is_synonym:
        how, note = "synonym", f"{use.listed} is a synonym of {taxon.name} in the checklist."
    elif not is_same:
        how, note = "name-ending", f"{parsed.name} differs from {taxon.name} in its ending only."
    else:
        how, note = "name-in-usual-form", f"{taxon.name}, written without authorship and in the usual letters."
    return Match(
        taxon,
        how,
        note,
        listed=use.listed,
        listed_authorship=use.authorship,
        is_synonym=use.is_synonym and is_same,
        flags=authorship_flags(parsed, use),
        remarks=(f"typed as {parsed.name}, a synonym of {taxon.name}",) if use.is_synonym else (),
    )


def _abbreviated(parsed: ParsedName, checklist: Checklist) -> Outcome:
    """ "C. viridis", "Tham. radix", "P. c. sayi": only if one taxon of the checklist fits."""
    wanted = parsed.name.lower().split()
    uses = [use for use in checklist.uses if _fits(use.listed.lower().split(), wanted, parsed)]
    taxa = list(dict.fromkeys(use.taxon for use in uses))
    if not taxa:
        return None
    if len(taxa) > 1 or any(use.regional for use in uses):
        rule = rules.TWO_READINGS if len(taxa) > 1 else rules.REGIONAL_SYNONYM
        note = f"{_as_typed(parsed)} can be {' or '.join(dict.fromkeys(use.listed for use in uses))}."
        return question(rule, note, [taxon.name for taxon in taxa])
    note = f"{_as_typed(parsed)}: the only name of the checklist that fits is {uses[0].listed}."
    match = _match(replace(parsed, genus=uses[0].listed.split()[0]), uses[0], True)
    qualifier = parsed.qualifier if parsed.qualifier_on == "end" else ""
    return match._replace(how="abbreviated-genus", note=note, qualifier=qualifier, is_doubtful=bool(qualifier))


def _fits(words: list[str], wanted: list[str], parsed: ParsedName) -> bool:
    if len(words) != len(wanted) or len(words) < 2:
        return False
    if not (words[0].startswith(wanted[0]) if parsed.genus_is_short else words[0] == wanted[0]):
        return False
    last_ones = zip(words[2:], wanted[2:], strict=True)
    first = words[1].startswith(wanted[1]) if parsed.epithet_is_short else _same(words[1], wanted[1])
    return first and all(_same(ours, theirs) for ours, theirs in last_ones)


def _same(ours: str, theirs: str) -> bool:
    return epithet_key(ours) == epithet_key(theirs)


def _as_typed(parsed: ParsedName) -> str:
    words = parsed.name.split()
    shorts = (parsed.genus_is_short, parsed.epithet_is_short, False)
    return " ".join(f"{word}." if short else word for word, short in zip(words, shorts, strict=False))


def genus_or_above(name: str, checklist: Checklist) -> Outcome:
    """A genus, family and so on: current, or old with the present names of its species as readings."""
    taxon = checklist.taxon(name)
    if taxon is not None and not taxon.is_species:
        return Match(
            taxon, "name-in-usual-form", f"{name} is a {taxon.rank or 'taxon'} of the checklist.", listed=name
        )
    moved = checklist.old_genera.get(name.lower(), ())
    if not moved:
        return None
    genera = [
        checklist.taxa[genus] for genus in dict.fromkeys(taxon.lineage.get("genus", "") for taxon in moved) if genus
    ]
    note = f"{name} is an old genus; its species of the checklist now stand in {' or '.join(distinct_names(genera))}."
    return question(rules.TWO_READINGS, note, widening(genera, checklist))


def _open(parsed: ParsedName, checklist: Checklist) -> Outcome:
    """ "Thamnophis sp." """
    if parsed.genus_is_short:
        prefix = parsed.genus.lower()
        genera = [
            taxon
            for taxon in checklist.taxa.values()
            if taxon.rank == "genus" and taxon.name.lower().startswith(prefix)
        ]
        note = f"{parsed.genus}. {parsed.qualifier} can be {' or '.join(distinct_names(genera))}."
        return question(rules.TWO_READINGS, note, distinct_names(genera)) if genera else None
    outcome = genus_or_above(parsed.genus, checklist)
    if not isinstance(outcome, Match):
        return outcome
    note = f"Identified to {outcome.taxon.rank}: {outcome.taxon.name}."
    return outcome._replace(
        how="qualifier-split-off", note=note, qualifier=parsed.qualifier, is_doubtful="?" in parsed.qualifier
    )


def _epithet_doubted(parsed: ParsedName, checklist: Checklist) -> Outcome:
    """ "Thamnophis cf. radix": certain to the genus."""
    if parsed.genus_is_short:
        inner = _abbreviated(replace(parsed, qualifier="", qualifier_on=""), checklist)
        if not isinstance(inner, Match) or inner.is_synonym:
            return inner if isinstance(inner, Verdict) else None
        outcome = genus_or_above(inner.taxon.lineage.get("genus", ""), checklist)
    else:
        if parsed.qualifier.startswith(("near", "nr")) and not _is_known_epithet(parsed.epithet, checklist):
            return None
        outcome = genus_or_above(parsed.genus, checklist)
    if not isinstance(outcome, Match):
        return outcome
    note = f"Certain to {outcome.taxon.rank} only; '{parsed.qualifier}' is kept as the qualifier."
    return outcome._replace(how="qualifier-split-off", note=note, qualifier=parsed.qualifier, is_doubtful=True)


def _is_known_epithet(epithet: str, checklist: Checklist) -> bool:
    key = epithet_key(epithet)
    return any(key in name.split()[1:] for name in checklist.names)


def _whole_name_doubted(parsed: ParsedName, checklist: Checklist) -> Outcome:
    """ "cf. Thamnophis radix": no rank of it is certain."""
    inner = _parsed(replace(parsed, qualifier="", qualifier_on=""), checklist)
    if not isinstance(inner, Match):
        return inner
    taxon = inner.taxon
    wider = [taxon.ancestors[rank] for rank in taxon.ancestors if rank not in ("phylum", "kingdom")]
    note = f"'{parsed.qualifier}': the sign of doubt stands before the whole name."
    return question(rules.WHOLE_NAME_DOUBTFUL, note, [taxon.name, *wider])


def subspecies_left_out(text: str, checklist: Checklist) -> Outcome:
    """A subspecies that the checklist lacks, of a species that it has: the species, told to the person."""
    for parsed in parse_name(text):
        if (
            not parsed.infra
            or not LOOKS_LATIN.search(parsed.infra)
            or parsed.genus_is_short
            or parsed.epithet_is_short
        ):
            continue
        species = name_in_full(replace(parsed, infra="", authorship="", qualifier="", qualifier_on=""), checklist)
        if not isinstance(species, Match) or not species.taxon.is_species:
            return species if isinstance(species, Verdict) else None
        if epithet_key(species.taxon.name.split()[1]) != epithet_key(parsed.epithet):
            note = (
                f"{parsed.name} is not in the checklist; {species.listed} is taken into {species.taxon.name} there."
            )
            return question(rules.NOT_IN_CHECKLIST, note, [species.taxon.name])
        return _species_of(parsed, species, checklist)
    return None


def _species_of(parsed: ParsedName, species: Match, checklist: Checklist) -> Outcome:
    taxon = species.taxon
    key = epithet_key(parsed.infra)
    namesakes = [
        other
        for other in checklist.taxa.values()
        if other.rank == "species"
        and other is not taxon
        and OSA.distance(epithet_key(other.name.split()[-1]), key) <= len(key) // LETTERS_PER_EDIT
        and other.lineage.get("family") == taxon.lineage.get("family")
    ]
    if namesakes:
        note = (
            f"{parsed.name} is not in the checklist, but {namesakes[0].name} is: the subspecies may be that species."
        )
        return question(rules.NOT_IN_CHECKLIST, note, [*distinct_names(namesakes), taxon.name])
    note = f"The subspecies {parsed.infra} is not in the checklist; {taxon.name} was written."
    is_nominate = key == epithet_key(parsed.epithet)
    flags = () if is_nominate else (Flag(rules.SUBSPECIES_LEFT_OUT.id, note),)
    remark = f"typed as {parsed.name}"
    return species._replace(how="subspecies-left-out", note=note, flags=flags, remarks=(remark,))
