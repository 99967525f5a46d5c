"""The faults planted in captures_KM.xlsx, each on a record of its own."""

from __future__ import annotations

import datetime as dt

from make.picking import has_two_readings, met_again, of
from make.rows import Planter, Row
from make.season import Visit


def plant_in_km(rows: list[Row], planter: Planter) -> None:
    """Faults of captures_KM.xlsx; rows are added and changed in place."""
    _km_dates(rows, planter)
    _km_names_and_words(rows, planter)
    _km_quantities(rows, planter)
    _km_places(rows, planter)
    _km_individuals(rows, planter)
    _km_reading(rows, planter)


def _km_dates(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    row = pick(rows, lambda one: of()(one) and has_two_readings(one))
    day = row.truth.visit.at
    plant(
        "date-order-by-evidence",
        row,
        "Date",
        f"{day.month}/{day.day}/2025",
        "recover",
        f"{day:%Y-%m-%d}: month first, since the column also has dates such as 5/14/2025",
    )
    row = pick(rows, of(session=1))
    day = row.truth.visit.at
    plant("two-digit-year", row, "Date", f"{day.month}/{day.day}/25", "recover", f"{day:%Y-%m-%d}")
    row = pick(rows, of(session=2))
    day = row.truth.visit.at
    serial = (day.date() - dt.date(1899, 12, 30)).days
    plant("serial-number-date", row, "Date", serial, "recover", f"{day:%Y-%m-%d}")
    row = pick(rows, of(session=3))
    plant("impossible-date", row, "Date", "6/31/2025", "catch", "no such day; the row waits, true day not guessed")
    row = pick(rows, of(session=2))
    day = row.truth.visit.at
    plant(
        "year-wrong", row, "Date", f"{day.month}/{day.day}/2024", "catch", "outside the season; not changed to 2025"
    )
    row = pick(rows, lambda one: of(session=1)(one) and one.truth.visit.at.hour == 7)
    plant(
        "time-outside-protocol",
        row,
        "Time",
        f"{row.truth.visit.at.hour + 12}:{row.truth.visit.at.minute:02d}",
        "catch",
        "an hour at which nobody checks on such a day; morning typed as evening",
    )


def _km_names_and_words(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    plant(
        "code-collision",
        pick(rows, of(name="Sceloporus consobrinus")),
        "Sp",
        "SCCO",
        "ask",
        "Sceloporus consobrinus or Scaphiopus couchii",
    )
    plant(
        "code-of-old-genus",
        pick(rows, of(name="Anaxyrus woodhousii")),
        "Sp",
        "BUWO",
        "recover",
        "Anaxyrus woodhousii",
    )
    plant(
        "common-name",
        pick(rows, of(name="Aspidoscelis sexlineatus")),
        "Sp",
        "racerunner",
        "recover",
        "Aspidoscelis sexlineatus",
    )
    plant(
        "name-unknown-code",
        pick(rows, of(name="Holbrookia maculata")),
        "Sp",
        "HOMX",
        "catch",
        "a code on no list; codes are never repaired",
    )
    row = pick(rows, of("snake", session=3))
    row.cells.update(
        {
            "Sex": "",
            "Age": "",
            "SVL mm": "",
            "Tail mm": "",
            "Mass g": "",
            "Tag/clip": "",
            "N/R": "",
            "Fate": "escaped before processing",
        }
    )
    plant("unknown-snake", row, "Sp", "unknown snake", "keep", "Serpentes")
    plant(
        "bycatch",
        pick(rows, lambda one: one.truth and one.truth.name == "Peromyscus sp."),
        "*",
        "Peromyscus sp.",
        "keep",
        "Peromyscus, not a target taxon",
    )
    plant("species-blank", pick(rows, of("lizard", session=4)), "Sp", "", "catch", "measurements without a species")
    young = pick(rows, lambda one: of("snake")(one) and not one.truth.adult)
    young.cells["Age"] = ""
    words = f"juv {young.truth.kind.common}"
    plant("stage-in-name", young, "Sp", words, "recover", f"{young.truth.name}, life stage juvenile")
    spider = pick(rows, lambda one: one.truth and one.truth.name == "wolf spider")
    spider.cells["n"], spider.truth.count = "", 3
    plant("count-in-name", spider, "Sp", "wolf spider x3", "recover", "wolf spider, count 3, not a target taxon")
    plant(
        "spaces", pick(rows, of(name="Holbrookia maculata")), "Sp", "  HOMA\u00a0 ", "recover", "Holbrookia maculata"
    )
    young = pick(rows, lambda one: of()(one) and not one.truth.adult)
    young.cells["Age"] = ""
    plant("age-in-sex-column", young, "Sex", "juv", "recover", "life stage juvenile, no sex")
    plant("sex-unknown", pick(rows, of("anuran")), "Sex", "?", "recover", "no sex; the mark is kept in remarks")
    plant("count-zero-with-species", pick(rows, of("anuran", session=2)), "n", 0, "catch", "count 0 with a species")
    for session, visit_rows in ((1, 3), (3, 2)):
        for _ in range(visit_rows):
            _add_empty_check(rows, session)
    empty = next(row for row in rows if row.cells["Sp"] == "none")
    plant("empty-check", empty, "*", "none", "keep", "an empty check, no animal")


def _add_empty_check(rows: list[Row], session: int) -> None:
    """A row `none` for an empty check, put before the first capture made after it."""
    visits = EMPTY_VISITS[session]
    visit = visits.pop(0)
    at = next(n for n, row in enumerate(rows) if row.truth and row.truth.visit.at > visit.at)
    cells = dict.fromkeys(rows[0].cells, "")
    cells.update(
        {
            "Date": f"{visit.at.month}/{visit.at.day}/2025",
            "Time": f"{visit.at.hour}:{visit.at.minute:02d}",
            "Array": visit.array,
            "Sp": "none",
            "Obs": "KM",
        }
    )
    rows.insert(at, Row(cells, None))


#: Visits without animals by session, set before planting: where the observer typed a row `none`.
EMPTY_VISITS: dict[int, list[Visit]] = {}


def _km_quantities(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    row = pick(rows, of("snake", marked=True))
    plant("bag-subtraction", row, "Mass g", f"{row.truth.mass + 17.5:g}-17.5", "recover", f"{row.truth.mass:g} g")
    plant(
        "less-than",
        pick(rows, of(name="Gastrophryne olivacea")),
        "Mass g",
        "<1",
        "catch",
        "no number: mass kept as words, not as 1",
    )
    row = pick(rows, of("lizard"))
    plant(
        "slipped-decimal",
        row,
        "Mass g",
        round(row.truth.mass * 10),
        "catch",
        f"mass outlier; about {row.truth.mass} g expected",
    )
    row = pick(rows, of("lizard"))
    plant("unit-in-cell", row, "Mass g", f"{row.truth.mass} g", "recover", f"{row.truth.mass:g} g")
    row = pick(rows, of("snake", session=4))
    words = f"{row.truth.mass:g} (scale not calibrated)"
    plant("remark-in-cell", row, "Mass g", words, "recover", f"{row.truth.mass:g} g; the remark is kept")
    row = pick(rows, of("lizard"))
    plant("letter-on-number", row, "SVL mm", f"{row.truth.svl}d", "catch", "a footnote letter, a unit or a slip")
    row = pick(rows, of("lizard"))
    plant(
        "digit-not-read", row, "Mass g", f"{str(row.truth.mass)[0]}?", "catch", "doubtful number; never taken as sure"
    )
    row = pick(rows, lambda one: of("lizard")(one) and one.truth.adult)
    plant(
        "broken-tail", row, "Tail mm", f"{row.truth.svl // 2} brk", "recover", f"{row.truth.svl // 2} mm, tail broken"
    )
    row = pick(rows, lambda one: of("lizard")(one) and one.truth.adult)
    plant("error-cell", row, "Mass g", "#REF!", "catch", "an error value of the spreadsheet, no mass")


def _km_places(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    plant(
        "unknown-array",
        pick(rows, of(session=4)),
        "Array",
        "A9",
        "catch",
        "not in the site list; nearest codes offered",
    )
    for spelling, array in (("A 1", "A1"), ("A02", "A2"), ("array 3", "A3")):
        row = pick(rows, of(array=array))
        plant("place-spelling", row, "Array", spelling, "recover", array)
    row = pick(rows, lambda one: bool(of()(one)) and "F2" in one.truth.visit.shut)
    plant("capture-in-closed-trap", row, "Trap", "F2", "catch", "the log has F2 of A3 closed from 18 to 22 June")


def _km_individuals(rows: list[Row], planter: Planter) -> None:
    plant = planter.plant
    _, again = met_again(rows, planter)
    plant(
        "sex-flip", again, "Sex", "F" if again.truth.sex == "M" else "M", "catch", f"sex was {again.truth.sex} before"
    )
    first, again = met_again(rows, planter)
    plant(
        "svl-shrink", again, "SVL mm", round(first.truth.svl * 0.82), "catch", f"SVL was {first.truth.svl} mm before"
    )
    _, again = met_again(rows, planter)
    plant("recapture-not-flagged", again, "N/R", "N", "catch", "the mark was given out earlier in the season")
    first, _ = met_again(rows, planter)
    first.cells["Remarks"] = "ants"
    plant("dead-animal-again", first, "Fate", "died in trap", "catch", "the animal is caught again later")
    lone = planter.pick(rows, lambda one: of("lizard", session=2, marked=True)(one))
    plant("recapture-without-first", lone, "N/R", "R", "catch", "no earlier capture with this mark")
    owner = planter.pick(rows, of("snake", marked=True))
    other = planter.pick(
        rows,
        lambda one: (
            of("snake", marked=True)(one)
            and one.truth.name != owner.truth.name
            and one.truth.visit.at > owner.truth.visit.at
        ),
    )
    other.cells["N/R"] = "R"
    plant(
        "one-mark-two-species",
        other,
        "Tag/clip",
        owner.truth.mark,
        "catch",
        f"the tag belongs to a {owner.truth.name}",
    )
    row = planter.pick(rows, of("snake", marked=True))
    plant("mark-in-powers-of-ten", row, "Tag/clip", "9.85141E+14", "catch", "digits lost; no tag number written")
    row = planter.pick(rows, of("anuran", session=3))
    plant("death-without-cause", row, "Fate", "died in trap", "catch", "a death without a cause")


def _km_reading(rows: list[Row], planter: Planter) -> None:
    row = planter.pick(rows, of("snake"))
    row.comments["Sp"] = "KM: not quite sure, see photo 114, ask RT"
    planter.plant("cell-comment", row, "Sp", row.cells["Sp"], "catch", "the comment is kept as a remark and named")
    row = planter.pick(rows, of("lizard", session=4))
    row.fill = "FFFF00"
    planter.plant(
        "colour", row, "*", "yellow row", "recover", "remark: tail tip taken for tissue (said in the survey file)"
    )
    row = planter.pick(rows, of("anuran", session=2))
    rows.insert(rows.index(row) + 1, copy := Row(dict(row.cells), row.truth))
    planter.plant("duplicate-row", copy, "*", "the row above once more", "catch", "exact duplicate row")
    _header_and_note(rows, planter)


def _header_and_note(rows: list[Row], planter: Planter) -> None:
    at = next(n for n, row in enumerate(rows) if row.truth and row.truth.visit.session == 2)
    note = Row({"No": "-- from here on typed from the wet sheets, 2nd session --"}, kind="note")
    rows.insert(at, planter.plant("note-row", note, "*", note.cells["No"], "set aside", "a note between the rows"))
    at = next(n for n, row in enumerate(rows) if row.truth and row.truth.visit.session == 3)
    header = Row({name: name for name in rows[0].cells}, kind="header")
    rows.insert(
        at, planter.plant("repeated-header", header, "*", "No, Date, Time ...", "set aside", "the header once more")
    )
