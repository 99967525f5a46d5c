"""Latitude and longitude as people type them: degrees, minutes, seconds and every mark that keyboards offer.

Reads text, knows no datum and no place. What may mean two things comes back as two things.

Source: ISO 6709 for signs and order; the spellings are common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

DECIMAL_DEGREES = "decimal degrees"
DEGREES_MINUTES = "degrees decimal minutes"
DEGREES_MINUTES_SECONDS = "degrees minutes seconds"

_MARKS = str.maketrans(
    {
        **dict.fromkeys("º˚ᵒ⁰∘°", "°"),
        **dict.fromkeys("’‘′ʹ´`ʼ‛", "'"),
        **dict.fromkeys("”“″ʺ„‟〃", '"'),
        **dict.fromkeys("−–—‐‑‒﹣－", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\u200a\u3000\t\r\n", " "),
        **dict.fromkeys("\ufeff\u200b\u200e\u200f", ""),
        "，": ",", "；": ";", "：": ":", "＋": "+",
    }
)  # fmt: skip

#: the spelling of nearly all cells, read without taking it apart
_PLAIN_DECIMAL = re.compile(r"([+-]?)([0-9]{1,3}\.[0-9]+)")
_TOKEN = re.compile(
    r"(?P<number>\d+(?:\.\d+)?|\.\d+)"
    r"|(?P<axis>(?:latitude|longitude|lat|long|lon|lng)\b\.?\s*[:=]?|[xy]\s*[:=])"
    r"|(?P<hemisphere>(?:north|south|east|west|[NSEW])(?![a-z]))\.?"
    r"|(?P<degree>°|(?:degrees?|degs?\.?|d)(?![a-z]))"
    r"|(?P<second>''|\"|(?:seconds?|secs?\.?)(?![a-z]))"
    r"|(?P<minute>'|(?:minutes?|mins?\.?|m)(?![a-z]))"
    r"|(?P<sign>[+-])|(?P<split>[,;/|&]|\band\b)|(?P<colon>:)|(?P<space>\s+)|(?P<bracket>[()\[\]])|(?P<other>.)",
    re.IGNORECASE,
)


#: words before a position that only say that one follows, and an elevation behind it
_LEAD = re.compile(r"^(?:gps|coords?|coordinates|position|pos)\b[\s:.=]*(?=[-+\dNSEW])", re.IGNORECASE)
_ELEVATION = re.compile(
    r"(?<=[\dNSEW°'\"])[\s,;]+(?:elev(?:ation)?|alt(?:itude)?)\b[\s.:=]*\d+(?:\.\d+)?\s*(?:m|ft|feet)?$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Angle:
    """One latitude or longitude as written.

    size: degrees without sign. sign: "+", "-" or "" as typed. hemisphere: N, S, E, W or "". axis: "lat", "lon" or ""
    from a label. form: one of the three names above. step: degrees of its last digit. digits: as typed, for repairs.
    fault: what cannot be, in words; `instead` then holds sizes that could have been meant.
    """

    size: float
    sign: str
    hemisphere: str
    axis: str
    form: str
    step: float
    step_without_zeros: float
    digits: tuple[str, ...]
    fault: str = ""
    instead: tuple[float, ...] = ()

    @property
    def is_latitude(self) -> bool:
        """True if a letter or a label says so."""
        return self.hemisphere in ("N", "S") or (not self.hemisphere and self.axis == "lat")

    @property
    def is_longitude(self) -> bool:
        """True if a letter or a label says so."""
        return self.hemisphere in ("E", "W") or (not self.hemisphere and self.axis == "lon")

    @property
    def is_unsigned(self) -> bool:
        """True if neither a sign nor a letter says on which side of zero it lies."""
        return not self.sign and not self.hemisphere and self.size != 0

    @property
    def contradicts_itself(self) -> bool:
        """True if the sign says one side and the letter the other."""
        return (self.sign == "-" and self.hemisphere in ("N", "E")) or (
            self.sign == "+" and self.hemisphere in ("S", "W")
        )

    @property
    def value(self) -> float:
        """Signed degrees by letter or sign; an unsigned one counts as positive."""
        return (
            -self.size if self.hemisphere in ("S", "W") or (not self.hemisphere and self.sign == "-") else self.size
        )


@dataclass(frozen=True)
class _Token:
    kind: str
    text: str
    glued: bool  # no space before it


def plain_marks(text: str) -> str:
    """The text with one spelling for each mark: ° ' " and the plain hyphen.

    >>> plain_marks("36º45’04.32”")
    '36°45\\'04.32"'
    """
    plain = text.translate(_MARKS).replace("&deg;", "°").strip().rstrip("/;,.").strip()
    plain = re.sub(r"(?<=\d)\s?[*oO](?=\s*\d)", "°", plain)
    plain = _LEAD.sub("", _ELEVATION.sub("", plain))
    # 3645.072,N,09938.088,W: the sentence of a receiver
    plain = re.sub(r"(\d\.\d+),([NS]),(\d+\.\d+),([EW])\b", r"\1\2 \3\4", plain, flags=re.IGNORECASE)
    # 36.45.04: with two points in one number they can only part degrees, minutes and seconds
    plain = re.sub(r"(?<![\d.])(\d{1,3})\.(\d{1,2})\.(\d{1,2}(?:\.\d+)?)(?![\d.])", r"\1:\2:\3", plain)
    # 3.67512E+01: a spreadsheet's powers of ten, never an E for east, which no sign follows
    return re.sub(r"\d(?:\.(?P<part>\d+))?[eE](?P<power>[+-]\d{1,2})(?!\d)", _written_out, plain)


def _written_out(found: re.Match[str]) -> str:
    """A number of a spreadsheet's powers of ten in full; as it stands where digits before the point were dropped."""
    is_whole = len(found["part"] or "") >= int(found["power"])
    return f"{Decimal(found.group()):f}" if is_whole else found.group()


def parse_angle(text: str) -> list[Angle]:
    """The readings of a cell that holds one latitude or longitude; none if it is not written like one."""
    plain = _PLAIN_DECIMAL.fullmatch(text)
    if plain:
        return [_measured((plain[2],), plain[1], "", "")]
    found = []
    for spelling in _decimal_spellings(plain_marks(text)):
        angle = _angle(_tokens(spelling))
        if angle is not None and angle not in found:
            found.append(angle)
    # "36 45,072": minutes and seconds have two digits, so the comma is a decimal one
    return [angle for angle in found if not _has_long_part(angle)] or found


def _has_long_part(angle: Angle) -> bool:
    """True if minutes or seconds are written with more than two digits before their point."""
    return any(len(part.partition(".")[0]) > 2 for part in angle.digits[1:])


@lru_cache(maxsize=4096)
def parse_pair(text: str) -> list[tuple[Angle, Angle]]:
    """The readings of a cell that holds two angles in the order in which they are written."""
    found: list[tuple[Angle, Angle]] = []
    for spelling in _decimal_spellings(plain_marks(text)):
        for pair in _split_pairs(_tokens(spelling)):
            if pair not in found:
                found.append(pair)
    return found


def _decimal_spellings(text: str) -> list[str]:
    """The text with decimal commas written as points, in every way the commas can be taken."""
    if "," not in text:
        return [text]
    if "." in text:
        # "36.7512 -99,6348": more than three digits after a comma are decimals
        return [re.sub(r"(?<![\d.])(\d{1,3}),(\d{4,})(?![\d.,])", r"\1.\2", text)]
    if not re.search(r"\d,\d", text):
        return [text]
    comma = re.compile(r"(?<=\d),(?=\d)")
    glued = comma.findall(text)
    both_decimal = re.fullmatch(r"\D*\d{1,3},\d+\D*[^\d,]\D*\d{1,3},\d+\D*", text) or re.fullmatch(
        r"\D*\d{1,3},\d+\D*", text
    )
    if both_decimal or re.search(r"\d,\d+\s*['\"]", text):
        return [comma.sub(".", text)]
    four = re.fullmatch(r"([+-]?\d{1,3}),(\d+),\s*([+-]?\d{1,3}),(\d+)", text)
    if four:
        decimal = f"{four[1]}.{four[2]}; {four[3]}.{four[4]}"
        # "36,45,99,38" may as well be degrees and minutes
        is_minutes = all(len(part) <= 2 and int(part) < 60 for part in (four[2], four[4]))
        return [decimal, text] if is_minutes else [decimal]
    # a single comma between two whole numbers is the point of one number, or parts them
    return [text, comma.sub(".", text)] if len(glued) == 1 else [text]


def _tokens(text: str) -> list[_Token]:
    """The words of the text; a hyphen between digits is a mark that parts, not a sign."""
    tokens: list[_Token] = []
    spaced = True
    for match in _TOKEN.finditer(text):
        kind, word = str(match.lastgroup), match.group()
        if kind == "space":
            spaced = True
            continue
        if kind == "bracket":
            continue
        if (kind == "other" and word == "s") or word == "S":
            # "36d45m04s": after minutes an s, written small against its number, is seconds and not south
            after_minutes = len(tokens) >= 2 and tokens[-1].kind == "number" and tokens[-2].kind == "minute"
            kind = "second" if word == "s" and after_minutes and not spaced else "hemisphere"
        elif kind == "hemisphere":
            if word == "s" and len(tokens) >= 2 and tokens[-1].kind == "number" and tokens[-2].kind == "minute":
                kind = "hemisphere" if spaced else "second"
            word = word[0].upper()
        elif kind == "axis":
            word = "lat" if word[:2].lower() == "la" or word[0] in "yY" else "lon"
        elif kind == "sign" and not spaced and tokens and tokens[-1].kind == "number":
            kind = "hyphen"
        if kind == "hemisphere" and len(tokens) >= 3 and _is_seconds(tokens):
            tokens[-1] = _Token("second", "s", True)
        tokens.append(_Token(kind, word, not spaced))
        spaced = False
    return tokens


def _is_seconds(tokens: list[_Token]) -> bool:
    """True for the last S of "36D45M04S N", which the N behind it shows to be seconds."""
    minute, number, letter = tokens[-3:]
    return (minute.kind, number.kind) == ("minute", "number") and letter == _Token("hemisphere", "S", True)


def _split_pairs(tokens: list[_Token]) -> list[tuple[Angle, Angle]]:
    """Every way to take the words as two angles, the ways that a mark, letter or label speaks for before others."""
    found: list[tuple[int, tuple[Angle, Angle]]] = []
    for place in range(1, len(tokens)):
        mark = tokens[place]
        may_be_sign = mark.kind == "hyphen" or _is_dash(tokens[place:])
        parts = mark.kind == "split" or may_be_sign
        first = _angle(tokens[:place])
        second = _angle(tokens[place + 1 :] if parts else tokens[place:])
        if first is None or second is None:
            continue
        weight = (
            4 * _balanced(first, second)
            + 2 * (len(first.digits) == len(second.digits))
            + (parts or mark.kind == "sign")
        )
        signed = _angle([_Token("sign", "-", False), *tokens[place + 1 :]]) if may_be_sign else None
        if signed is None or second.hemisphere or len(second.digits) > 1:
            found.append((weight, (first, second)))
        else:
            # "36.7512 - 99.6348": the dash parts the numbers, or is the sign; after a signed number it is the sign
            found += [(weight, (first, signed))] + [(weight, (first, second))] * (not first.sign)
    best = max((weight for weight, _ in found), default=0)
    return [pair for weight, pair in found if weight == best]


def _is_dash(after: list[_Token]) -> bool:
    """True for a hyphen with a space after it: it may part two numbers."""
    return after[0].kind == "sign" and after[0].text == "-" and len(after) > 1 and not after[1].glued


def _balanced(first: Angle, second: Angle) -> bool:
    """True unless only one of the two has a letter, or both have letters of the same axis."""
    if first.hemisphere and second.hemisphere:
        return first.is_latitude != second.is_latitude
    return not first.hemisphere and not second.hemisphere


def _angle(tokens: list[_Token]) -> Angle | None:
    """The angle that all the words together make; None if they do not."""
    words = [token for token in tokens if token.kind != "split" or token.text == ","]
    if len(words) != len(tokens) and tokens[-1].kind != "split":
        return None
    while words and words[-1].kind == "split":
        words = words[:-1]
    letters = [token.text for token in words if token.kind == "hemisphere"]
    labels = {token.text for token in words if token.kind == "axis"}
    if len(letters) > 1 or len(labels) > 1 or any(token.kind == "other" for token in words):
        return None
    if letters and words[0].kind == "axis" and len(words) > 1 and words[1].kind == "hemisphere":
        words = [words[0], *words[2:]]
    elif letters and words[0].kind != "hemisphere" and words[-1].kind != "hemisphere":
        return None
    core = [token for token in words if token.kind not in ("hemisphere", "axis")]
    if labels and words[0].kind != "axis" and words[-1].kind != "axis":
        return None
    sign = ""
    if core and core[0].kind in ("sign",):
        sign, core = core[0].text, core[1:]
    parts = _parts(core)
    if parts is None:
        return None
    if len(parts) > 1 and len(parts[0].lstrip("0")) > 3:
        return None
    return _measured(parts, sign, letters[0] if letters else "", labels.pop() if labels else "")


def _parts(core: list[_Token]) -> tuple[str, ...] | None:
    """One to three numbers with their marks in the right order."""
    numbers: list[str] = []
    expected = ("degree", "minute", "second")
    since_number: list[_Token] = []
    for token in [*core, _Token("end", "", True)]:
        if token.kind in ("number", "end"):
            if not _marks_fit(since_number, len(numbers), token.kind == "end", expected):
                return None
            since_number = []
            if token.kind == "number":
                numbers.append(token.text)
        else:
            since_number.append(token)
    if not 1 <= len(numbers) <= 3 or any("." in number for number in numbers[:-1]):
        return None
    if len(numbers) > 1 and numbers[-1].startswith("."):
        return None  # "36 .7512" is a number torn apart, not minutes
    return tuple(numbers)


def _marks_fit(marks: list[_Token], so_far: int, at_end: bool, expected: tuple[str, ...]) -> bool:
    """True if the marks after the last number name its part (or none) and then part it from the next."""
    if so_far == 0:
        return not marks
    left = list(marks)
    if left and so_far <= 3 and left[0].kind == expected[so_far - 1]:
        left = left[1:]
    elif left and so_far == 3 and left[0].kind == "minute":
        left = left[1:]  # 36° 45' 04': the same mark typed twice
    if at_end:
        return not left
    return len(left) <= 1 and all(token.kind in ("colon", "hyphen", "split") for token in left)


def _measured(parts: tuple[str, ...], sign: str, hemisphere: str, axis: str) -> Angle:
    """The size, form and last step of an angle from its numbers."""
    packed = _unpacked(parts[0]) if len(parts) == 1 and hemisphere else None
    whole = packed or parts
    numbers = [Decimal(part) for part in whole]
    size = sum((number / 60**place for place, number in enumerate(numbers[1:], 1)), numbers[0])
    fault, instead = _fault_of(whole, numbers)
    form = (DECIMAL_DEGREES, DEGREES_MINUTES, DEGREES_MINUTES_SECONDS)[len(whole) - 1]
    last = whole[-1]
    decimals = last.partition(".")[2]
    unit = 60 ** (len(whole) - 1)
    step = 10.0 ** -len(decimals) / unit
    trimmed = 10.0 ** -len(decimals.rstrip("0")) / unit
    if len(whole) > 1 and not decimals and numbers[-1] == 0:
        trimmed = step * 60
    return Angle(float(size), sign, hemisphere, axis, form, step, trimmed, parts, fault, instead)


def torn_apart(angle: Angle) -> Angle | None:
    """The decimal number that a space may have torn: "3 6.7512" for 36.7512; None where it can be no such number."""
    if angle.form != DEGREES_MINUTES or len(angle.digits) != 2 or angle.digits[0].startswith("0"):
        return None
    joined = "".join(angle.digits)
    if "." not in joined or Decimal(joined) > (90 if angle.is_latitude else 180):
        return None
    return _measured((joined,), angle.sign, angle.hemisphere, angle.axis)


def _unpacked(number: str) -> tuple[str, ...] | None:
    """Degrees, minutes and seconds run together: 364504, 0993805, 3645.072; None for anything else."""
    whole, _, fraction = number.partition(".")
    tail = f".{fraction}" if fraction else ""
    if len(whole) in (6, 7):
        return whole[:-4], whole[-4:-2], whole[-2:] + tail
    if len(whole) in (4, 5) and fraction:
        return whole[:-2], whole[-2:] + tail
    return None


def _fault_of(parts: tuple[str, ...], numbers: list[Decimal]) -> tuple[str, tuple[float, ...]]:
    """What cannot be about the parts, and the sizes that could have been meant instead."""
    for name, place in (("minutes", 1), ("seconds", 2)):
        if place < len(numbers) and numbers[place] >= 60:
            as_decimal = Decimal(parts[place - 1] + "." + "".join(parts[place:]).replace(".", ""))
            before = sum((number / 60**at for at, number in enumerate(numbers[: place - 1])), Decimal(0))
            return f"{name} run from 0 to 59, not {parts[place]}", (float(before + as_decimal / 60 ** (place - 1)),)
    return "", ()


def as_packed(number: str) -> float | None:
    """Degrees from a bare number taken as degrees, minutes and seconds run together, if they are in range.

    >>> round(as_packed("364504"), 6)
    36.751111
    """
    parts = _unpacked(number)
    if parts is None and number.isdigit() and len(number) in (4, 5):
        parts = number[:-2], number[-2:]
    if parts is None or any(Decimal(part) >= 60 for part in parts[1:]):
        return None
    return float(sum((Decimal(part) / 60**place for place, part in enumerate(parts)), Decimal(0)))


def as_pointed_seconds(number: str) -> float | None:
    """Degrees from 36.4504 taken as 36 45 04, if minutes and seconds are in range and fully written.

    >>> round(as_pointed_seconds("36.4504"), 6), as_pointed_seconds("36.7512")
    (36.751111, None)
    """
    whole, _, fraction = number.partition(".")
    if len(fraction) < 4 or fraction[0] > "5" or fraction[2] > "5":
        return None
    seconds = fraction[2:4] + (f".{fraction[4:]}" if fraction[4:] else "")
    return as_packed(f"{whole}{fraction[:2]}{seconds}") if len(whole) >= 2 else None
