"""What a datum cell or a note beside a coordinate says: the reference system, and a zone if it names one.

Source of the codes: EPSG dataset. Names of datums on receivers and maps: common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.normalise.datum_shift import geographic_code, is_known_system, is_projected, utm_zone_of

DATUM_CELL_HOLDS_NO_DATUM = declare(
    Rule(
        id="datum-cell-holds-no-datum",
        severity=Severity.WARNING,
        what="The cell for the datum holds something that is not a datum, such as a number format or a grid name.",
        why="A coordinate without its datum can be off by tens of metres here and by kilometres elsewhere.",
        remedy="Write the datum of the receiver or the map (WGS84, NAD83, NAD27), or name it in the survey file.",
        source="Darwin Core, verbatimSRS",
        asks=True,
    )
)
DATUM_NOT_RECORDED = declare(
    Rule(
        id="datum-not-recorded",
        severity=Severity.WARNING,
        what="No datum is written for the coordinate, neither in its row nor in the survey file.",
        why="The numbers are kept as they are, but their datum could be any, and the uncertainty must cover that.",
        remedy="Name the datum in the survey file if all of the survey's coordinates share one.",
        source="Georeferencing Best Practices v1.1.1, section 3.4.4",
        asks=True,
    )
)

#: words as typed, upper case, without spaces and marks -> geographic system and the datum's usual name.
_DATUMS = {
    "WGS84": ("EPSG:4326", "WGS84"),
    "WGS1984": ("EPSG:4326", "WGS84"),
    "WORLDGEODETICSYSTEM1984": ("EPSG:4326", "WGS84"),
    "GCSWGS1984": ("EPSG:4326", "WGS84"),
    "NAD83": ("EPSG:4269", "NAD83"),
    "NAD1983": ("EPSG:4269", "NAD83"),
    "NORTHAMERICANDATUM1983": ("EPSG:4269", "NAD83"),
    "NORTHAMERICAN1983": ("EPSG:4269", "NAD83"),
    "NORTHAMERICANDATUM83": ("EPSG:4269", "NAD83"),
    "GCSNORTHAMERICAN1983": ("EPSG:4269", "NAD83"),
    "NAD27": ("EPSG:4267", "NAD27"),
    "NAD1927": ("EPSG:4267", "NAD27"),
    "NORTHAMERICANDATUM1927": ("EPSG:4267", "NAD27"),
    "NORTHAMERICAN1927": ("EPSG:4267", "NAD27"),
    "NORTHAMERICANDATUM27": ("EPSG:4267", "NAD27"),
    "GCSNORTHAMERICAN1927": ("EPSG:4267", "NAD27"),
    "WGS72": ("EPSG:4322", "WGS72"),
    "WGS1972": ("EPSG:4322", "WGS72"),
    "ETRS89": ("EPSG:4258", "ETRS89"),
    "ED50": ("EPSG:4230", "ED50"),
    "GDA94": ("EPSG:4283", "GDA94"),
    "SAD69": ("EPSG:4618", "SAD69"),
    "PSAD56": ("EPSG:4248", "PSAD56"),
}
#: a datum's name inside longer text, longest first so that NAD1983 is not read as NAD19.
_NAMED = re.compile(
    r"(?<![A-Z0-9])(?:(?:NORTH\s*AMERICAN?\s*(?:DATUM)?(?:\s*OF)?|N\.?A\.?D\.?)[\s_-]*(?:OF\s*)?(?:19|')?(?P<nad>27|83)"
    r"|W\.?G\.?S\.?[\s_-]*(?:19|')?(?P<wgs>84|72)|(?P<other>ETRS[\s-]?89|ED[\s-]?50|GDA[\s-]?94|SAD[\s-]?69|PSAD[\s-]?56))"
    r"(?!\d)"
    # realisations, areas and the ellipsoid written after the name
    r"(?:\s*\(?\s*(?:G\d{3,4}|2011|NSRS\s*2007|HARN|CORS\s*96|CONUS|CONTIGUOUS|US|USA|ALASKA|CANADA|MEXICO|GRS\s*80)"
    r"\s*\)?(?![A-Z0-9.]))?"
    r"(?:\s*datum\b)?",
    re.IGNORECASE,
)
_EPSG = re.compile(r"(?:urn:ogc:def:crs:)?EPSG[\s:]*:?\s*(?P<code>\d{4,6})", re.IGNORECASE)
_ZONE = re.compile(r"(?:UTM\s*)?(?:zone\s*)?(?P<zone>\d{1,2})\s*(?P<letter>[C-HJ-NP-X])?", re.IGNORECASE)
_LETTERS = re.compile(r"[A-Za-z]{2}")
#: words that may stand beside a datum without putting it in doubt
_HARMLESS = re.compile(
    r"(?:[\s.,;:/()_-]|(?<![A-Za-z])(?:D|GCS|UTM|zone|datum|map|geographic|gps|decimal|degrees|deg|DD|DMS|DDM|lat|lon|long|metres|meters|m)(?![A-Za-z]))*",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class DatumReading:
    """What the text says. code: geographic system, "" if none. name: the datum's usual name, or the code.

    projected: the projected system that was named itself, "" if none. zone, hemisphere: of a UTM system or of
    zone words beside the datum; 0 and "" if none. rest: the text without the datum.
    """

    code: str = ""
    name: str = ""
    projected: str = ""
    zone: int = 0
    letter: str = ""
    rest: str = ""

    @property
    def is_datum(self) -> bool:
        """True if a datum was recognised."""
        return bool(self.code)


@lru_cache(maxsize=1024)
def read_datum(text: str) -> DatumReading:
    """What a datum cell says.

    >>> read_datum("nad 27 conus").code, read_datum("EPSG:26914").zone, read_datum("DD").is_datum
    ('EPSG:4267', 14, False)
    """
    cell = text.strip()
    found = find_datum(cell)
    if not found.is_datum and re.fullmatch(r"\d{4,5}", cell):
        found = _from_code(f"EPSG:{cell}", "")
    if not found.is_datum:
        squeezed = re.sub(r"[^A-Z0-9]", "", cell.upper())
        code, name = _DATUMS.get(squeezed, ("", ""))
        return DatumReading(code, name) if code else DatumReading(rest=cell)
    zone = _ZONE.fullmatch(found.rest.strip(" ,;/()_-"))
    if zone and not found.zone and 1 <= int(zone["zone"]) <= 60:
        return DatumReading(
            found.code, found.name, found.projected, int(zone["zone"]), (zone["letter"] or "").upper()
        )
    # "NAD27?" and "probably NAD27" name a datum that nobody vouches for
    return found if _HARMLESS.fullmatch(found.rest) else DatumReading(rest=cell)


def find_datum(text: str) -> DatumReading:
    """A datum named somewhere in a text, and the text without it; two different datums count as none."""
    if not _LETTERS.search(text):
        return DatumReading(rest=text)
    code = _EPSG.search(text)
    if code:
        return _from_code(f"EPSG:{code['code']}", (text[: code.start()] + " " + text[code.end() :]).strip())
    names = {_usual(match) for match in _NAMED.finditer(text)}
    if len(names) != 1:
        return DatumReading(rest=text)
    system, name = _DATUMS[names.pop()]
    return DatumReading(system, name, rest=re.sub(r"[(\[]\s*[)\]]", " ", _NAMED.sub(" ", text)).strip())


def _usual(match: re.Match[str]) -> str:
    """The key in the table of datums for a name found in a text."""
    if match["nad"]:
        return f"NAD{match['nad']}"
    if match["wgs"]:
        return f"WGS{match['wgs']}"
    return re.sub(r"[\s-]", "", match["other"].upper())


def _from_code(code: str, rest: str) -> DatumReading:
    """The reading of an EPSG code, as long as it is a horizontal system that is known."""
    if not is_known_system(code):
        return DatumReading(rest=code)
    geographic = geographic_code(code)
    name = next((usual for known, usual in _DATUMS.values() if known == geographic), geographic)
    if not is_projected(code):
        return DatumReading(geographic, name, rest=rest)
    zone = utm_zone_of(code)
    return DatumReading(geographic, name, code, *(zone or (0, "")), rest=rest)
