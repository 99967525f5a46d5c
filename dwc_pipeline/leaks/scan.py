"""The proof of a public copy: its written bytes hold nothing that was withheld."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.leaks.disguises import readings
from dwc_pipeline.leaks.piece import Piece, Unreadable
from dwc_pipeline.leaks.pieces import pieces_of_folder
from dwc_pipeline.leaks.positions import PositionSearch
from dwc_pipeline.leaks.words import WordSearch
from dwc_pipeline.normalise.planar_text import is_land_survey
from dwc_pipeline.protect.withheld import Withheld

#: leaks named in a message; one is enough to refuse
MOST_SHOWN = 20
REMEDY = (
    "Take it out of the texts of the survey file ([dataset], [share.public]); if a word is an ordinary one, list it "
    "under share.public.allowed_words."
)
#: a link to a map, and three words or other addresses that stand for a place
_MAP_LINK = re.compile(r"\bgeo:|//[^\s/]*\bmaps?\b|//\S*/maps?\b|[?&](?:q|ll|mlat|mlon|lat|lon)=", re.IGNORECASE)
#: township and range, in more orders and words than the reader of places takes
_TOWNSHIP = re.compile(
    r"\bt(?:ownship|wp|wn)?[\s.]*\d{1,3}\W{0,2}(?:n|s|north|south)\b[^\d]{0,6}r(?:ange|ng|ge)?[\s.]*\d{1,3}\W{0,2}(?:e|w|east|west)\b"
    r"|\b\d{1,3}\s?[ns]\W{1,3}\d{1,3}\s?[ew]\W{1,4}s(?:ec|ect|ection)?\b",
    re.IGNORECASE,
)
_THREE_WORDS = re.compile(r"/{3}[a-z]+\.[a-z]+\.[a-z]+", re.IGNORECASE)


class Leak(NamedTuple):
    """One leak: where it stands and of what kind it is. What is secret is never repeated, words excepted."""

    where: str
    what: str


class LeakScan:
    """Looks for leaks of one set of secrets; made once, used for any number of packages.

    state_plane: code of the State Plane system that the survey uses, or "".
    """

    def __init__(self, withheld: Withheld, state_plane: str = "") -> None:
        self.words, self.positions = WordSearch(withheld), PositionSearch(withheld, state_plane)
        self.own = re.compile(withheld.own_identifier) if withheld.own_identifier else None

    def leaks_in(self, folder: Path) -> list[Leak]:
        """Every leak in the files of a folder (or in one file), in the order of the files."""
        known: dict[tuple[str, bool], list[str]] = {}
        found: dict[Leak, None] = {}
        for piece in pieces_of_folder(folder):
            if isinstance(piece, Unreadable):
                found[Leak(piece.where, piece.why)] = None
                continue
            if piece[1:] not in known:
                known[piece[1:]] = sorted({*self._kinds_of_readings(piece)})
            for kind in known[piece[1:]]:
                found[Leak(piece.where, kind)] = None
        return list(found)

    def _kinds_of_readings(self, piece: Piece) -> Iterator[str]:
        for reading in readings(self.own.sub(" ", piece.text) if self.own else piece.text):
            yield from self._kinds(Piece("", reading, piece.whole))

    def _kinds(self, piece: Piece) -> Iterator[str]:
        yield from self.words.found_in(piece.text)
        for form in self.positions.forms_found(piece.text, piece.whole):
            yield f"a position near a withheld place ({form})"
        if is_land_survey(piece.text) or _TOWNSHIP.search(piece.text):
            yield "a township and range"
        if _MAP_LINK.search(piece.text):
            yield "a link to a map"
        if _THREE_WORDS.search(piece.text):
            yield "an address made of three words"


def leaks_in(folder: Path, withheld: Withheld, state_plane: str = "") -> list[Leak]:
    """Every leak in the files of a folder or in one file; arguments as for LeakScan."""
    return LeakScan(withheld, state_plane).leaks_in(folder)


def refuse_leaks(folder: Path, withheld: Withheld, state_plane: str = "") -> None:
    """Nothing, if the folder gives nothing away.

    Raises OutputRefused with what was found and where; no coordinates are repeated.
    """
    found = leaks_in(folder, withheld, state_plane)
    if found:
        raise OutputRefused(refusal(found))


def refusal(found: Iterable[Leak]) -> str:
    """The message about leaks."""
    leaks = list(found)
    shown = [f"  {leak.where}: {leak.what}" for leak in leaks[:MOST_SHOWN]]
    more = [f"  ... and {len(leaks) - MOST_SHOWN} more"] if len(leaks) > MOST_SHOWN else []
    return "\n".join(
        [
            f"The public copy was not written: it would give away what is to be withheld ({len(leaks)} places).",
            *shown,
            *more,
            REMEDY,
        ]
    )
