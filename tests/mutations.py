"""Ways to break one cell of a clean season, and the rule that must speak of it: all of it data.

typed: what stands in the cell instead. {v} is what stood there; a date gives {y} {m} {d} {dd} {mm} {mon}, a number gives
{x10} {x100} {tenth} {half} {double} {minus}. expects: the rule that must speak on the row; "" where the cell must still be read
without a word. also: consequences that may speak too, on the row or elsewhere. row: what kind of row is broken.
"""
# ruff: noqa: E501 - a break a line

from __future__ import annotations

from typing import NamedTuple


class Mutation(NamedTuple):
    """One break of one cell."""

    sheet: str
    column: str
    typed: str
    expects: str
    also: tuple[str, ...] = ()
    row: str = ""

    @property
    def name(self) -> str:
        """What tells it from all others."""
        return f"{self.sheet}.{self.column} {self.row or 'any'} {self.typed!r}"


def of(sheet: str, column: str, *breaks: tuple[object, ...]) -> list[Mutation]:
    """Several breaks of one column."""
    return [Mutation(sheet, column, *one) for one in breaks]  # type: ignore[arg-type]


NO_CHECK = ("capture-on-a-day-without-a-check", "captures-typed-differ")
LOST_DAY = ("captures-typed-differ",)
CAPTURE_DATES = of(
    "captures", "Date",
    ("{y}-{mm}-32", "date-is-not-on-the-calendar", LOST_DAY),
    ("31 June {y}", "date-is-not-on-the-calendar", LOST_DAY),
    ("29 Feb {y}", "date-is-not-on-the-calendar", LOST_DAY),
    ("{y}-13-{dd}", "date-in-a-rare-form", (*NO_CHECK, "date-outside-season")),
    ("2022-{mm}-{dd}", "date-outside-season", NO_CHECK),
    ("2021-{mm}-{dd}", "date-outside-season", NO_CHECK),
    ("2032-{mm}-{dd}", "date-in-the-future", NO_CHECK),
    ("2203-{mm}-{dd}", "date-is-not-on-the-calendar", LOST_DAY),
    ("1923-{mm}-{dd}", "date-outside-season", NO_CHECK),
    ("{y}-02-{dd}", "date-outside-season", (*NO_CHECK, "species-out-of-its-months")),
    ("", "animal-without-a-date", LOST_DAY),
    ("yesterday", "date-cannot-be-read", LOST_DAY),
    ("{y}-{mm}-??", "date-cannot-be-read", LOST_DAY),
    ("{y}", "date-too-coarse-for-a-check", LOST_DAY),
    ("{mon} {y}", "date-too-coarse-for-a-check", LOST_DAY),
    ("7/8/{y}", "date-has-two-readings", LOST_DAY),
    ("7/8/23", "date-has-two-readings", LOST_DAY),
    ("{d} {mon}", "", ()),
    ("{mon} {d}, {y}", "", ()),
    ("{d}-{mon}-{y}", "", ()),
    ("{m}/{d}/{y}", "", (), "day over 12"),
    ("{d}.{m}.{y}", "", (), "day over 12"),
    ("  {v} ", "", ()),
    ("{y}-{mm}-{dd}T00:00", "", ()),
    ("{y}/{mm}/{dd}", "", ()),
    ("{y}{mm}{dd}", "", ()),
    ("Mon {d} {mon} {y}", "date-disagrees-with-its-weekday", LOST_DAY, "no Monday"),
    ("{y}-{mm}-{dd} to {y}-{mm}-01", "date-range-runs-backwards", LOST_DAY),
    ("{y}-{mm}-{dd}, {y}-09-09", "date-cell-holds-several-dates", LOST_DAY),
)  # fmt: skip
HOURS = ("capture-hours-from-the-only-check",)
CAPTURE_TIMES = of(
    "captures", "Time",
    ("25:10", "time-cannot-be-read"), ("07:75", "time-cannot-be-read"), ("noonish", ""),
    ("7.5.3", "time-cannot-be-read"), ("02:10", "time-outside-working-hours", HOURS),
    ("23:40", "time-outside-working-hours", HOURS),
    ("7:{minute}", ""), ("07h{minute}", ""), ("07{minute}", ""), ("07:{minute} am", ""), ("", ""),
)  # fmt: skip
CAPTURE_PLACES = of(
    "captures", "Place",
    ("A9", "place-not-in-place-list", LOST_DAY), ("Q1", "place-not-in-place-list", LOST_DAY),
    ("North fence", "place-not-in-place-list", LOST_DAY), ("", "animal-without-a-place", LOST_DAY),
    ("a{n}", ""), (" A{n} ", ""), ("A 0{n}", ""), ("A{n}?", "place-not-in-place-list", LOST_DAY),
    ("S1", "capture-on-a-day-without-a-check", (*LOST_DAY, "trap-list-missing")),
)  # fmt: skip
CAPTURE_TRAPS = of(
    "captures", "Trap",
    ("F9", "trap-not-in-place-list"), ("P4", "trap-not-in-place-list"), ("X1", "trap-not-in-place-list"),
    ("F", "trap-has-two-readings"), ("9", "trap-not-in-place-list"), ("F1?", "trap-not-in-place-list"),
    ("funnel 2", ""), ("f2", ""), ("F-3", ""), ("F02", ""), ("", ""),
)  # fmt: skip
CAPTURE_NAMES = of(
    "captures", "Species",
    ("Sceloporus consobrinos", "name-repaired", (), "lizard SCCO"),
    ("Sceloporous consobrinus", "name-repaired", (), "lizard SCCO"),
    ("Crotalus virdis", "venomous-name-by-repair", (), "rattlesnake"),
    ("Zzyx nonesuch", "name-not-in-checklist"),
    ("Lampropeltis gentilis", "name-not-in-checklist", (), "snake THRA"),
    ("HOMA", "name-not-in-checklist", ("code-fits-another-name",)),
    ("", "measurements-without-a-name", LOST_DAY),
    ("none", "count-beside-no-animals", ("captures-typed-differ", "no-animals-and-a-capture")),
    ("NA", "na-in-the-name-column", LOST_DAY),
    ("closed", "trap-state-in-the-name-column", LOST_DAY),
    ("Sceloporus/Aspidoscelis", "identification-doubtful", LOST_DAY),
    ("Thamnophis cf. radix", "identification-doubtful", (), "snake THRA"),
    ("Thamnophis radix?", "identification-doubtful", (), "snake THRA"),
    ("unknown lizard", "", (), "lizard"),
    ("SCCO", "", (), "lizard SCCO"), ("scco", "", (), "lizard SCCO"), ("S. consobrinus", "", (), "lizard SCCO"),
    ("  Thamnophis  radix ", "", (), "snake THRA"), ("THAMNOPHIS RADIX", "", (), "snake THRA"),
    ("Spea bombifrons", "field-of-another-group", ("mark-on-two-species", "mass-does-not-fit-the-length", "size-does-not-fit-the-stage", "longer-than-the-record", "far-longer-than-the-record", "mass-outside-the-checklist", "mass-impossible-for-the-length"), "snake THRA new"),
    ("Cryptotis parvus", "target-fields-on-by-catch", ("captures-typed-differ", "mass-does-not-fit-the-length"), "frog"),
)  # fmt: skip
CAPTURE_COUNTS = of(
    "captures", "N",
    ("0", "count-zero-with-a-name", LOST_DAY), ("-1", "count-not-a-whole-number", LOST_DAY),
    ("1.5", "count-not-a-whole-number", LOST_DAY), ("many", "count-is-vague", (*LOST_DAY, "several-animals-with-one-measurement")), ("~3", "count-is-vague", (*LOST_DAY, "several-animals-with-one-measurement")),
    ("1?", "count-doubtful", LOST_DAY), ("two lots", "count-not-a-whole-number", LOST_DAY),
    ("3", "several-animals-with-one-measurement", LOST_DAY), ("30", "several-animals-with-one-measurement", ("captures-typed-differ", "many-animals-in-one-trap")),
    ("1-2", "count-is-vague", LOST_DAY), ("one", ""), (" 1 ", ""), ("1.0", ""),
)  # fmt: skip
CAPTURE_WORDS = [
    *of("captures", "Sex", ("Q", "word-not-in-list"), ("M/F", "word-has-two-readings"), ("M?", "word-is-doubtful"), ("male", ""), ("m", ""), ("♀", "", (), "female"), ("hembra", "")),
    *of("captures", "Age", ("zz", "word-not-in-list"), ("juvenile", "size-does-not-fit-the-stage"), ("hatchling", "size-does-not-fit-the-stage", ("sex-of-an-animal-too-young",)),
        ("tadpole", "stage-the-animal-cannot-have", ("size-does-not-fit-the-stage", "sex-of-an-animal-too-young"), "snake"), ("adult", ""), ("A", "")),
    *of("captures", "Repro", ("gravid", "gravid-male-or-young", (), "male"), ("blorp", "word-not-in-list")),
    *of("captures", "Status", ("new", "known-mark-without-the-flag", (), "recapture"), ("recap", "recapture-without-a-first-capture", ("recapture-of-a-mark-from-before", "recapture-before-its-first-capture"), "new lizard alone"),
        ("maybe", "word-not-in-list"), ("R", "", (), "recapture")),
    *of("captures", "Fate", ("dead", "word-has-two-readings", ("dead-without-a-fate", "fates-do-not-add-up", "death-without-a-cause"), "new alone"), ("died in trap", "death-without-a-cause", ("deaths-over-the-limit",), "new alone"),
        ("", "fates-do-not-add-up"), ("eaten by me", "word-not-in-list"), ("voucher", "voucher-without-a-number", ("death-without-a-cause",), "new alone"), ("rel", "")),
    *of("captures", "By", ("ZZ", "observer-not-in-people-list"), ("A", "observer-not-in-people-list"), ("AS, BQ", ""), ("Ada Sandsage", ""), ("as", "")),
]  # fmt: skip
FITS = (
    "mass-does-not-fit-the-length",
    "total-differs-from-svl-and-tail",
    "size-does-not-fit-the-stage",
    "mass-impossible-for-the-length",
    "tail-far-shorter-than-usual",
)
CAPTURE_SIZES = [
    *of("captures", "SVL",
        ("{x10}", "far-longer-than-the-record", FITS, "new alone"), ("{tenth}", "shorter-than-any-hatchling", (*FITS, "tail-as-long-as-the-body"), "new alone snake"),
        ("{double}", "longer-than-the-record", (*FITS, "far-longer-than-the-record"), "new alone"), ("{v}?", "digit-not-read"), ("5?", "digit-not-read", FITS, "lizard"),
        ("-{v}", "quantity-not-positive"), ("0", "quantity-not-positive"), ("long", "quantity-not-readable"), ("{v}d", "quantity-not-readable"),
        ("{v} g", "unit-of-another-kind"), ("{v} furlongs", "quantity-not-readable"), (">{v}", "quantity-is-a-limit"), ("12 34", "quantity-not-readable"),
        ("{v} mm", ""), ("'{v}", ""), ("{v}.0", ""), ("{cm} cm", "unit-differs-from-column"), (" {v}", ""), ("-", ""),
        ("{less20}", "svl-shrank", FITS, "recapture lizard"), ("{less7}", "svl-shrank-somewhat", FITS, "recapture snake"),
        ("{more30}", "total-differs-from-svl-and-tail", (*FITS, "longer-than-the-record", "svl-grew-too-fast"), "recapture lizard")),
    *of("captures", "Tail",
        ("{x10}", "total-differs-from-svl-and-tail", ("tail-as-long-as-the-body",), "tailed"), ("{tenth}", "total-differs-from-svl-and-tail", ("tail-far-shorter-than-usual",), "tailed"),
        ("31", "field-of-another-group", (), "frog"), ("long", "quantity-not-readable", (), "tailed"), ("0", "quantity-not-positive", (), "tailed"), ("{v} regen", "", (), "tailed")),
    *of("captures", "Total",
        ("{x10}", "total-differs-from-svl-and-tail", (), "tailed"), ("{plus50}", "total-differs-from-svl-and-tail", (), "tailed"), ("{tenth}", "total-differs-from-svl-and-tail", (), "tailed"), ("abc", "quantity-not-readable", (), "tailed")),
    *of("captures", "Mass",
        ("{x10}", "mass-does-not-fit-the-length", ("mass-outside-the-checklist", "mass-impossible-for-the-length"), "new alone"),
        ("{x100}", "mass-does-not-fit-the-length", ("mass-outside-the-checklist", "mass-impossible-for-the-length"), "new alone"),
        ("{tenth}", "mass-does-not-fit-the-length", ("mass-outside-the-checklist", "mass-impossible-for-the-length"), "new alone"),
        ("0", "quantity-not-positive"), ("-3", "quantity-not-positive"), ("heavy", "quantity-not-readable"), ("{v}?", "digit-not-read"), ("<1", "quantity-is-a-limit"),
        ("{v} mm", "unit-of-another-kind"), ("{v} stone-ish", "quantity-not-readable"), ("3?", "digit-not-read"), ("{v} g", ""), ("{v}g", ""), ("", ""), ("{comma}", "", (), "decimal mass")),
    *of("captures", "Mark",
        ("9.85141E+14", "tag-digits-lost", ("recapture-without-a-first-capture",), "snake new alone"), ("98514100070013", "tag-impossible", (), "snake new alone"), ("9851410007001377", "tag-impossible", (), "snake new alone"),
        ("{oh}", "tag-impossible", (), "snake new alone"), ("{v}  ", "", (), "snake new alone"),
        ("4-Feb", "mark-is-a-date", (), "lizard new alone"), ("2023-04-02", "mark-is-a-date", (), "lizard new alone"), ("?", "", (), "lizard new alone"),
        ("x", "mark-not-readable", (), "lizard new alone"), ("LF9", "clip-impossible", (), "lizard new alone"), ("LF2-LF2", "clip-impossible", (), "lizard new alone"), ("19-1?-3", "mark-not-readable", (), "lizard new alone"),
        ("{v}?", "mark-not-readable", (), "lizard new alone"), ("none", "", (), "lizard new alone"),
        ("{othermark}", "mark-on-two-species", ("known-mark-without-the-flag",), "snake THRA new alone"),),
]  # fmt: skip
#: an interval that cannot be told leaves captures, days and closings without what they hang on
LOG_LOSS = (
    "capture-on-a-day-without-a-check",
    "captures-typed-differ",
    "day-without-a-check",
    "check-interval-over-the-limit",
    "check-interval-over-the-heat-limit",
)
LOG = [
    *of("log", "Date",
        ("{y}-{mm}-45", "date-is-not-on-the-calendar", (*LOG_LOSS, "log-row-without-place-or-date"), "check"), ("2022-{mm}-{dd}", "date-outside-season", (*LOG_LOSS, "check-of-a-closed-array"), "check"),
        ("2033-{mm}-{dd}", "date-in-the-future", (*LOG_LOSS, "check-of-a-closed-array"), "check"), ("", "log-row-without-place-or-date", LOG_LOSS, "check"), ("soon", "date-cannot-be-read", (*LOG_LOSS, "log-row-without-place-or-date"), "check"),
        ("{y}-01-{dd}", "date-outside-season", (*LOG_LOSS, "check-of-a-closed-array"), "check"), ("{d} {mon} {y}", "", (), "check")),
    *of("log", "Place",
        ("A9", "place-not-in-place-list", (*LOG_LOSS, "log-row-without-place-or-date"), "check"), ("", "log-row-without-place-or-date", LOG_LOSS, "check"), ("Z", "place-not-in-place-list", (*LOG_LOSS, "log-row-without-place-or-date"), "check")),
    *of("log", "What",
        ("checked", "session-never-closed", ("array-opened-twice",), "closing elsewhere"), ("opened", "array-opened-twice", (*LOG_LOSS, "session-never-closed"), "check"), ("closed", "", (*LOG_LOSS, "check-of-a-closed-array", "array-closed-twice"), "last but one"),
        ("", "log-row-without-an-action", LOG_LOSS, "check"), ("frobbed", "word-not-in-list", LOG_LOSS, "check"), ("checked", "check-of-a-closed-array", (*LOG_LOSS, "array-closed-twice"), "opening"), ("chkd", "", (), "check")),
    *of("log", "Time",
        ("26:00", "time-cannot-be-read", (), "check"), ("03:10", "check-outside-working-hours", ("check-interval-over-the-limit",), "check"), ("7", "time-has-two-readings", (), "check"), ("dawn", "", (), "check"),
        ("21:30", "check-outside-working-hours", ("check-interval-over-the-limit", *HOURS), "check")),
    *of("log", "State",
        ("F3 closed", "trap-counts-do-not-add-up", (), "check"), ("P2 gizzled", "trap-state-not-in-list", ("trap-counts-do-not-add-up",), "check"), ("F99 closed", "trap-not-in-place-list", ("trap-counts-do-not-add-up", "trap-state-not-in-list"), "check"),
        ("{usedtrap} closed", "trap-counts-do-not-add-up", ("trap-closed-and-with-a-capture",), "check"), ("P1 flooded", "", ("trap-counts-do-not-add-up",), "check"), ("all ok", "", (), "check")),
    *of("log", "Open",
        ("11", "trap-counts-do-not-add-up", (), "check"), ("120", "trap-counts-do-not-add-up", (), "check"), ("twelve?", "quantity-not-readable", (), "check"), ("-12", "quantity-not-positive", (), "check"), ("x", "quantity-not-readable", (), "check"), ("", "", (), "check")),
    *of("log", "Animals",
        ("3", "captures-typed-differ", (), "check"), ("1", "captures-typed-differ", (), "check"), ("0", "captures-typed-differ", (), "check"), ("lots", "quantity-not-readable", (), "check"), ("", "", (), "check"), ("two", "quantity-not-readable", (), "check")),
    *of("log", "Air",
        ("68", "temperature-impossible", (), "check"), ("220", "temperature-impossible", (), "check"), ("-60", "temperature-out-of-range", (), "check"), ("warm", "quantity-not-readable", (), "check"), ("{v} C", "", (), "check"), ("20?", "digit-not-read", (), "check")),
    *of("log", "High",
        ("5", "temperatures-contradict", (), "check"), ("88", "temperature-impossible", ("check-interval-over-the-heat-limit",), "check"), ("37", "check-interval-over-the-heat-limit", (), "check"), ("hot", "quantity-not-readable", (), "check")),
    *of("log", "Low", ("33", "temperatures-contradict", (), "check"), ("cold", "quantity-not-readable", (), "check"), ("-80", "temperature-impossible", (), "check")),
    *of("log", "By", ("QQ", "observer-not-in-people-list", (), "check"), ("AS + BQ", "", (), "check")),
]  # fmt: skip
POINT = (
    "coordinate-uncertainty-unknown",
    "two-places-at-one-point",
    "place-not-in-place-list",
    "one-array-at-many-positions",
    "event-at-another-place-than-its-parent",
)
SITES = [
    *of("sites", "Lat",
        ("96.80650", "position-is-out-of-range", POINT), ("367.5000", "position-is-out-of-range", POINT), ("north", "position-is-not-a-coordinate", POINT), ("", "position-lacks-its-other-half", POINT),
        ("46.80650", "place-far-from-the-others", POINT), ("-36.80650", "place-far-from-the-others", POINT), ("0", "position-is-zero", POINT), ("36,80650", "", ()), ("3680650", "position-lost-its-decimal-point", POINT)),
    *of("sites", "Lon", ("99.66550", "position-has-no-sign-or-letter", POINT), ("-9.66550", "place-far-from-the-others", POINT), ("-199.6655", "position-is-out-of-range", POINT), ("99.66550 W", "position-has-no-sign-or-letter", POINT), ("west", "position-is-not-a-coordinate", POINT)),
    *of("sites", "Datum", ("", "datum-not-recorded", POINT), ("GPS", "datum-cell-holds-no-datum", (*POINT, "datum-not-recorded")), ("NAD83", "", ())),
    *of("sites", "Acc", ("-4", "quantity-not-positive", POINT), ("good", "quantity-not-readable", POINT), ("0", "coordinate-uncertainty-unknown", POINT), ("4 m", "", ())),
    *of("sites", "Elev", ("high", "quantity-not-readable"), ("610 m", "")),
    *of("sites", "Place", ("A1", "place-listed-twice", ("place-not-in-place-list", "captures-typed-differ", "capture-on-a-day-without-a-check", "log-row-without-place-or-date", "number-of-traps-unknown", "trap-list-missing"))),
    *of("sites", "Traps", ("B1, F1-F8", "trap-not-in-place-list", ("trap-counts-do-not-add-up", "trap-state-not-in-list"), "elsewhere"), ("", "trap-list-missing", ("trap-counts-do-not-add-up", "number-of-traps-unknown"), "elsewhere")),
    *of("sites", "Kind", ("blob", "word-not-in-list")),
]  # fmt: skip
RUN = ("find-without-a-run", "run-effort-unknown", "run-without-place-or-date", "dates-run-backwards")
RUNS = [
    *of("runs", "Date", ("2023-06-31", "date-is-not-on-the-calendar", RUN), ("2022-06-12", "date-outside-season", RUN), ("", "run-without-place-or-date", RUN), ("later", "date-cannot-be-read", RUN)),
    *of("runs", "Route", ("R9", "place-not-in-place-list", RUN), ("", "run-without-place-or-date", RUN)),
    *of("runs", "Start", ("25:70", "time-cannot-be-read", RUN), ("", "run-effort-unknown", RUN), ("evening", "run-effort-unknown", RUN), ("9:10 pm", "")),
    *of("runs", "End", ("17:00", "run-longer-than-believed", RUN), ("", "run-effort-unknown", RUN), ("late", "time-cannot-be-read", RUN)),
    *of("runs", "Odo2", ("41000", "odometer-runs-backwards", RUN), ("far", "quantity-not-readable", RUN), ("", "run-effort-unknown", RUN)),
    *of("runs", "N obs", ("0", "run-effort-unknown", RUN), ("two or three", "quantity-not-readable", RUN)),
    *of("runs", "Temp", ("75", "temperature-impossible"), ("mild", "quantity-not-readable")),
    *of("runs", "By", ("XX", "observer-not-in-people-list")),
]  # fmt: skip
ROAD_FINDS = [
    *of("road_finds", "Run", ("RR99", "run-named-and-run-by-time-differ")),
    *of("road_finds", "Date", ("2023-06-31", "date-is-not-on-the-calendar", RUN), ("2023-09-29", "find-without-a-run", RUN), ("2013-06-14", "date-outside-season", RUN)),
    *of("road_finds", "Time", ("30:00", "time-cannot-be-read", RUN), ("", "")),
    *of("road_finds", "Species", ("Nullus nemo", "name-not-in-checklist"), ("", "row-without-an-animal"), ("snake sp.", "")),
    *of("road_finds", "State", ("flat", "word-not-in-list"), ("DOR", ""), ("alive?", "word-is-doubtful")),
    *of("road_finds", "Lat", ("367.7000", "position-is-out-of-range", POINT), ("", "position-lacks-its-other-half", POINT), ("26.77137", "find-far-from-the-others", POINT), ("36.7", "", ()), ("up north", "position-is-not-a-coordinate", POINT), ("-36.77137", "find-far-from-the-others", POINT)),
    *of("road_finds", "Lon", ("99.60113", "position-has-no-sign-or-letter", POINT), ("-9960113", "position-lost-its-decimal-point", POINT), ("0", "position-has-no-sign-or-letter", POINT)),
    *of("road_finds", "Acc", ("", "coordinate-uncertainty-unknown"), ("-5", "quantity-not-positive", POINT), ("ok", "quantity-not-readable", POINT)),
]  # fmt: skip
SEARCHES = [
    *of("searches", "Date", ("2023-02-30", "date-is-not-on-the-calendar", RUN), ("2020-06-14", "date-outside-season", RUN)),
    *of("searches", "Site", ("S9", "place-not-in-place-list", RUN)),
    *of("searches", "Start", ("9:99", "time-cannot-be-read", RUN), ("", "run-effort-unknown", RUN)),
    *of("searches", "End", ("08:00", "run-longer-than-believed", RUN), ("", "run-effort-unknown", RUN)),
    *of("searches", "People", ("", "", ()), ("few", "quantity-not-readable", RUN), ("0", "run-effort-unknown", RUN)),
    *of("searches", "Covers", ("lots", "quantity-not-readable"), ("-5", "quantity-not-positive")),
    *of("searches", "Temp", ("19 K", "quantity-not-readable"), ("66", "temperature-impossible")),
    *of("searches", "By", ("QQ", "observer-not-in-people-list")),
    *of("search_finds", "Date", ("2023-09-28", "find-without-a-run", RUN), ("2023-06-31", "date-is-not-on-the-calendar", RUN)),
    *of("search_finds", "Species", ("Aspidoscelis sexlineata", "", (), "ASSE"), ("Gone away", "name-not-in-checklist")),
    *of("search_finds", "SVL", ("600", "far-longer-than-the-record", FITS), ("big", "quantity-not-readable")),
    *of("search_finds", "Search", ("S77", "find-without-a-run")),
    *of("search_finds", "Site", ("S8", "place-not-in-place-list", RUN)),
]  # fmt: skip
MUTATIONS: tuple[Mutation, ...] = (
    *CAPTURE_DATES, *CAPTURE_TIMES, *CAPTURE_PLACES, *CAPTURE_TRAPS, *CAPTURE_NAMES, *CAPTURE_COUNTS, *CAPTURE_WORDS, *CAPTURE_SIZES,
    *LOG, *SITES, *RUNS, *ROAD_FINDS, *SEARCHES,
)  # fmt: skip
