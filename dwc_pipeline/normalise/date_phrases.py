"""Words around a date: doubt, weekday, "night of", dawn and dusk, early and late, seasons of the year.

They are taken off so that the forms see only the date, and handed on so that nothing said is lost.
Source: common practice, no source.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHORT = {
    "mon": 0,
    "tue": 1,
    "tues": 1,
    "wed": 2,
    "weds": 2,
    "thu": 3,
    "thur": 3,
    "thurs": 3,
    "fri": 4,
    "sat": 5,
    "sun": 6,
}
#: Spanish, French, German (from memory)
_FOREIGN = (
    "lunes lundi montag", "martes mardi dienstag", "miércoles miercoles mercredi mittwoch", "jueves jeudi donnerstag",
    "viernes vendredi freitag", "sábado sabado samedi samstag sonnabend", "domingo dimanche sonntag",
)  # fmt: skip
WEEKDAYS = {name: number for number, name in enumerate(_WEEKDAYS)} | _SHORT
WEEKDAYS |= {name: number for number, names in enumerate(_FOREIGN) for name in names.split()}
#: short ones may be a person's initials or name: taken with a dot or comma, or before a month in letters only;
#: "mar" is left to March
_FOREIGN_SHORT = {
    word: number
    for number, words in enumerate(
        ("lun mo", "di", "mié mie mer mi", "jue jeu do", "vie ven fr", "sáb sab sam sa", "dom dim so")
    )
    for word in words.split()
}
_SHORT_BEFORE = re.compile(
    r"(?P<w>" + "|".join(sorted(_FOREIGN_SHORT, key=len, reverse=True)) + r")"
    r"(?:[.,]{1,2} ?(?=[0-9])| (?=[0-9]{1,2}\.[0-9 ]|[0-9]{1,2}(?: de)? [a-z]{3}))"
)

_WEEKDAY = re.compile(
    r"\(?(?<![a-z])(?P<w>" + "|".join(sorted(WEEKDAYS, key=len, reverse=True)) + r")(?![a-z])\.?\)?,?"
)
_BEFORE = re.compile(
    r"(?P<q>ca\.?|c\.|circa|approx\.?|approximately|about|around|abt\.?|~|est\.?|estimated|probably|prob\.?|possibly"
    r"|poss\.?|perhaps|maybe|\?) ?(?=[0-9a-z])(?![a-z]+$)"
)
_AFTER = re.compile(
    r"(?P<rest>.*[^ ?(]) ?(?P<q>\(?\?+\)?"
    r"|\(?(?:approx\.?|approximately|circa|ca\.?|est\.?|estimated|probably|maybe)\)?)"
)
_NIGHT = re.compile(
    r"(?:(?:the )?(?P<night>night|nite|nights|nites|overnight)(?: of)? (?:the )?|(?P<evening>evening) of (?:the )?"
    r"|(?P<eve>eve) of (?:the )?)(?P<rest>.*)"
)
_NIGHT_AFTER = re.compile(r"(?P<rest>.*[0-9a-z.]),? \(?(?P<night>night|nite|overnight)\)?")
_TIME_WORD = re.compile(
    r"(?P<rest>.*[0-9a-z.])(?:,| -)? (?:@ ?|at )?\(?(?P<word>dusk|dawn|sunset|sunrise"
    r"|a\.?m\.?|p\.?m\.?|morning|evening|afternoon|early morning"
    r"|late evening|first light|daybreak|midday|midnight|noon)\)?"
)
_TIME_WORD_BEFORE = re.compile(
    r"(?:the )?(?P<word>(?:early |late )?morning|afternoon|(?:late )?evening|dawn|dusk|a\.?m\.?|p\.?m\.?)"
    r"(?: of(?: the)?|,)? (?P<rest>.*[0-9].*)"
)
#: words before or behind a date that say what was done that day, and change nothing of the day
_DEED = r"(?:date|dated|checked|check|chk|opened|closed|set|collected|coll\.?|captured|surveyed)"
_DEED_BEFORE = re.compile(rf"{_DEED}(?: on)?(?: ?[:=-])? (?=.*[0-9])|on (?=.*[0-9])")
_DEED_AFTER = re.compile(rf"(?P<rest>.*[0-9]),?(?: ?- ?| \(?| )(?:(?P<half>[ap]\.?m\.?) )?{_DEED}\)?")
_COARSE = re.compile(r"(?P<q>early|mid|middle of|late|end of|beginning of|start of)[- ](?P<rest>(?:in )?.*)")
_SEASON = re.compile(
    r"(?P<q>(?:early |mid-?|late )?(?P<s>spring|summer|fall|autumn|winter))"
    r"(?: of)?,? ?(?P<y>[0-9]{4})(?P<to>[-/][0-9]{2,4})?"
)
_OPEN = re.compile(
    r"(?P<q>before|after|since|by|until|till|prior to|from|<|>|<=|>=|pre-?|post-?|no later than) ?(?=[0-9a-z]).*"
)
#: a stretch with a word before its start
_FROM_TO = re.compile(
    r"^(?:from|du|del|vom) (?P<one>[0-9a-z].*?)"
    r" (?:to|until|till?|thru|through|au|al|bis(?: zum)?) (?P<two>.*[0-9].*)$"
)


HALVES = ("am", "pm", "a.m", "p.m", "a.m.", "p.m.")


class Phrase(NamedTuple):
    """A cell's text taken apart.

    core: the date itself. qualifier: words that make it less sure or less exact, as typed in lower case.
    is_doubtful: the writer doubted it. weekdays: 0 Monday to 6 Sunday. night: "night" for evening to morning,
    "eve" where the writing may mean the day before. time_word: a time of day in words. is_coarse: the day is
    not meant ("late May 2023"). season: spring to winter. is_open: only an earliest or latest date is given.
    """

    core: str
    qualifier: str = ""
    is_doubtful: bool = False
    weekdays: tuple[int, ...] = ()
    night: str = ""
    time_word: str = ""
    is_coarse: bool = False
    season: str = ""
    is_open: bool = False


def take_apart(text: str) -> Phrase:
    """The date and what was said around it; `text` is plain (date_text)."""
    text = re.sub(r"(?<![a-z])(?:the|le|el) (?=[0-9])", "", text)
    text = _FROM_TO.sub(r"\g<one> to \g<two>", text)
    text, marks = _unwrap(text)
    text = _DEED_BEFORE.sub("", text, count=1) if _DEED_BEFORE.match(text) else text
    if deed := _DEED_AFTER.fullmatch(text):
        text = f"{deed['rest']} {deed['half'] or ''}".strip()
    text, before = _take(_BEFORE.match(text), text)
    before = before or marks
    after = _AFTER.fullmatch(text)
    if after:
        text = after["rest"]
    said = [word for word in (before, after["q"].strip("() ") if after else "") if word]
    season = _SEASON.fullmatch(text)
    if season:
        return Phrase(text, " ".join([*said, season["q"]]), bool(said), season=season["s"])
    weekdays = tuple(WEEKDAYS[found["w"]] for found in _WEEKDAY.finditer(text))
    if weekdays:
        text = re.sub(r" {2,}", " ", _WEEKDAY.sub(" ", text)).strip(" ,-")
        text = re.sub(r"^(?:the|le|el) (?=[0-9])", "", text)
    elif short := _SHORT_BEFORE.match(text):
        weekdays, text = (_FOREIGN_SHORT[short["w"]],), text[short.end() :]
    text, night, time_word = _night_and_time(text)
    coarse = _COARSE.fullmatch(text)
    if coarse:
        text, said = coarse["rest"].removeprefix("in "), [*said, coarse["q"]]
    is_open = bool(_OPEN.fullmatch(text))
    qualifier = " ".join([*said, "evening of"] if night == "evening" else said)
    return Phrase(
        text.strip(), qualifier, bool(before or after), weekdays, night if night != "evening" else "", time_word,
        bool(coarse), "", is_open,
    )  # fmt: skip


def _unwrap(text: str) -> tuple[str, str]:
    """The text without brackets around it or a star beside it, and these: marks that the writer was not sure."""
    found = re.fullmatch(
        r"(?P<a>[(\[*]+) ?(?P<rest>[^()\[\]*]+?) ?(?P<b>[)\]*]*)|(?P<bare>[^*]+?) ?(?P<star>\*+)", text
    )
    if not found:
        return text, ""
    return (found["bare"], found["star"]) if found["star"] else (found["rest"], found["a"] + found["b"])


def _take(found: re.Match[str] | None, text: str) -> tuple[str, str]:
    return (text[found.end() :], found["q"]) if found else (text, "")


def _night_and_time(text: str) -> tuple[str, str, str]:
    """The text without "night of" and words of the day, and these."""
    found = _NIGHT.fullmatch(text)
    if found:
        night = "night" if found["night"] else "eve" if found["eve"] else "evening"
        return found["rest"], night, ""
    found = _TIME_WORD_BEFORE.fullmatch(text)
    if found:
        return found["rest"], "", found["word"]
    found = _NIGHT_AFTER.fullmatch(text)
    if found:
        return found["rest"], "night", ""
    found = _TIME_WORD.fullmatch(text)
    if found and not (found["word"] in HALVES and re.search(r":[0-9]{2}$", found["rest"])):
        return found["rest"], "", found["word"]
    return text, "", ""
