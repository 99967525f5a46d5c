"""Eastings and northings as people type them: UTM, State Plane, and land survey descriptions.

Reads text and knows no place: what it returns are numbers, and what the text says about zone, unit and order.

Source: FGDC-STD-011-2001 for zones and bands; the spellings are common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from dwc_pipeline.normalise.degrees_text import plain_marks

#: metres; no UTM easting lies outside, however far a zone is stretched over its neighbours.
UTM_EASTINGS = (100_000.0, 900_000.0)
#: metres; northings from the equator to 84 N, or from 80 S to the equator counted from the false northing.
UTM_NORTHINGS = (0.0, 10_000_000.0)

_NUMBER = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"
_TOKEN = re.compile(
    r"(?P<banded>(?<![\d.,])\d{1,2}[C-HJ-NP-X](?![a-z]))"
    rf"|(?P<number>{_NUMBER})"
    r"|(?P<system>utm|grid)(?![a-z])|(?P<zone>zone|zn|z)(?![a-z])\.?\s*[:#=]?"
    r"|(?P<unit>kilomet(?:re|er)s?|km|met(?:re|er)s?|us\s*survey\s*f(?:ee|oo)t|us\s*-?ft|ft\.?\s*us|sft|f(?:ee|oo)t|ft)(?![a-z])\.?"
    r"|(?P<easting>eastings?|east|m\.?\s?e|x|e)(?![a-z])\.?\s*[:=]?"
    r"|(?P<northing>northings?|north|m\.?\s?n|y)(?![a-z])\.?\s*[:=]?"
    r"|(?P<letter>[a-z])(?![a-z])|(?P<minus>-(?=\s*\d))|(?P<space>[\s,;/|&()=:]+)|(?P<other>.)",
    re.IGNORECASE,
)
_LAND_SURVEY = re.compile(
    r"(?<![A-Z0-9])T(?:OWNSHIP|WP)?\.?\s*\d{1,3}\s*[NS]\b.{0,4}?R(?:ANGE|GE)?\.?\s*\d{1,3}\s*[EW]\b", re.IGNORECASE
)


@dataclass(frozen=True)
class Length:
    """A number of an easting and northing pair. value: in the unit. step: its last digit. digits: as typed."""

    value: float
    step: float
    digits: str
    unit: str = ""

    @property
    def whole_digits(self) -> int:
        """Number of digits before the point, leading zeros left out."""
        return len(self.digits.partition(".")[0].lstrip("0"))

    def in_metres(self) -> Length:
        """The same length in metres where the unit is kilometres."""
        if self.unit != "km":
            return self
        return Length(self.value * 1000, self.step * 1000, f"{self.value * 1000:.3f}", "m")


@dataclass(frozen=True)
class Planar:
    """An easting and a northing as written.

    first, second: in the order of the text. order: "EN" or "NE" if letters say so, else "".
    zone: number, 0 if none. letter: letter after the zone, "" if none. says_utm: the text says UTM or zone.
    unit: "m", "ft" or "" for both numbers. zone_is_bare: the zone is a number at the end with no letter and no word.
    """

    first: Length
    second: Length
    order: str = ""
    zone: int = 0
    letter: str = ""
    says_utm: bool = False
    unit: str = ""
    zone_is_bare: bool = False


#: "443334,5" and "4.067.461,25": a comma before one or two digits groups no thousands
_DECIMAL_COMMA = re.compile(r"(?<![\d.,])(?P<whole>\d{4,8}|\d{1,3}(?:\.\d{3})+),(?P<part>\d{1,2})(?![\d.,])")


def is_land_survey(text: str) -> bool:
    """True for a township and range description.

    >>> is_land_survey("T25N R24W Sec 14 NE1/4")
    True
    """
    return _LAND_SURVEY.search(text) is not None


def parse_length(text: str) -> Length | None:
    """One easting or northing from a cell of its own; None if it is not one number with at most a unit."""
    text = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", plain_marks(text))  # 3 899 800
    text = _DECIMAL_COMMA.sub(lambda found: f"{found['whole'].replace('.', '')}.{found['part']}", text)
    words = [match for match in _TOKEN.finditer(text) if match.lastgroup != "space"]
    kinds = [str(word.lastgroup) for word in words]
    if kinds.count("number") != 1 or set(kinds) - {"number", "unit", "easting", "northing", "letter", "minus"}:
        return None
    if any(kind == "letter" and word.group().upper() not in "MN" for kind, word in zip(kinds, words, strict=True)):
        return None
    at = kinds.index("number")
    units = [_unit(word.group()) for kind, word in zip(kinds, words, strict=True) if kind == "unit"]
    units += ["m" for word in words if word.group().lower() in ("m", "me", "mn")]
    length = _length(words[at].group(), units[0] if units else "")
    if "minus" in kinds:
        return Length(-length.value, length.step, f"-{length.digits}", length.unit)
    return length


def parse_zone(text: str) -> tuple[int, str] | None:
    """Zone number and letter ("" if none) from a zone cell; None if the cell names no zone.

    >>> parse_zone("14S"), parse_zone("UTM zone 14 N"), parse_zone("panhandle")
    ((14, 'S'), (14, 'N'), None)
    """
    found = re.fullmatch(
        r"\s*(?:utm)?\s*(?:zone|zn|z)?\s*[:#]?\s*0?(?P<zone>\d{1,2})(?:\.0)?\s*[-/]?\s*"
        r"(?P<letter>[C-HJ-NP-X]|north(?:ern)?|south(?:ern)?)?\s*(?:hemisphere)?\.?\s*",
        text,
        re.IGNORECASE,
    )
    if not found or not 1 <= int(found["zone"]) <= 60:
        return None
    letter = (found["letter"] or "").upper()
    # a hemisphere written in full is not the band of the same letter
    return int(found["zone"]), {"N": letter, "S": letter}.get(
        letter, letter if len(letter) < 2 else letter.lower()[:5]
    )


def parse_planar(text: str) -> Planar | None:
    """An easting and a northing in one cell; None if the text is not written like them.

    Needs two numbers of at least five whole digits, or a unit of kilometres.
    """
    words = [match for match in _TOKEN.finditer(plain_marks(text)) if match.lastgroup not in ("space", "system")]
    says_utm = bool(re.search(r"(?<![a-z])(?:utm|zone)", text, re.IGNORECASE))
    kinds = [str(word.lastgroup) for word in words]
    if "other" in kinds or "minus" in kinds:
        return None
    zones = [at for at, word in enumerate(words) if kinds[at] == "banded" or re.fullmatch(r"\d{1,2}", word.group())]
    big = [at for at, kind in enumerate(kinds) if kind == "number" and at not in zones]
    if len(big) != 2 or len(zones) > 1:
        return None
    zone, letter, used = 0, "", set(zones)
    if zones:
        found = _zone_and_letter(words, kinds, zones[0], big)
        is_named = says_utm or zones[0] < big[0]
        if found is None or (not is_named and _ends_with_accuracy(words, zones[0])):
            return None
        zone, letter, letter_at = found
        used |= {letter_at}
    left = [at for at in range(len(words)) if at not in used and kinds[at] != "zone"]
    marks = _marks(words, kinds, left, big)
    if marks is None or (zones and not 1 <= zone <= 60):
        return None
    order, units = marks
    lengths = [_length(words[at].group(), unit) for at, unit in zip(big, units, strict=True)]
    if any(length.unit != "km" and length.whole_digits < 5 for length in lengths):
        return None
    metric = [length.in_metres() for length in lengths]
    unit = next((length.unit for length in metric if length.unit), "")
    is_bare = bool(zones) and zones[0] > big[1] and not letter and not says_utm and "zone" not in kinds
    return Planar(metric[0], metric[1], order, zone, letter, says_utm or bool(zones), unit, is_bare)


def _ends_with_accuracy(words: list[re.Match[str]], zone_at: int) -> bool:
    """True for "443334 4067461 5m" and "... 5 m": what looks like a zone is how good the receiver was."""
    rest = "".join(word.group() for word in words[zone_at:])
    return re.fullmatch(r"\d{1,2}(?:m|ft|met(?:re|er)s?|f(?:ee|oo)t)", rest) is not None


def _zone_and_letter(
    words: list[re.Match[str]], kinds: list[str], zone_at: int, big: list[int]
) -> tuple[int, str, int] | None:
    """Zone, its band or hemisphere letter and the letter's place (-1 if it has none of its own).

    "14 N 443334 4067461" has a letter; in "14 E 443334 N 4067461" the E belongs to the easting. None if the letter
    cannot be told from a label, as in "31 M E 277438 N 9889402".
    """
    written = words[zone_at].group()
    if kinds[zone_at] == "banded":
        return int(written[:-1]), written[-1].upper(), -1
    at = zone_at + 1
    label = words[at].group().strip(" .:=").upper() if at < len(words) else ""
    if kinds[at : at + 1] in (["easting"], ["northing"]) and label.startswith("M"):
        return None
    labels = [place for place in range(len(words)) if _role(words[place], kinds[place]) and place != at]
    if label == "E" and not labels:
        return None  # "31 E 378514 3680836": the band from 64 to 56 S, or the label of the easting alone
    if len(label) != 1 or kinds[at] == "easting" or label not in "CDEFGHJKLMNPQRSTUVW":
        return int(written), "", -1
    # "14 N 4067461 E 443334": here the N is the label of the northing
    if label == "N" and at + 1 in big and len(labels) == 1 and labels[0] + 1 in big:
        return int(written), "", -1
    return int(written), label, at


def _marks(
    words: list[re.Match[str]], kinds: list[str], left: list[int], big: list[int]
) -> tuple[str, list[str]] | None:
    """Order of the two numbers and the unit of each, from the letters round them; None if a word does not fit."""
    roles: dict[int, str] = {}
    units = ["", ""]
    labels = [at for at in left if at not in big and _role(words[at], kinds[at])]
    stands_before = bool(labels) and labels[0] < big[0]
    for at in left:
        if at in big:
            continue
        before = [place for place in big if place < at]
        if kinds[at] == "unit" or words[at].group().lower() == "m":
            if not before:
                return None
            units[big.index(before[-1])] = _unit(words[at].group())
            continue
        role = _role(words[at], kinds[at])
        owners = [place for place in big if place > at] if stands_before else before[::-1]
        if not role or not owners or owners[0] in roles:
            return None
        roles[owners[0]] = role
        if words[at].group().lower().startswith("m"):
            units[big.index(owners[0])] = "m"
    if len(set(roles.values())) != len(roles):
        return None
    if not units[0] or not units[1]:
        units = [units[0] or units[1]] * 2
    order = {"E": "EN", "N": "NE"}.get(roles.get(big[0], ""), "") or {"N": "EN", "E": "NE"}.get(
        roles.get(big[1], ""), ""
    )
    return order, units


def _role(word: re.Match[str], kind: str) -> str:
    """E or N for a label, "" for any other word."""
    if kind == "easting":
        return "E"
    return "N" if kind == "northing" or word.group().upper() == "N" else ""


def _unit(word: str) -> str:
    """m, km or ft."""
    letter = re.sub(r"[^a-z]", "", word.lower())
    return "km" if letter.startswith("k") else "m" if letter.startswith("m") else "ft"


def _length(number: str, unit: str) -> Length:
    plain = number.replace(",", "")
    decimals = plain.partition(".")[2]
    return Length(float(plain), 10.0 ** -len(decimals), plain, unit)
