"""The findings that a cell with a mark can raise."""

from __future__ import annotations

from dwc_pipeline.core.rule import Rule, Severity, declare

LOSES_ANIMAL = "A wrong mark joins two animals or splits one: every recapture and growth rate of them is wrong."

IS_A_DATE = declare(
    Rule(
        id="mark-is-a-date",
        severity=Severity.ERROR,
        what="A mark column holds a date: the spreadsheet has turned a clip code such as 2-4-9 into one.",
        why="The code that was typed is gone. " + LOSES_ANIMAL,
        remedy="Find the code on the paper sheet and answer with it; the candidates are offered, none is restored. "
        "Format the column as text before typing.",
        asks=True,
    )
)
DIGITS_LOST = declare(
    Rule(
        id="tag-digits-lost",
        severity=Severity.ERROR,
        what="A tag code stands in powers of ten or ends in many zeros: the spreadsheet has dropped its last digits.",
        why="All tags of one batch may now look equal. " + LOSES_ANIMAL,
        remedy="Take the code from the paper sheet or the reader's own file. Make the column text before typing.",
        asks=True,
    )
)
IMPOSSIBLE = declare(
    Rule(
        id="tag-impossible",
        severity=Severity.ERROR,
        what="A tag code cannot exist: over 38 bits, of a wrong length, or with letters beyond F.",
        why="At least one character is wrong. " + LOSES_ANIMAL,
        remedy="Take the code from the paper sheet or the reader's own file.",
        source="ISO 11784 (10 bits country or manufacturer, 38 bits national code); lengths: common practice",
        asks=True,
    )
)
UNUSUAL_LENGTH = declare(
    Rule(
        id="tag-length-unusual",
        severity=Severity.WARNING,
        what="A tag code is not 15 or 9 decimal or 10 hexadecimal digits long.",
        why="It may be a short code of the survey's own, or one with a character missing.",
        remedy="Check it against the paper sheet. Nothing, if tags of that length are in use.",
    )
)
ZEROS_LOST = declare(
    Rule(
        id="mark-leading-zeros-lost",
        severity=Severity.ERROR,
        what="A mark is shorter than all others of its column: its leading zeros, or another digit, are missing.",
        why=LOSES_ANIMAL,
        remedy="Compare with the paper sheet and answer with the whole code.",
        asks=True,
    )
)
CLIP_IMPOSSIBLE = declare(
    Rule(
        id="clip-impossible",
        severity=Severity.ERROR,
        what="A clip code names a toe or scale that does not exist, or the same one twice.",
        why=LOSES_ANIMAL,
        remedy="Correct the code from the paper sheet.",
        asks=True,
    )
)
TWO_READINGS = declare(
    Rule(
        id="mark-has-two-readings",
        severity=Severity.ERROR,
        what="A mark can be read as two different codes.",
        why=LOSES_ANIMAL,
        remedy="Answer with the code that was meant.",
        asks=True,
    )
)
NOT_READABLE = declare(
    Rule(
        id="mark-not-readable",
        severity=Severity.ERROR,
        what="A mark cannot be read: characters are missing or it is no code of its kind.",
        why=LOSES_ANIMAL,
        remedy="Correct the code from the paper sheet, or clear the cell if the animal was not marked.",
        asks=True,
    )
)
DOUBTFUL = declare(
    Rule(
        id="mark-doubtful",
        severity=Severity.WARNING,
        what="A mark carries a question mark.",
        why="Natural toe loss and a misread tag make false matches: a doubtful mark is not proof of a recapture.",
        remedy="Check it against the paper sheet; remove the question mark if it is certain.",
    )
)
LOOKS_ALIKE = declare(
    Rule(
        id="mark-looks-like-another",
        severity=Severity.WARNING,
        what="A mark differs from a known one only by characters that look alike (O 0, I 1, B 8, S 5, Z 2) or zeros.",
        why="It is probably the same animal, read or typed wrongly once; nothing is joined without a person.",
        remedy="Compare both rows; correct the mark that is wrong.",
    )
)
