"""What a person sees in a cell whose number format changes the text: 007, 25%, 16-Jul, 7:05 PM, "12 mm".

Source: ECMA-376 part 1, section 18.8.30 (built-in formats) and 18.8.31 (format codes). Two deviations, both so
that no digit is lost: decimals that a format hides are kept, and thousands are not grouped. Formats whose text
depends on the reader's own machine (built-in 14 and 22) or that are rarer than dates, times, padding, decimals,
percent and literal text are left alone: the value is then written plainly.

>>> shown_text(7.0, "000"), shown_text(0.255, "0%"), shown_text(12.0, '0" mm"'), shown_text(7.0, "General")
('007', '25.5%', '12 mm', None)
>>> shown_text(dt.date(2031, 7, 16), "d-mmm"), shown_text(dt.time(19, 5), "h:mm AM/PM")
('16-Jul', '7:05 PM')
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from functools import lru_cache

from dwc_pipeline.core.raw import Cell

#: formats known by number only; 14 and 22 follow the reader's own settings and are left out.
BUILT_IN = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 15: "d-mmm-yy", 16: "d-mmm",
    17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss", 45: "mm:ss", 46: "[h]:mm:ss",
    49: "@",
}  # fmt: skip
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")  # fmt: skip
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

Moment = dt.datetime | dt.date | dt.time | dt.timedelta
Writer = Callable[[Cell], str | None]

_SECTION_BREAK = re.compile(r';(?=(?:[^"]*"[^"]*")*[^"]*$)')
_SILENT = re.compile(r"_.|\*.|\[(?:black|blue|cyan|green|magenta|red|white|yellow|color\s*\d+)\]", re.I)
_NUMBER_TOKEN = re.compile(r'"[^"]*"|\\.|\[\$[^\]]*\]|\[[^\]]*\]|[0#?,.]+|%|E[+-]|/|.', re.I)
_DATE_TOKEN = re.compile(
    r'"[^"]*"|\\.|\[\$[^\]]*\]|\[h+\]|\[m+\]|\[s+\]|\[[^\]]*\]|yyyy|yy|m+|d+|h+|s+(?:\.0+)?|AM/PM|A/P|.', re.I
)
_ENGLISH = 0x09  # primary language of the locale numbers 409, 809, C09 ...


def shown_text(value: Cell, code: str) -> str | None:
    """The text a person sees, or None where the plain value says the same or the format is not one of ours."""
    writer = writer_for(code)
    return writer(value) if writer else None


@lru_cache(maxsize=1000)
def writer_for(code: str) -> Writer | None:
    """What writes values in this format; None if the format never changes the text or is left alone."""
    section = _SILENT.sub("", _SECTION_BREAK.split(code)[0])
    several = len(_SECTION_BREAK.split(code)) > 1
    if not section.strip() or section.strip().lower() in ("general", "@", "standard"):
        return None
    bare = re.sub(r'"[^"]*"|\\.|\[\$[^\]]*\]', "", section)
    if re.search(r"[ymdhs]", bare, re.I) and not re.search(r"[0#?](?!.*s)", re.sub(r"s\.0+", "s", bare, flags=re.I)):
        return _date_writer(section)
    return _number_writer(section, several)


def _literal(token: str) -> str | None:
    """The text that a token stands for; None if it is not plain text."""
    if token.startswith('"'):
        return token[1:-1]
    if token.startswith("\\"):
        return token[1:]
    if token.startswith("[$"):
        return token[2:-1].split("-")[0]
    return token if len(token) == 1 and token in " $-+():!^&'~{}<>=°µ€£#" else None


def _number_writer(section: str, several_sections: bool) -> Writer | None:
    before, digits, after, percent = "", [""], "", False
    for token in _NUMBER_TOKEN.findall(section):
        text = _literal(token) if not re.fullmatch(r"[0#?,.]+", token) else None
        if token == "%":
            percent, after = True, after + "%"
        elif re.fullmatch(r"[0#?,.]+", token):
            if digits[0]:
                return None  # digits in several groups, such as telephone numbers
            digits[0] = token
        elif text is None:
            return None
        elif digits[0]:
            after += text
        else:
            before += text
    pattern = digits[0]
    if not pattern or pattern.endswith(","):
        return None  # no number at all, or scaled to thousands
    whole, _, decimals = pattern.replace(",", "").partition(".")
    least_whole, least_decimals = whole.count("0"), decimals.count("0")
    if least_whole <= 1 and not least_decimals and not (before or after):
        return None

    def write(value: Cell) -> str | None:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or (several_sections and value <= 0):
            return None
        text = _plain_decimal(value * 100 if percent else value)
        if text is None:
            return None
        sign, text = ("-", text[1:]) if text.startswith("-") else ("", text)
        left, _, right = text.partition(".")
        right = right.ljust(least_decimals, "0")
        return sign + before + left.zfill(least_whole) + ("." + right if right else "") + after

    return write


def _plain_decimal(value: float) -> str | None:
    """Decimal digits without an exponent, at most 15 significant ones as spreadsheets keep; None if too large."""
    if abs(value) >= 1e15:
        return None
    text = format(value, ".15g")
    if "e" in text:
        text = format(value, ".20f").rstrip("0")
    return text


def _date_writer(section: str) -> Writer | None:
    tokens = _DATE_TOKEN.findall(section)
    lower = [token.lower() for token in tokens]
    locales = [re.search(r"-([0-9a-f]+)\]", token) for token in lower if token.startswith("[$")]
    numbers = [int(found[1], 16) for found in locales if found]
    by_name = any(token in ("mmm", "mmmm", "mmmmm", "ddd", "dddd") for token in lower)
    if any(number in (0xF800, 0xF400) for number in numbers):
        return None  # the long date or time of the reader's own machine
    if by_name and any(number & 0x3FF != _ENGLISH for number in numbers):
        return None
    parts: list[str] = []
    twelve = any(token in ("am/pm", "a/p") for token in lower)
    for place, token in enumerate(lower):
        if re.fullmatch(r"m{1,2}", token) and _is_minutes(lower, place):
            parts.append("minute" * len(token))
        elif re.fullmatch(r"y+|m{1,5}|d{1,4}|h{1,2}|s{1,2}|am/pm|a/p|\[h+\]", token):
            parts.append(token)
        elif re.match(r"s+\.|\[", token) and not token.startswith("[$"):
            return None
        else:
            text = _literal(tokens[place])
            parts.append("=" + (text if text is not None else tokens[place]))

    def write(value: Cell) -> str | None:
        if not isinstance(value, Moment):
            return None
        pieces = [part[1:] if part.startswith("=") else _moment_piece(part, value, twelve) for part in parts]
        return None if None in pieces else "".join(str(piece) for piece in pieces).strip()

    return write


def _is_minutes(tokens: list[str], place: int) -> bool:
    """m stands for minutes right after hours or right before seconds (ECMA-376, 18.8.31)."""
    fields = [(k, t) for k, t in enumerate(tokens) if re.fullmatch(r"y+|m+|d+|h+|s+|\[[hms]+\]", t)]
    at = [k for k, _ in fields].index(place)
    before = fields[at - 1][1] if at else ""
    after = fields[at + 1][1] if at + 1 < len(fields) else ""
    return before.strip("[]").startswith("h") or after.startswith("s")


def _moment_piece(part: str, value: Moment, twelve: bool) -> str | None:
    """One field of a date or time as text; None if the value does not have it."""
    if isinstance(value, dt.timedelta):
        return _elapsed_piece(part, value)
    if part[0] in "yd" or part in ("m", "mm", "mmm", "mmmm", "mmmmm"):
        return None if isinstance(value, dt.time) else _date_piece(part, value)
    moment = value if isinstance(value, (dt.datetime, dt.time)) else dt.time(0)
    if part.startswith("["):
        return None
    if part in ("am/pm", "a/p"):
        half = "AM" if moment.hour < 12 else "PM"
        return half if part == "am/pm" else half[0]
    hour = (moment.hour % 12 or 12) if twelve else moment.hour
    number = {"h": hour, "m": moment.minute, "s": moment.second}[part[0]]
    two = part in ("hh", "ss", "minuteminute")
    return f"{number:02d}" if two else str(number)


def _date_piece(part: str, day: dt.date) -> str:
    if part[0] == "y":
        return f"{day.year:04d}" if len(part) > 2 else f"{day.year % 100:02d}"
    number, names, name = (day.day, DAYS, day.weekday()) if part[0] == "d" else (day.month, MONTHS, day.month - 1)
    return {
        1: str(number), 2: f"{number:02d}", 3: names[name][:3], 4: names[name], 5: names[name][0],
    }[len(part)]  # fmt: skip


def _elapsed_piece(part: str, length: dt.timedelta) -> str | None:
    seconds = round(length.total_seconds())
    if seconds < 0:
        return None
    minutes, second = divmod(seconds, 60)
    hours, minute = divmod(minutes, 60)
    if part.startswith("[h"):
        return str(hours).zfill(len(part) - 2)
    number = {"h": hours % 24, "minute": minute, "s": second}.get(part if part in ("h", "s", "minute") else "")
    if number is None:
        number = {"hh": hours % 24, "minuteminute": minute, "ss": second}.get(part)
        return None if number is None else f"{number:02d}"
    return str(number)
