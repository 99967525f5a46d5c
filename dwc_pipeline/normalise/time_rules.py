"""The findings that reading a time of day can raise."""

from __future__ import annotations

from dwc_pipeline.core.rule import Rule, Severity, declare

_REMEDY = "Look at the field book, correct the cell or answer the question; the answer is kept for every later run."
IS_A_WORD = declare(
    Rule(
        "time-is-a-word",
        Severity.NOTE,
        "The time is told in words, such as dusk or AM, which is no time of the clock.",
        "The words are kept as typed and no clock time is made up from them, so hours of effort stay unknown here.",
        "Write the clock time next season; a computed sunset may stand in the remarks, never as the time.",
    )
)
TWO_READINGS = declare(
    Rule(
        "time-has-two-readings",
        Severity.ERROR,
        "The time can be read in more than one way and nothing decides between them.",
        "A check taken for the evening instead of the morning changes the trap-hours by twelve.",
        _REMEDY,
        asks=True,
    )
)
CANNOT_BE_READ = declare(
    Rule(
        "time-cannot-be-read",
        Severity.ERROR,
        "The cell holds no time of day in any form known here.",
        "Trap-hours and search-hours that start or end here cannot be computed.",
        _REMEDY,
        asks=True,
    )
)
RUN_TOO_LONG = declare(
    Rule(
        "time-run-too-long",
        Severity.ERROR,
        "From the first time to the second more hours pass than any run lasts.",
        "Start and end may be swapped; the effort would come out many times too large.",
        _REMEDY,
        asks=True,
    )
)
OUTSIDE_WORKING_HOURS = declare(
    Rule(
        "time-outside-working-hours",
        Severity.WARNING,
        "The time lies outside the hours in which the protocol works.",
        "Often an evening time typed without pm; the trap-hours would be wrong by twelve.",
        _REMEDY,
        asks=True,
    )
)
DOUBTFUL = declare(
    Rule(
        "time-doubtful",
        Severity.NOTE,
        "Whoever wrote the time marked it as uncertain, with a question mark or a star.",
        "The time is used as it stands; the mark is kept so that an analysis by the hour can leave the row out.",
        "Nothing, unless the field book tells the time for certain.",
    )
)
