"""Facts that hold for every row of a table: cells over its header, the sheet's name, the file's name.

>>> labelled("Array A5"), labelled("Species: DM"), labelled("Typed in winter")
(('place', 'Array (.+)', 'A5'), ('verbatimIdentification', 'Species: *(.+)', 'DM'), None)
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import PurePosixPath
from typing import NamedTuple

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.draft.cell_evidence import Known, is_read
from dwc_pipeline.draft.header_evidence import SAME_WORDS, header_evidence
from dwc_pipeline.draft.look import SeenTable
from dwc_pipeline.draft.proposal import Confidence
from dwc_pipeline.normalise.place_name import judge_place
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.terms.sheet import sheet_fields

#: fields that a cell over a table may feed, the first that fits
FIELDS = ("place", "verbatimIdentification", "recordedBy", "eventDate", "month", "year", "trap", "run", "datum",
          "habitat", "locality")  # fmt: skip
YEAR = re.compile(r"(?<!\d)((?:19|20)\d{2})(?!\d)")
WITH_SIGN = re.compile(r"(?P<label>[^\W\d][^:=]{0,24}?)\s*(?P<sign>[:=])\s*(?P<value>\S.*)")
#: "Array A5": a word for a place and a code with a digit, nothing else
WITH_CODE = re.compile(r"(?P<label>[^\W\d]+)\s+(?P<value>(?:no\.? ?|#)?[A-Za-z]{0,3} ?-?\d{1,4}[A-Za-z]?)", re.I)


class Fact(NamedTuple):
    """A fact of one table. place: cell address, "sheet name" or "file name"."""

    place: str
    field: str
    pattern: str
    value: str
    confidence: Confidence
    why: str


def labelled(text: str, kind: str = "capture") -> tuple[str, str, str] | None:
    """Field, pattern and value of a text such as "Array A5" or "Species: DM"; None if it is none."""
    one_line = " ".join(text.split())
    found = WITH_SIGN.fullmatch(one_line) or WITH_CODE.fullmatch(one_line)
    if found is None:
        return None
    fields = sheet_fields(kind)
    known = [name for name in FIELDS if name in fields]
    scores = {name: header_evidence(found["label"], fields[name]).score for name in known}
    best = max(known, key=scores.__getitem__)
    if scores[best] < SAME_WORDS:
        return None
    has_sign = "sign" in found.groupdict()
    between = rf"{found['sign']} *" if has_sign else " "
    return best, rf"{re.escape(found['label'])}{between}(.+)", found["value"]


def facts_of(table: SeenTable, kind: str, fed: Sequence[str], known: Known) -> tuple[Fact, ...]:
    """The facts of one table for fields that no column feeds. fed: fields that a column feeds for certain."""
    facts: dict[str, Fact] = {}
    for address, text in table.above.items():
        found = labelled(text, kind)
        if found and _is_wanted(found[0], fed) and found[0] not in facts:
            field, pattern, value = found
            facts[field] = Fact(address, field, pattern, value, Confidence.CERTAIN, f'"{text}" stands over the table')
    sheet = table.raw.sheet
    if "place" in sheet_fields(kind) and "place" not in fed and "place" not in facts and known.places.names:
        verdict = judge_place(sheet, known.places)
        if sheet and is_read(verdict) and verdict.status is not Status.AMBIGUOUS:
            why = f'the sheet is called "{sheet}", a place of the site list'
            facts["place"] = Fact("sheet name", "place", "", sheet, Confidence.CERTAIN, why)
    if kind == "capture" and "verbatimIdentification" not in (*fed, *facts) and known.checklist.taxa and sheet:
        verdict = judge_name(sheet, known.checklist)
        if is_read(verdict) and verdict.value:
            why = f'the sheet is called "{sheet}", {verdict.value} of the checklist'
            facts["verbatimIdentification"] = Fact(
                "sheet name", "verbatimIdentification", "", sheet, Confidence.LIKELY, why
            )
    if _is_wanted("year", fed) and "year" not in facts:
        facts |= _year_of(table)
    return tuple(facts.values())


def _is_wanted(field: str, fed: Sequence[str]) -> bool:
    """True if a fact may feed the field: no column does, and a date comes either whole or in parts."""
    if field in ("month", "year"):
        return field not in fed and "eventDate" not in fed and bool({"day", "month"} & set(fed))
    if field == "eventDate":
        return not {"eventDate", "day", "month", "year"} & set(fed)
    return field not in fed


def _year_of(table: SeenTable) -> dict[str, Fact]:
    """The year that the sheet's or the file's name or a title gives, if they give only one."""
    told = {"sheet name": table.raw.sheet, "file name": PurePosixPath(table.file).stem, **table.above}
    years = {place: set(YEAR.findall(text)) for place, text in told.items()}
    if len(set().union(*years.values())) != 1:
        return {}
    place = next(place for place, found in years.items() if found)
    why = f'"{told[place]}" names the year'
    return {"year": Fact(place, "year", YEAR.pattern, years[place].pop(), Confidence.LIKELY, why)}
