"""Marks: PIT tags, toe clips, scale clips and other codes. Writes the code in one spelling, and mark_type.

A code that a spreadsheet has destroyed (a date, powers of ten) is never restored; what it may have been is
offered. A PIT tag in hexadecimal with a dot is written as its 15 decimal digits.

Source: ISO 11784 for tags (see pit_tag.py); common practice, no source, for clips and the rest.

>>> judge_mark("3D9.1BF1A2B3C4", "", MarkContext("PIT tag")).value
'985120018088900'
>>> judge_mark("RH4-LF2", "", MarkContext("toe clip")).value
'LF2-RH4'
>>> judge_mark("2/4/2009", "2009-02-04", MarkContext("toe clip")).readings
('2-4-9', '4-2-9', '2-4', '4-2')
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from dwc_pipeline.core.findings import READINGS_SEPARATOR
from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise import mark_rules as rules
from dwc_pipeline.normalise.clip_code import (
    ImpossibleClip,
    looks_like_feet,
    looks_like_scales,
    looks_like_toes,
    scale_clip,
    toe_clip,
)
from dwc_pipeline.normalise.mark_context import MarkContext, look_of, settled_lengths
from dwc_pipeline.normalise.number import VULGAR_FRACTIONS, plain_typing
from dwc_pipeline.normalise.pit_tag import (
    ISO_DIGITS,
    USUAL_LENGTHS,
    decimal_form,
    digits_were_lost,
    iso_fault,
    with_digits_for_letters,
)
from dwc_pipeline.terms.vocabulary import load_vocabulary

__all__ = ["MarkContext", "judge_mark", "mark_habits"]

#: a longer cell is a remark
LONGEST_MARK = 100
#: a number shorter than its column by more is another kind of mark
MOST_ZEROS_LOST = 3
PIT_TAG, TOE_CLIP, SCALE_CLIP = "PIT tag", "toe clip", "scale clip"
MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
DATE_TEXT = re.compile(
    rf"\d{{1,2}}[-/. ]{MONTH}(?:[-/. ,]+\d{{2,4}})?|{MONTH}[-/. ]\d{{1,4}}(?:[-/. ,]+\d{{2,4}})?"
    r"|\d{1,2}([-/.])\d{1,2}\1(?:\d{4}|0\d)|\d{4}-\d\d-\d\d(?:[ T].*)?|\d{1,2}/\d{1,2}/\d\d",
    re.I,
)
#: words before a code that name its kind
KIND_WORDS = {
    "pit": PIT_TAG,
    "pit tag": PIT_TAG,
    "toe": TOE_CLIP,
    "toe clip": TOE_CLIP,
    "tc": TOE_CLIP,
    "clip": "",
    "tag": "",
    "band": "",
}
#: signs that would join all animals that carry them, if they were read as a mark
NO_CODE = frozenset({"0", "x", "xx", "y", "yes", "n", "✓", "✔", "*", "+"})
#: what a spreadsheet shows where a formula failed, or makes of a typed word; no code
SHEET_WORDS = re.compile(r"#(?:ref!?|n/?a|value!?|name\?|div/0!?|num!|null!|spill!?)|true|false", re.I)
#: a code that no list of forms knows: letters and digits with a digit in it, after a space only behind a short prefix
OTHER_CODE = re.compile(
    r"(?=.*\d)(?:(?!(?:of|or|no|at|in|to|is|ad|on|by) )(?:[a-z]{1,2}|[A-Z]{1,4}) )?(?:[A-Za-z\d]+[./-]?)*[A-Za-z\d]"
)
#: paint and bead codes: initials, with or without marks between them
PAINT_CODE = re.compile(r"[A-Za-z]{1,2}(?:[/-][A-Za-z]{1,2})+|[A-Z]{1,4}")
#: lists whose words stand in a column of marks by a slip of the column
LISTS_OF_OTHER_COLUMNS = ("fate", "vitality", "sex", "lifeStage")
#: a number with a unit measures something
MEASURED = re.compile(r"\d+(?:\.\d+)? ?(?:mm|cm|m|kg|mg|g|oz|in|ft|lb|%|°.*)\b\.?", re.I)
STATUS_WORDS = {"recap": "recapture", "recapture": "recapture", "rec": "recapture", "r": "recapture", "new": "new"}


NO_CONTEXT = MarkContext()


def judge_mark(verbatim: str, stored: str = "", context: MarkContext = NO_CONTEXT) -> Verdict:
    """The code that a cell stands for. stored: the date or time that the file itself holds in the cell."""
    text = plain_typing(verbatim)
    if stored:
        return _destroyed(text, _candidates(stored))
    if re.fullmatch(r"'[^']+", text):  # the sign by which a spreadsheet keeps a cell as text
        text = text[1:]
    if not text:
        return EMPTY
    if SHEET_WORDS.fullmatch(text):
        return unreadable(rules.NOT_READABLE.id, f"'{text}' is what a spreadsheet puts in place of a code.")
    if set(verbatim) & VULGAR_FRACTIONS.keys():  # "1/2" as a code, corrected to one sign
        return unreadable(rules.NOT_READABLE.id, f"'{verbatim.strip()}' is a fraction, not a mark.")
    if len(text) > LONGEST_MARK:
        return unreadable(rules.NOT_READABLE.id, f"'{text[:LONGEST_MARK]}...' is too long for a mark.")
    if DATE_TEXT.fullmatch(text):
        return _destroyed(text, _candidates_of_text(text))
    if word := _word(text):
        return word
    parts = [part for part in re.split(r"\s*[;|]\s*|\s+/\s+|\s+&\s+|\s+and\s+", text) if part]
    if len(parts) > 1 and not looks_like_feet(text) and not looks_like_scales(text):
        return _several(verbatim, parts, context)
    return _one(verbatim, text, context)


def mark_habits(texts: Sequence[str], kind: str = "", names_clips: bool = False) -> MarkContext:
    """What the marks of one column say together: their usual length, and which marks there are.

    texts: the distinct texts of the column. names_clips: whether its header names clips too. The length counts as
    settled if at least five marks are whole numbers and nine in ten of them have it; look-alikes among the column's
    own marks are flagged on both.
    """
    decimals = any(re.fullmatch(r"\d+\.\d*[1-9]\d*", text.strip()) for text in texts)
    alone = MarkContext(kind, names_clips=names_clips, has_decimals=decimals)
    values = [judge_mark(text, "", alone).value for text in texts]
    known = frozenset(value for value in values if value)
    return MarkContext(kind, settled_lengths(values), known, names_clips, decimals)


def _destroyed(text: str, candidates: tuple[str, ...]) -> Verdict:
    return unreadable(
        rules.IS_A_DATE.id, f"'{text}' is a date, not a mark: the code that was typed is gone.", candidates
    )


def _candidates(stored: str) -> tuple[str, ...]:
    """Codes that a spreadsheet would have turned into that date, month first before day first."""
    parts = re.match(r"(\d{4})-(\d\d)-(\d\d)", stored)
    if not parts:
        return ()
    year, month, day = (int(part) for part in parts.groups())
    short_year = year % 100
    codes = [f"{month}-{day}-{short_year}", f"{day}-{month}-{short_year}", f"{month}-{day}", f"{day}-{month}"]
    codes += [f"{month}-{short_year}"] if day == 1 else []
    return tuple(dict.fromkeys(codes))


def _candidates_of_text(text: str) -> tuple[str, ...]:
    """The same for a date that is only text; () if its month is written in letters."""
    numbers = re.findall(r"\d+", text)
    if len(numbers) != 3 or re.search(MONTH, text, re.I):
        return ()
    first, second, year = (int(number) for number in numbers)
    if first > 31:
        return _candidates(text)
    return tuple(dict.fromkeys((f"{first}-{second}-{year % 100}", f"{second}-{first}-{year % 100}")))


def _word(text: str) -> Verdict | None:
    """Words that are no mark: "none", "recap", "NA"; None for all others."""
    entry = load_vocabulary("mark_word").find(text)
    if entry is None:
        return None
    if not entry.also:
        return Verdict(Status.EMPTY, note=f"'{text}' says that no mark was written down.")
    return Verdict(Status.KEPT, note=f"'{text}' is a word, not a mark.", also=entry.also)


def _several(verbatim: str, parts: list[str], context: MarkContext) -> Verdict:
    """Two or more marks in one cell, all of them readable; else the verdict on the first that is not."""
    verdicts = [judge_mark(part, "", context) for part in parts]
    for part, verdict in zip(parts, verdicts, strict=True):
        if not verdict.is_read or not verdict.value:
            note = verdict.note or f"'{part}' is no mark."
            return unreadable(verdict.rule or rules.NOT_READABLE.id, note, verdict.readings)
    value = READINGS_SEPARATOR.join(verdict.value for verdict in verdicts)
    kinds = READINGS_SEPARATOR.join(verdict.also.get("mark_type", "other") for verdict in verdicts)
    if {verdict.also.get("mark_type") for verdict in verdicts} == {TOE_CLIP}:  # "LF2 and RH4" is one set of clips
        return _one(verbatim, " ".join(verdict.value for verdict in verdicts), context)
    note = f"'{verbatim.strip()}' holds {len(parts)} marks."
    if sum(verdict.also.get("mark_type") == PIT_TAG for verdict in verdicts) > 1:  # two tags may be two animals
        tags = tuple(verdict.value for verdict in verdicts)
        return ambiguous(rules.TWO_READINGS.id, f"{note} Two tags in one animal, or two animals?", (value, *tags))
    flags = tuple(flag for verdict in verdicts for flag in verdict.flags)
    return kept_or_changed(verbatim, value, "mark", note, also={"mark_type": kinds}, flags=flags)


def _one(verbatim: str, text: str, context: MarkContext) -> Verdict:
    also: dict[str, str] = {}
    flags: list[Flag] = []
    code, kind = _take_words(text, context.kind, also)
    if code.endswith("?") and code.strip("? "):
        code = code.rstrip("? ")
        if not looks_like_feet(code) and len(code) != ISO_DIGITS:  # a whole code carries doubt, a part of one a gap
            note = f"'{text}': the question mark may stand for a character that could not be read."
            return unreadable(rules.NOT_READABLE.id, note, (code,), also=also)
        flags.append(Flag(rules.DOUBTFUL.id, f"'{text}' carries a question mark."))
    if "?" in code:
        return unreadable(rules.NOT_READABLE.id, f"'{text}': a character could not be read.", also=also)
    if code.casefold() in NO_CODE:
        return unreadable(rules.NOT_READABLE.id, f"'{text}' ticks or crosses the cell; it is no code.", also=also)
    if kind == PIT_TAG and context.names_clips and looks_like_toes(code):
        kind = ""
    if looks_like_feet(code):
        verdict = _clip(code, TOE_CLIP, context)
    elif kind == PIT_TAG or _looks_like_tag(code):
        verdict = _tag(code, context)
    elif kind in (TOE_CLIP, SCALE_CLIP) or looks_like_scales(code):
        verdict = _clip(code, kind or SCALE_CLIP, context)
    else:
        verdict = _short_of_zeros(code, context) or _written_out(code, context) or _other(code)
    also |= verdict.also
    if not verdict.is_read:
        return verdict._replace(also=also)
    flags += [*verdict.flags, *_look_alike(verdict.value, context)]
    note = verdict.note or f"'{text}' is the mark {verdict.value}."
    return kept_or_changed(verbatim, verdict.value, "mark", note, also=also, flags=tuple(flags))


def _other(code: str) -> Verdict:
    """A code of the survey's own; words, measures and several numbers are none."""
    words = code.casefold().split()
    colours = load_vocabulary("mark_colour")
    has_colour = any(colours.find(word) for word in words)
    is_paint = PAINT_CODE.fullmatch(code) or (
        has_colour and all(colours.find(word) or word.isdigit() for word in words)
    )
    if any(load_vocabulary(name).find(code) for name in LISTS_OF_OTHER_COLUMNS):
        return unreadable(rules.NOT_READABLE.id, f"'{code}' is a word of another column; it is no mark.")
    if len(words) == 1 and has_colour:
        note = f"'{code}' is a colour without a number: all animals that carry it would be one."
        return unreadable(rules.NOT_READABLE.id, note, (code,))
    if MEASURED.fullmatch(code) or not (OTHER_CODE.fullmatch(code) or is_paint):
        return unreadable(rules.NOT_READABLE.id, f"'{code}' is a remark, or more than one code; it is no mark.")
    if re.fullmatch(r"(?=.*\d)[A-Za-z\d./-]+", code):
        return Verdict(Status.KEPT, code.upper())  # a12 and A12 are one animal
    return Verdict(Status.KEPT, code)


def _take_words(text: str, kind: str, also: dict[str, str]) -> tuple[str, str]:
    """The code without words before or behind it that tell its kind or whether the animal is new."""
    if behind := re.fullmatch(
        r"(.*\d\S*)\s*\(?\b(recap|recapture|rec|new)\b\.?\)?|(.*\d\S*)\s*\((r|n)\)", text, re.I
    ):
        word = (behind[2] or behind[4]).lower()
        also["capture_status"] = STATUS_WORDS.get(word, "new")
        text = (behind[1] or behind[3]).rstrip(" -,:")
    if before := re.fullmatch(r"(recap|recapture|rec|new)\b[.:,\s-]*(.*\d.*)", text, re.I):
        also["capture_status"] = STATUS_WORDS[before[1].lower()]
        text = before[2]
    if named := re.fullmatch(
        r"(pit tag|pit|toe clip|toe|tc|clip|tag|band)\b[\s.:]*(?:#|no\.?|number)?[\s:]*(.*\d.*)", text, re.I
    ):
        kind = kind or KIND_WORDS[named[1].lower()]
        text = named[2]
    return text.removeprefix("#").strip(), kind


def _looks_like_tag(code: str) -> bool:
    plain = _in_one_group(re.sub(r"[\s-]", "", code).upper())
    is_iso = re.fullmatch(r"\d{9}", code) or re.fullmatch(r"\d{11,}|[0-9A-F]{3}\.[0-9A-F]{10}|[0-9A-F]{13}", plain)
    is_older = re.fullmatch(r"(?=.*\d)[0-9A-F]{10}", plain)
    # One or two letters among the fifteen digits of a tag stand for the digits that they look like: 985141O00748996.
    is_mistyped = sum(map(str.isdigit, plain)) >= ISO_DIGITS - 2 and not iso_fault(with_digits_for_letters(plain))
    return bool(is_iso or is_older or is_mistyped) or digits_were_lost(plain)


def _in_one_group(digits: str) -> str:
    """The fifteen digits of a tag without the points or commas between groups of them; any other text as it is."""
    together = re.sub("[.,]", "", digits)
    is_grouped = re.fullmatch(r"\d{3}(?:\.\d{3,12})+|\d{3}(?:,\d{3,12})+", digits)
    return together if is_grouped and len(together) == ISO_DIGITS else digits


def _tag(code: str, context: MarkContext) -> Verdict:
    """A PIT tag; `also` says that it is one."""
    also = {"mark_type": PIT_TAG}
    plain = re.sub(r"[\s_-]", "", code).upper()
    if digits_were_lost(plain):
        note = f"'{code}': the last digits of this tag were dropped by a spreadsheet."
        return unreadable(rules.DIGITS_LOST.id, note, also=also)
    plain = _in_one_group(plain)
    plain = re.sub(r"(?<=\d{9})\.0?$", "", plain)  # a number written out by a program, or a full stop
    if re.fullmatch(r"[0-9A-F]{3}\.[0-9A-F]{10}", plain) or re.fullmatch(r"(?=.*[A-F])[0-9A-F]{13}", plain):
        return _dotted(code, plain, also)
    if re.fullmatch(rf"\d{{{ISO_DIGITS}}}", plain):
        fault = iso_fault(plain)
        return (
            unreadable(rules.IMPOSSIBLE.id, f"'{code}' {fault}", also=also)
            if fault
            else Verdict(Status.KEPT, plain, also=also)
        )
    if not re.fullmatch(r"[0-9A-F]+", plain):
        return _beyond_hexadecimal(code, plain, context, also)
    return _by_length(code, plain, context, also)


def _dotted(code: str, plain: str, also: dict[str, str]) -> Verdict:
    try:
        decimal = decimal_form(plain)
    except ValueError as fault:
        return unreadable(rules.IMPOSSIBLE.id, f"'{code}': {fault}.", also=also)
    return Verdict(Status.KEPT, decimal, note=f"'{code}' is {decimal} in decimal digits.", also=also)


def _beyond_hexadecimal(code: str, plain: str, context: MarkContext, also: dict[str, str]) -> Verdict:
    repaired = with_digits_for_letters(plain)
    possible = repaired != plain and re.fullmatch(r"[0-9A-F.]+", repaired) and _tag(repaired, context).is_read
    letters = "".join(dict.fromkeys(letter for letter in plain if letter not in "0123456789ABCDEF."))
    note = f"'{code}': a tag has no '{letters}'."
    return unreadable(rules.IMPOSSIBLE.id, note, (repaired,) if possible else (), also=also)


def _by_length(code: str, plain: str, context: MarkContext, also: dict[str, str]) -> Verdict:
    """Tags without a dot other than ISO decimal: older codes, short codes, codes with a digit too few or many."""
    short = _short_of_zeros(plain, context)
    if short and ISO_DIGITS not in context.lengths:  # no ISO code starts with so many zeros
        return short._replace(also=also)
    length = len(plain)
    if length in context.lengths or (length in USUAL_LENGTHS and (length != 9 or plain.isdigit())):
        return Verdict(Status.KEPT, plain, also=also)
    if plain.isdigit() and length > 10:
        readings = (plain[1:],) if length == ISO_DIGITS + 1 and plain[0] == "0" and not iso_fault(plain[1:]) else ()
        return unreadable(rules.IMPOSSIBLE.id, f"'{code}' {iso_fault(plain)}", readings, also=also)
    if length > 10:
        return unreadable(rules.IMPOSSIBLE.id, f"'{code}' has {length} hexadecimal digits.", also=also)
    note = f"'{code}' has {length} characters."
    return Verdict(Status.KEPT, plain, also=also, flags=(Flag(rules.UNUSUAL_LENGTH.id, note),))


def _short_of_zeros(code: str, context: MarkContext) -> Verdict | None:
    """A number shorter than every code of its column; None for all others."""
    longer = sorted(length for length in context.lengths if 0 < length - len(code) <= MOST_ZEROS_LOST)
    if not code.isdigit() or not longer or len(longer) < len(context.lengths):
        return None
    note = f"'{code}' has {len(code)} digits; the others of its column have {' or '.join(map(str, longer))}."
    return unreadable(rules.ZEROS_LOST.id, note, tuple(code.zfill(length) for length in longer))


def _written_out(code: str, context: MarkContext) -> Verdict | None:
    """ "12.0": the number 12 as a program writes it, or one of the column's codes with a point; None for others."""
    if not re.fullmatch(r"\d+\.0", code):
        return None
    whole = code.removesuffix(".0")
    if context.has_decimals:
        note = f"'{code}' is the number {whole} written out, or a code like the others with a point."
        return ambiguous(rules.TWO_READINGS.id, note, (whole, code))
    return Verdict(Status.KEPT, whole, note=f"'{code}' is the number {whole}, written out by a program.")


def _clip(code: str, kind: str, context: MarkContext) -> Verdict:
    also = {"mark_type": kind}
    if kind == TOE_CLIP and context.parts_toes and re.fullmatch(r"[1-5]{2,5}", code) and len(set(code)) == len(code):
        note = (
            f"'{code}' is the number {code}, or the toes {', '.join(code)}: the column writes toes apart elsewhere."
        )
        return ambiguous(rules.TWO_READINGS.id, note, ("-".join(sorted(code)), code), also=also)
    if kind == TOE_CLIP and re.fullmatch(r"\d{1,3},\d{3}|\d+\.\d+", code):
        joined = code.replace(",", "-").replace(".", "-")
        readings = (joined, code.replace(",", ""))
        return ambiguous(
            rules.TWO_READINGS.id, f"'{code}' is a code of two numbers or one number.", readings, also=also
        )
    if kind == TOE_CLIP and (short := _short_of_zeros(code, context)):
        return short._replace(also=also)
    try:
        value = toe_clip(code) if kind == TOE_CLIP else scale_clip(code)
    except ImpossibleClip as fault:
        return unreadable(rules.CLIP_IMPOSSIBLE.id, f"{fault}.", also=also)
    except ValueError as fault:
        return unreadable(rules.NOT_READABLE.id, f"{fault}.", also=also)
    return Verdict(Status.KEPT, value, also=also)


def _look_alike(value: str, context: MarkContext) -> tuple[Flag, ...]:
    look = look_of(value)
    others = tuple(mark for mark in context.by_look.get(look, ()) if mark != value)
    return (Flag(rules.LOOKS_ALIKE.id, f"'{value}' looks like the mark {others[0]}.", others),) if others else ()
