"""The findings that reading a date can raise."""

from __future__ import annotations

from dwc_pipeline.core.rule import Rule, Severity, declare

_WHERE = "Look at the field book, correct the cell or answer the question; the answer is kept for every later run."


def _asks(rule: str, what: str, why: str, remedy: str = _WHERE, source: str = "common practice, no source") -> Rule:
    return declare(Rule(rule, Severity.ERROR, what, why, remedy, source, asks=True))


TWO_READINGS = _asks(
    "date-has-two-readings",
    "The date can be read in more than one way and nothing in the sheet decides between them.",
    "A day and month taken the wrong way round move a capture by months and change the effort of two nights.",
)
NOT_ON_CALENDAR = _asks(
    "date-is-not-on-the-calendar",
    "The cell is written like a date, but the calendar has no such day.",
    "The row cannot be put on any night, so its captures and its effort are lost until it is corrected.",
)
CANNOT_BE_READ = _asks(
    "date-cannot-be-read",
    "The cell is not written in any form of a date that is known here.",
    "The row cannot be put on any night, so its captures and its effort are lost until it is corrected.",
)
YEAR_UNKNOWN = _asks(
    "date-has-no-year",
    "The date gives no year, or no month, and neither titles nor season tell it.",
    "A row without its year cannot be put into a season.",
    "Say which year it is: in the sheet's title, in the survey file, or as an answer.",
)
WEEKDAY_DISAGREES = _asks(
    "date-disagrees-with-its-weekday",
    "The day of the week in the cell is not the one that the date falls on.",
    "One of the two is wrong; if it is the date, the capture is on the wrong night.",
)
RUNS_BACKWARDS = _asks(
    "date-range-runs-backwards",
    "The end of the range lies before its start.",
    "Trap-nights counted over such a range would be negative or a year long.",
)
SEVERAL_DATES = _asks(
    "date-cell-holds-several-dates",
    "The cell holds two or more separate dates, which is not a range.",
    "Read as a range, every night between would be counted as trapped.",
    "Split the row into one row a date, or say that a range is meant.",
)
OUTSIDE_SEASON = _asks(
    "date-outside-season",
    "The date can be read, but lies outside the season of the survey.",
    "Mostly a slip in the year or in the order of day and month; effort and captures land in the wrong season.",
)
IN_THE_FUTURE = _asks(
    "date-in-the-future",
    "The date lies after the day on which the data were prepared.",
    "Nothing can have been caught yet: the year or the month is a slip.",
    source="BDQ draft, VALIDATION_EVENTDATE_INRANGE (latest valid date)",
)
BEFORE_PROJECT = _asks(
    "date-before-project",
    "The date lies before the project began.",
    "Nothing can have been recorded yet: mostly a slip in the year or the century.",
)
FOUR_YEARS_OFF = _asks(
    "date-four-years-off",
    "The date is exactly four years and a day away from one within the season.",
    "Two day counts of spreadsheets, from 1900 and from 1904, differ by 1462 days; copied dates shift silently.",
    "Compare one date of the column with the field book; if it is shifted, so are all the others of that column.",
    source="calendar arithmetic",
)
YEAR_HIDDEN = _asks(
    "date-year-hidden-by-format",
    "The cell shows day and month only; the year stored behind it is the year of typing and does not fit.",
    "Sheets typed up in January carry the new year into the old season.",
    "Say which year it is, or show the year in the spreadsheet and correct it.",
)
TYPED_SWAPPED = _asks(
    "date-typed-cell-may-be-swapped",
    "The spreadsheet stores a date here, but other cells of the column have day and month the other way round.",
    "A spreadsheet set to another country turns every day up to the 12th into a month and leaves the others as text.",
    "Compare with the field book; answer once for the column.",
)
MIDNIGHT_UTC = _asks(
    "date-stored-as-midnight-utc",
    "The cell holds midnight in UTC: either a local date without time, or an instant of the evening before.",
    "Exported databases often store a plain date so; converted to local time it falls a day early.",
)
ZONE_UNKNOWN = _asks(
    "date-needs-the-time-zone",
    "The cell gives a time with an offset from UTC, but the time zone of the survey is not known.",
    "The local date may be the day before or after.",
    "Name the time zone in the survey file, such as America/Chicago.",
)
AGAINST_TITLE = declare(
    Rule(
        "date-disagrees-with-title",
        Severity.WARNING,
        "The date lies in another year or month than the one that the sheet's title or header names.",
        "Either the title was carried over from an older sheet, or the date is a slip.",
        _WHERE,
        asks=True,
    )
)
RARE_FORM = _asks(
    "date-in-a-rare-form",
    "The date makes sense only in an unusual order of year, month and day.",
    "More often such a cell holds a slip of the pen than a rare form.",
)
SMALL_NUMBER = _asks(
    "date-may-be-a-small-number",
    "The date is one that spreadsheets show for a small number or an empty formula.",
    "The cell then holds a count, a trap number or nothing, and no date.",
)
DOUBTFUL = declare(
    Rule(
        "date-doubtful",
        Severity.NOTE,
        "Whoever wrote the date marked it as uncertain.",
        "The date is used as it stands; the mark is kept so that an analysis by night can leave the row out.",
        "Nothing, unless the field book tells the date for certain.",
    )
)
LONG_RANGE = declare(
    Rule(
        "date-range-is-long",
        Severity.WARNING,
        "The cell covers more than two months.",
        "Effort and captures of a row are then spread over many nights; often one end is a slip.",
        _WHERE,
        asks=True,
    )
)
TIME_TOO_COARSE = declare(
    Rule(
        "date-number-too-coarse-for-time",
        Severity.NOTE,
        "The spreadsheet's day number has too few decimals to tell the time of day to the minute.",
        "A time made from it would be wrong by minutes, so only the day is used.",
        "Format the column as date and time in the spreadsheet and export it again.",
        source="calendar arithmetic: a thousandth of a day is 86 s",
    )
)
MIDNIGHT = declare(
    Rule(
        "midnight-may-mean-no-time",
        Severity.NOTE,
        "The time is exactly midnight, which spreadsheets also write where no time was given.",
        "A date and time cell is read as the date alone; a time cell is read as 00:00.",
        "If the trap was really checked at midnight, say so with an answer.",
    )
)
