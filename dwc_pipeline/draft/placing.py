"""Which column of a table feeds which field, for one kind of row, from headers, cells and each column's rivals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from scipy.optimize import linear_sum_assignment

from dwc_pipeline.draft.cell_evidence import Known, Share, cell_evidence
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.header_evidence import EXACT, SAME_WORDS, header_evidence, rival_words, words_of
from dwc_pipeline.draft.proposal import Confidence
from dwc_pipeline.normalise.units import find_unit, unit_in_header, unit_of_symbol
from dwc_pipeline.terms.sheet import SheetField, sheet_fields

#: headers at or above this are usual headers of the field
USUAL = 0.9
#: cells at or above this share speak for the field; below the second one they speak against it
CELLS_AGREE, CELLS_DOUBT = 0.85, 0.5
#: below this share the header is not even worth a suggestion
CELLS_REFUTE = 0.2
#: a header that only holds a known word needs this much, and cells that agree
HEADER_SPEAKS = 0.6
#: a mere hint is enough where cells nearly all agree and few other texts could be read so
HEADER_HINTS = 0.45
#: a free text has nothing but its header to be told by
NEARLY_SAYS = 0.7
#: readings of which each field reads its cells in its own way, and fields that do so alone
OF_THE_FIELD, OF_THEIR_OWN = ("position", "measure", "date_part"), ("recordNumber", "fate")
TELLING_READINGS = frozenset({"date", "time", "word", "name"})
#: fields that few other texts fit: cells alone are enough to suggest them, never to place them
TELLING_FIELDS = frozenset({"eventDate", "sex", "verbatimIdentification", "capture_status", "vitality"})
CELLS_ALONE = 0.95
#: in a table without any header these are placed by their cells
TOLD_BY_CELLS = frozenset({"eventDate", "sex", "verbatimIdentification"})
#: two fields for one column whose scores are nearer than this leave the column open
TOO_CLOSE = 0.03
LEAST_SCORE = 0.35
#: fields that two columns of one row may feed, and where the other one goes
FURTHER = {"mark": "second_mark"}
TAG_WORDS = frozenset({"pit", "tag", "chip"})
FEWEST_TO_FORGIVE = 4


class Fit(NamedTuple):
    """How well one column fits one field."""

    score: float
    header: float
    known: str
    cells: Share
    unit: str


@dataclass(frozen=True)
class Placed:
    """The field of one column, "" if none. runner_up: the next best field. refuted: what only the header says.

    note: what else stands against it.
    """

    column: Column
    field: str
    fit: Fit
    confidence: Confidence
    runner_up: str = ""
    refuted: str = ""
    note: str = ""


def field_of(kind: str, name: str) -> SheetField:
    """A field of a row of that kind; one of the visit, where a row of captures is a visit too."""
    own = sheet_fields(kind)
    return own[name] if name in own else sheet_fields("trap_log")[name]


def is_firm(one: Placed) -> bool:
    """True if a placing takes effect."""
    return bool(one.field) and one.confidence is not Confidence.UNSURE


class Evidence:
    """Fits of columns and fields, each worked out once."""

    def __init__(self, known: Known, has_headers: bool = True) -> None:
        self.known, self.has_headers = known, has_headers
        self._cells: dict[tuple[int, str, str, str, str], Share] = {}

    def fit(self, column: Column, bare_header: str, field: SheetField, rivals: frozenset[str]) -> Fit:
        """How well a column fits a field. bare_header: the last row of a header of several rows, "" else."""
        spoken = header_evidence(column.header, field, rivals)
        if bare_header:
            bare = header_evidence(bare_header, field, rivals)
            spoken = max(spoken, bare._replace(score=bare.score * 0.97))
        kind = unit_of_symbol(field.unit).kind if field.unit else ""
        unit = unit_of_header(column.header, bare_header, field, kind) if kind else ""
        if spoken.score < 0.3 and field.name not in TELLING_FIELDS:
            return Fit(0.0, spoken.score, spoken.known, Share(None), unit)
        cells = self._share(column, field, unit)
        if not self.has_headers and field.name in TOLD_BY_CELLS and speaks_alone(cells):
            return Fit(0.6 * HEADER_SPEAKS + 0.4 * (cells.share or 0.0), HEADER_SPEAKS, "", cells, unit)
        return Fit(score_of(spoken.score, cells, field), spoken.score, spoken.known, cells, unit)

    def _share(self, column: Column, field: SheetField, unit: str) -> Share:
        particular = field.name if field.reading in OF_THE_FIELD or field.name in OF_THEIR_OWN else field.vocabulary
        key = (id(column), field.reading, particular, unit, field.unit)
        if key not in self._cells:
            self._cells[key] = cell_evidence(column, field, self.known, unit)
        return self._cells[key]


def speaks_alone(cells: Share) -> bool:
    """True if nearly all cells, and more than one kind of them, can be read as the field."""
    return cells.share is not None and cells.share >= CELLS_ALONE and cells.distinct >= 2


def unit_of_header(header: str, bare_header: str, field: SheetField, kind: str) -> str:
    """The unit that a header names: as the pipeline reads it, or its last word if the rest names the field."""
    for text in (header, bare_header):
        unit = unit_in_header(text, kind)
        words = words_of(text)
        if not unit and len(words) > 1 and header_evidence(" ".join(words[:-1]), field).score >= USUAL:
            last = find_unit(words[-1], kind)
            unit = last.symbol if last is not None else ""
        if unit:
            return unit
    return ""


def score_of(header: float, cells: Share, field: SheetField) -> float:
    """One number for a header and its cells; cells that speak against a field keep it from being placed."""
    if cells.share is None:
        return 0.9 * header
    if header < 0.3:
        enough = speaks_alone(cells) and field.name in TELLING_FIELDS
        return 0.45 * cells.share if enough else 0.0
    score = 0.6 * header + 0.4 * cells.share
    return score if cells.share >= CELLS_DOUBT else 0.5 * score


def place_columns(
    kind: str,
    columns: Sequence[Column],
    bare_headers: Sequence[str],
    evidence: Evidence,
    of_the_log: Sequence[str] = (),
) -> tuple[Placed, ...]:
    """The best field for each column, every field at most once, for rows of that kind.

    of_the_log: fields of a trap log that such rows may have too.
    """
    fields = [*sheet_fields(kind).values(), *(sheet_fields("trap_log")[name] for name in of_the_log)]
    fits = [
        [evidence.fit(column, bare, field, rival_words(kind, field.name)) for field in fields]
        for column, bare in zip(columns, bare_headers, strict=True)
    ]
    scores = np.array([[fit.score for fit in row] for row in fits]).reshape(len(columns), len(fields))
    chosen = dict(zip(*linear_sum_assignment(-(scores**2)), strict=True))
    placed = []
    for at, column in enumerate(columns):
        best = chosen.get(at)
        share = None if best is None else fits[at][best].cells.share
        is_refuted = share is not None and share < CELLS_REFUTE
        if best is None or scores[at, best] < LEAST_SCORE or is_refuted:
            further = _further(column, fits[at], fields, {fields[number].name for number in chosen.values()})
            placed.append(further or _left_over(column, fits[at], fields))
            continue
        others = [number for number in np.argsort(-scores[at]) if number != best and number not in chosen.values()]
        rival = others[0] if others and scores[at, others[0]] >= LEAST_SCORE else None
        is_close = rival is not None and scores[at, best] - scores[at, rival] < TOO_CLOSE
        if rival is not None and fits[at][best].header >= EXACT and fits[at][rival].header < SAME_WORDS:
            is_close = False
        confidence = confidence_of(fits[at][best], fields[best], column.filled)
        if is_close or names_another(fits[at], best):
            confidence = Confidence.UNSURE
        if confidence is Confidence.UNSURE:
            further = _further(column, fits[at], fields, {fields[number].name for number in chosen.values()})
            if further is not None:
                placed.append(further)
                continue
        runner_up = fields[rival].name if rival is not None else ""
        placed.append(Placed(column, fields[best].name, fits[at][best], confidence, runner_up))
    return with_tags_first(placed)


def with_tags_first(placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """Of two marks the one called a tag is the first: tags are unique, clips are used again."""
    by_field = {one.field: one for one in placed}
    first, second = by_field.get("mark"), by_field.get("second_mark")
    if first is None or second is None or second.confidence is Confidence.UNSURE:
        return tuple(placed)
    of_first, of_second = (TAG_WORDS & set(words_of(one.column.header)) for one in (first, second))
    if of_first or not of_second:
        return tuple(placed)
    other = {"mark": "second_mark", "second_mark": "mark"}
    return tuple(replace(one, field=other.get(one.field, one.field)) for one in placed)


def names_another(fits: Sequence[Fit], best: int) -> bool:
    """True if the header is just that of another field, which the cells refute: what is meant is then unknown."""
    if fits[best].header >= EXACT:
        return False
    return any(fit.header >= EXACT and fit.cells.share is not None and fit.cells.share < CELLS_REFUTE for fit in fits)


def _further(column: Column, fits: Sequence[Fit], fields: Sequence[SheetField], taken: set[str]) -> Placed | None:
    """A second column of a field that can have two, such as a toe clip beside a PIT tag; None for all others."""
    names = [field.name for field in fields]
    for name, second in FURTHER.items():
        if name not in names or name not in taken:
            continue
        fit = fits[names.index(name)]
        confidence = confidence_of(fit, fields[names.index(name)], column.filled)
        if confidence is not Confidence.UNSURE:
            return Placed(column, second, fit, confidence)
    return None


def _left_over(column: Column, fits: Sequence[Fit], fields: Sequence[SheetField]) -> Placed:
    """A column without a field; the field whose header came nearest is kept as a suggestion."""
    best = max(range(len(fits)), key=lambda number: (fits[number].score, fits[number].header))
    fit = fits[best]
    is_refuted = fit.cells.share is not None and fit.cells.share < CELLS_REFUTE
    name = fields[best].name if fit.score > 0 and not is_refuted else ""
    return Placed(column, name, fit, Confidence.UNSURE, refuted=fields[best].name if is_refuted and not name else "")


def confidence_of(fit: Fit, field: SheetField, filled: int) -> Confidence:
    """How sure a placing is. filled: cells that are not blank; a single one that does not fit is forgiven."""
    share = fit.cells.share
    if share is not None and filled >= FEWEST_TO_FORGIVE and (1 - share) * filled < 1.5:
        share = 1.0
    if not fit.cells.words and share is None and fit.header >= USUAL:
        return Confidence.CERTAIN
    if share is None:
        return Confidence.LIKELY if fit.header >= NEARLY_SAYS else Confidence.UNSURE
    if fit.header >= USUAL and share >= CELLS_AGREE:
        return Confidence.CERTAIN
    if fit.header >= USUAL and share >= CELLS_DOUBT:
        return Confidence.LIKELY
    if fit.header >= HEADER_SPEAKS and share >= CELLS_AGREE:
        return Confidence.LIKELY
    if fit.header >= HEADER_HINTS and share >= CELLS_ALONE and field.reading in TELLING_READINGS:
        return Confidence.LIKELY
    return Confidence.UNSURE
