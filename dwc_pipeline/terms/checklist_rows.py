"""The rows of a Darwin Core Taxon table as typed values, with the mistakes found in them.

Besides the Darwin Core terms a row may have columns of ours: `synonyms` and `regionalSynonyms` (names separated
by "|" or ";"), `regionalRule` (on a synonym's row: why it stands for the accepted name only here), `fieldCodes`
(separated by "|"), `venomous`, `sensitive`, `target`, and the facts in FACT_COLUMNS.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.terms.name_keys import split_authorship
from dwc_pipeline.terms.taxon import RANK_ORDER

#: our own columns that later checks use. Lengths mm, masses g, months such as "4-10".
FACT_COLUMNS = ("sizeMeasure", "adultMinMm", "adultMaxMm", "recordMm", "massMinG", "massMaxG", "months")
NAME_COLUMNS = (
    "taxonID", "scientificName", "scientificNameAuthorship", "taxonRank", "taxonomicStatus", "acceptedNameUsageID",
    "acceptedNameUsage", "parentNameUsageID", "parentNameUsage", "kingdom", "phylum", "class", "order", "suborder",
    "infraorder", "superfamily", "family", "subfamily", "genus", "specificEpithet", "infraspecificEpithet",
    "vernacularName", "nameAccordingTo",
)  # fmt: skip
OUR_COLUMNS = ("synonyms", "regionalSynonyms", "regionalRule", "fieldCodes", "venomous", "sensitive", "target")
HIGHER_COLUMNS = (
    "genus", "subfamily", "family", "superfamily", "infraorder", "suborder", "order", "class", "phylum", "kingdom",
)  # fmt: skip
TRUE_WORDS, FALSE_WORDS = {"true", "yes", "y", "1", "x", "t"}, {"false", "no", "n", "0", "f"}
SIGNS_OF_DOUBT = frozenset(("cf", "cfr", "aff", "nr", "sp", "spp", "indet"))
#: a name that stands for the accepted one only in part is never applied without a question.
PARTIAL_STATUS = re.compile(r"pro parte|partial|misapplied|regional|ambiguous", re.IGNORECASE)
NOT_ACCEPTED = re.compile(r"synonym|invalid|not accepted|unaccepted|misapplied|junior", re.IGNORECASE)


class ChecklistRow(NamedTuple):
    """One row. number: row of the file, the header being row 1. accepted: name or taxonID it refers to, or ""."""

    number: int
    taxon_id: str
    name: str
    authorship: str
    rank: str
    is_synonym: bool
    regional: str
    accepted: str
    parent: str
    higher: dict[str, str]
    common_names: tuple[str, ...]
    according_to: str
    synonyms: tuple[str, ...]
    regional_synonyms: tuple[str, ...]
    codes: tuple[str, ...]
    is_venomous: bool
    sensitive: str
    target: bool | None
    facts: dict[str, str]


def checklist_rows(frame: pd.DataFrame) -> tuple[list[ChecklistRow], list[str]]:
    """The rows that name a taxon, and what is wrong with the others, in words."""
    table = _named_columns(frame)
    mistakes: list[str] = []
    records = table.to_dict("records")
    blank_target = _blank_target({_truth(record["target"]) for record in records})
    rows = []
    for number, record in enumerate(records, start=2):
        row = _row(number, {str(column): str(value) for column, value in record.items()}, blank_target, mistakes)
        if row is not None:
            rows.append(row)
    return rows, mistakes


def _named_columns(frame: pd.DataFrame) -> pd.DataFrame:
    """Every known column as text under its exact name, whatever case or prefix the header has."""
    bare = {re.sub(r"^.*[/:#]", "", str(column)).strip().lower(): column for column in frame.columns}
    columns = {}
    for name in (*NAME_COLUMNS, *OUR_COLUMNS, *FACT_COLUMNS):
        if name.lower() in bare:
            texts = frame[bare[name.lower()]].fillna("").astype(str).str.strip()
            columns[name] = texts if name == "fieldCodes" else texts.replace("NA", "")  # NA is a code of some sheets
        else:
            columns[name] = pd.Series("", index=frame.index, dtype=object)
    return pd.DataFrame(columns, index=frame.index)


def _row(number: int, cell: dict[str, str], blank_target: bool | None, mistakes: list[str]) -> ChecklistRow | None:
    name, authorship = _written_name(cell)
    if not name:
        if any(cell.values()):
            mistakes.append(f"row {number}: no scientificName; the row is left out. Fill it or delete the row.")
        return None
    if SIGNS_OF_DOUBT & {word.strip(".?").lower() for word in name.split()[1:]} or "?" in name:
        mistakes.append(f"row {number}: {name} carries a sign of doubt and is no name; the row is left out.")
        return None
    accepted = cell["acceptedNameUsageID"] or split_authorship(cell["acceptedNameUsage"])[0]
    refers_to_itself = accepted in ("", name, cell["taxonID"])
    is_synonym = bool(NOT_ACCEPTED.search(cell["taxonomicStatus"])) or not refers_to_itself
    target = _truth(cell["target"])
    mistakes += [
        f'row {number}, {name}: {column} is "{cell[column]}". Write true or false.'
        for column in ("venomous", "target")
        if cell[column] and _truth(cell[column]) is None
    ]
    partial = cell["taxonomicStatus"] if PARTIAL_STATUS.search(cell["taxonomicStatus"]) else ""
    return ChecklistRow(
        number=number,
        taxon_id=cell["taxonID"],
        name=name,
        authorship=authorship,
        rank=_rank(cell["taxonRank"], name),
        is_synonym=is_synonym,
        regional=cell["regionalRule"] or partial,
        accepted="" if refers_to_itself else accepted,
        parent=cell["parentNameUsageID"] or split_authorship(cell["parentNameUsage"])[0],
        higher={rank: _capital(cell[rank]) for rank in HIGHER_COLUMNS if cell[rank] and cell[rank] != name},
        common_names=_parts(cell["vernacularName"]),
        according_to=cell["nameAccordingTo"],
        synonyms=_parts(cell["synonyms"]),
        regional_synonyms=_parts(cell["regionalSynonyms"]),
        codes=_parts(cell["fieldCodes"]),
        is_venomous=_truth(cell["venomous"]) is True,
        sensitive="" if _truth(cell["sensitive"]) is False or cell["sensitive"] == "none" else cell["sensitive"],
        target=blank_target if target is None else target,
        facts={column: cell[column] for column in FACT_COLUMNS if cell[column]},
    )


def _written_name(cell: dict[str, str]) -> tuple[str, str]:
    """Name without authorship, and authorship; built from the epithet columns where scientificName is blank."""
    written, authorship = cell["scientificName"].replace("_", " "), cell["scientificNameAuthorship"]
    if not written:
        parts = (cell["genus"], cell["specificEpithet"], cell["infraspecificEpithet"])
        return " ".join(part for part in parts if part), authorship
    if authorship and written.endswith(authorship):
        written = written.removesuffix(authorship)
    name, author_in_name = split_authorship(written)
    return name, authorship or author_in_name


def _rank(typed: str, name: str) -> str:
    rank = typed.lower()
    if rank in RANK_ORDER:
        return rank
    words = len(name.split())
    if words > 1:
        return "species" if words == 2 else "subspecies"
    return rank or ("family" if name.endswith("idae") else "subfamily" if name.endswith("inae") else "")


def _blank_target(answers: set[bool | None]) -> bool | None:
    """What a blank target means: true where the column only marks the exceptions, false where it marks targets."""
    if None not in answers or answers == {None}:
        return None
    return answers != {None, True}


def _truth(text: str) -> bool | None:
    word = text.lower()
    return True if word in TRUE_WORDS else False if word in FALSE_WORDS else None


def _parts(text: str) -> tuple[str, ...]:
    return tuple(" ".join(part.split()) for part in re.split(r"[|;]", text) if part.strip())


def _capital(name: str) -> str:
    return name.capitalize() if name.isupper() else name
