"""The faults planted in the two capture workbooks, each on a record of its own."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable

from make.rows import Planter, Row

Wanted = Callable[[Row], bool]


def of(group: str = "", session: int = 0, name: str = "", marked: bool | None = None) -> Wanted:
    """Rows of target animals of a group, session or species, met once only, without by-catch."""

    def wanted(row: Row) -> bool:
        capture = row.truth
        return bool(
            capture and capture.kind
            and (not group or capture.kind.group == group)
            and (not session or capture.visit.session == session)
            and (not name or capture.name == name)
            and (marked is None or bool(capture.mark) == marked)
            and (not capture.animal or len(capture.animal.visits) == 1)
        )  # fmt: skip

    return wanted


def has_two_readings(row: Row) -> bool:
    """Whether the date, typed in numbers, would be another day of the season if day and month were exchanged."""
    at = row.truth.visit.at
    return 5 <= at.day <= 9 and at.day != at.month


def met_again(rows: list[Row], planter: Planter, group: str = "") -> tuple[Row, Row]:
    """The first two rows of an animal with two captures or more, both not yet taken."""
    by_mark: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        if row.kind == "data" and row.truth and row.truth.mark and (not group or row.truth.kind.group == group):
            by_mark[row.truth.mark].append(row)
    first, second = next(
        found[:2]
        for found in by_mark.values()
        if len(found) == 2 and found[0].truth.adult and not any(id(row) in planter.taken for row in found)
    )
    planter.taken.update((id(first), id(second)))
    return first, second


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
    plant("date-order-by-evidence", row, "Date", f"{day.month}/{day.day}/2025", "recover",
          f"{day:%Y-%m-%d}: month first, since the column also has dates such as 5/14/2025")
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
    plant("year-wrong", row, "Date", f"{day.month}/{day.day}/2024", "catch", "outside the season; not changed to 2025")
    row = pick(rows, lambda one: of(session=1)(one) and one.truth.visit.at.hour == 7)
    plant("time-outside-protocol", row, "Time", f"{row.truth.visit.at.hour + 12}:{row.truth.visit.at.minute:02d}",
          "catch", "an hour at which nobody checks on such a day; morning typed as evening")  # fmt: skip


def _km_names_and_words(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    plant("code-collision", pick(rows, of(name="Sceloporus consobrinus")), "Sp", "SCCO", "ask",
          "Sceloporus consobrinus or Scaphiopus couchii")
    plant("code-of-old-genus", pick(rows, of(name="Anaxyrus woodhousii")), "Sp", "BUWO", "recover", "Anaxyrus woodhousii")
    plant("common-name", pick(rows, of(name="Aspidoscelis sexlineatus")), "Sp", "racerunner", "recover",
          "Aspidoscelis sexlineatus")
    plant("name-unknown-code", pick(rows, of(name="Holbrookia maculata")), "Sp", "HOMX", "catch",
          "a code on no list; codes are never repaired")
    row = pick(rows, of("snake", session=3))
    row.cells.update({"Sex": "", "Age": "", "SVL mm": "", "Tail mm": "", "Mass g": "", "Tag/clip": "", "N/R": "",
                      "Fate": "escaped before processing"})  # fmt: skip
    plant("unknown-snake", row, "Sp", "unknown snake", "keep", "Serpentes")
    plant("bycatch", pick(rows, lambda one: one.truth and one.truth.name == "Peromyscus sp."), "*", "Peromyscus sp.",
          "keep", "Peromyscus, not a target taxon")
    plant("species-blank", pick(rows, of("lizard", session=4)), "Sp", "", "catch", "measurements without a species")
    plant("spaces", pick(rows, of(name="Holbrookia maculata")), "Sp", "  HOMA\u00a0 ", "recover", "Holbrookia maculata")
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
    cells.update({"Date": f"{visit.at.month}/{visit.at.day}/2025", "Time": f"{visit.at.hour}:{visit.at.minute:02d}",
                  "Array": visit.array, "Sp": "none", "Obs": "KM"})  # fmt: skip
    rows.insert(at, Row(cells, None))


#: Visits without animals by session, set before planting: where the observer typed a row `none`.
EMPTY_VISITS: dict[int, list] = {}


def _km_quantities(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    row = pick(rows, of("snake", marked=True))
    plant("bag-subtraction", row, "Mass g", f"{row.truth.mass + 17.5:g}-17.5", "recover", f"{row.truth.mass:g} g")
    plant("less-than", pick(rows, of(name="Gastrophryne olivacea")), "Mass g", "<1", "catch",
          "no number: mass kept as words, not as 1")
    row = pick(rows, of("lizard"))
    plant("slipped-decimal", row, "Mass g", round(row.truth.mass * 10), "catch", f"mass outlier; about {row.truth.mass} g expected")
    row = pick(rows, of("lizard"))
    plant("digit-not-read", row, "Mass g", f"{str(row.truth.mass)[0]}?", "catch", "doubtful number; never taken as sure")
    row = pick(rows, lambda one: of("lizard")(one) and one.truth.adult)
    plant("broken-tail", row, "Tail mm", f"{row.truth.svl // 2} brk", "recover", f"{row.truth.svl // 2} mm, tail broken")
    row = pick(rows, lambda one: of("lizard")(one) and one.truth.adult)
    plant("error-cell", row, "Mass g", "#REF!", "catch", "an error value of the spreadsheet, no mass")


def _km_places(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    plant("unknown-array", pick(rows, of(session=4)), "Array", "A9", "catch", "not in the site list; nearest codes offered")
    for spelling, array in (("A 1", "A1"), ("A02", "A2"), ("array 3", "A3")):
        row = pick(rows, lambda one, array=array: bool(of()(one)) and one.truth.visit.array == array)
        plant("place-spelling", row, "Array", spelling, "recover", array)
    row = pick(rows, lambda one: bool(of()(one)) and "F2" in one.truth.visit.shut)
    plant("capture-in-closed-trap", row, "Trap", "F2", "catch", "the log has F2 of A3 closed from 18 to 22 June")


def _km_individuals(rows: list[Row], planter: Planter) -> None:
    plant = planter.plant
    _, again = met_again(rows, planter)
    plant("sex-flip", again, "Sex", "F" if again.truth.sex == "M" else "M", "catch", f"sex was {again.truth.sex} before")
    first, again = met_again(rows, planter)
    plant("svl-shrink", again, "SVL mm", round(first.truth.svl * 0.82), "catch", f"SVL was {first.truth.svl} mm before")
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
        lambda one: of("snake", marked=True)(one) and one.truth.name != owner.truth.name
        and one.truth.visit.at > owner.truth.visit.at,
    )  # fmt: skip
    other.cells["N/R"] = "R"
    plant("one-mark-two-species", other, "Tag/clip", owner.truth.mark, "catch", f"the tag belongs to a {owner.truth.name}")
    row = planter.pick(rows, of("snake", marked=True))
    plant("mark-in-powers-of-ten", row, "Tag/clip", "9.85141E+14", "catch", "digits lost; no tag number written")
    row = planter.pick(rows, of("anuran", session=3))
    plant("death-without-cause", row, "Fate", "died in trap", "catch", "a death without a cause")


def _km_reading(rows: list[Row], planter: Planter) -> None:
    row = planter.pick(rows, of("snake", session=1))
    row.comments["Sp"] = "KM: photo says maybe the other gartersnake? ask RT"
    planter.plant("cell-comment", row, "Sp", row.cells["Sp"], "catch", "the comment is kept as a remark and named")
    row = planter.pick(rows, of("lizard", session=4))
    row.fill = "FFFF00"
    planter.plant("colour", row, "*", "yellow row", "recover", "remark: tail tip taken for tissue (said in the survey file)")
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
    rows.insert(at, planter.plant("repeated-header", header, "*", "No, Date, Time ...", "set aside", "the header once more"))


def copy_from_other_observer(km_rows: list[Row], rt_rows: list[Row], planter: Planter) -> Row:
    """A capture of A5 that both observers typed: the row that K. Medlock adds to her sheet, with another mass."""
    theirs = planter.pick(rt_rows, of("snake", marked=True))
    capture = theirs.truth
    at = capture.visit.at
    cells = dict.fromkeys(km_rows[0].cells, "")
    cells.update({
        "No": "", "Date": f"{at.month}/{at.day}/{at.year}", "Time": f"{at.hour}:{at.minute:02d}", "Array": "A5",
        "Trap": capture.trap, "Sp": capture.kind.code, "n": 1, "Sex": capture.sex, "Age": "A" if capture.adult else "J",
        "SVL mm": capture.svl, "Tail mm": capture.tail, "Mass g": round(capture.mass * 1.06, 1), "Tag/clip": capture.mark,
        "N/R": capture.status, "Fate": "rel", "Obs": "KM", "Remarks": "helped RT",
    })  # fmt: skip
    row = Row(cells, capture)
    place = next(n for n, one in enumerate(km_rows) if one.truth and one.truth.visit.at > at)
    km_rows.insert(place, row)
    return planter.plant("typed-by-two-observers", row, "*", "same animal as on sheet A5 of captures_RT.xlsx", "catch",
                         "one animal typed twice, mass differs; not counted twice without a person's yes")  # fmt: skip


def plant_in_rt(rows: dict[str, list[Row]], planter: Planter) -> None:
    """Faults of captures_RT.xlsx, by sheet."""
    plant, pick = planter.plant, planter.pick
    everything = [row for sheet in ("A5", "A6", "A8") for row in rows[sheet]]
    row = pick(everything, lambda one: of()(one) and has_two_readings(one))
    day = row.truth.visit.at
    plant("date-order-by-evidence", row, "Date", f"{day.day}/{day.month}/2025", "recover",
          f"{day:%Y-%m-%d}: day first, since the column also has dates such as 14/5/2025")
    row = pick(rows["A8"], lambda one: of()(one) and one.truth.visit.at.hour < 10)
    plant("time-without-zero", row, "Checked", int(f"{row.truth.visit.at:%H%M}"), "recover", f"{row.truth.visit.at:%H:%M}")
    _rt_names(everything, planter)
    _rt_quantities(everything, rows, planter)
    row = pick(rows["A6"], of())
    plant("trap-beyond-number", row, "Trap", "F9", "catch", "A6 has funnels F1 to F8")
    row = next(one for one in reversed(rows["A7"]) if one.truth.visit.session == 3 and id(one) not in planter.taken)
    plant("capture-after-closing", row, "Date", "25/6/2025", "catch", "A7 was closed on 22 June")
    first, again = met_again(everything, planter, "snake")
    first.cells["PIT or clip"] = "045812377"
    plant("leading-zero-lost", again, "PIT or clip", 45812377, "catch", "one digit short; 045812377 offered, not written")
    row = pick(everything, of("lizard", marked=True))
    plant("clip-turned-date", row, "PIT or clip", dt.datetime(2009, 2, 4), "catch", "a destroyed clip code; none restored")
    row = pick(everything, of("snake", marked=True))
    plant("letter-in-tag", row, "PIT or clip", row.truth.mark.replace("0", "O", 2), "catch", "letter O in a number; 0 offered")
    row = pick(everything, of("anuran", session=2))
    row.struck = True
    plant("struck-row", row, "*", "struck through", "ask", "withdrawn, or only marked? set aside until answered")


def _rt_names(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    plant("old-genus", pick(rows, of(name="Aspidoscelis sexlineatus")), "Species", "Cnemidophorus sexlineatus",
          "recover", "Aspidoscelis sexlineatus")
    plant("misspelt-name", pick(rows, of(name="Holbrookia maculata")), "Species", "Holbrookia macualta", "recover",
          "Holbrookia maculata, with a recorded change")
    plant("misspelt-venomous", pick(rows, of(name="Crotalus viridis")), "Species", "Crotalus virdis", "ask",
          "Crotalus viridis offered; a venomous name is never reached by repair alone")
    plant("regional-synonym", pick(rows, of(name="Sistrurus tergeminus")), "Species", "Sistrurus catenatus", "ask",
          "Sistrurus tergeminus offered; S. catenatus is an accepted species farther east")
    plant("cf-name", pick(rows, of(name="Thamnophis marcianus")), "Species", "Thamnophis cf. marcianus", "recover",
          "Thamnophis, qualifier cf. marcianus")
    plant("doubtful-name", pick(rows, of(name="Tantilla nigriceps")), "Species", "Tantilla nigriceps?", "keep",
          "Tantilla nigriceps, marked as doubtful")


def _rt_quantities(rows: list[Row], sheets: dict[str, list[Row]], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    row = pick(sheets["A7"], of("snake"))
    plant("mass-in-ounces", row, "Wt g", row.cells["Wt g"], "recover", f"about {row.truth.mass:g} g")
    row = pick(rows, of("lizard"))
    plant("length-in-cm", row, "SVL cm", row.cells["SVL cm"], "recover", f"{row.truth.svl} mm")
    row = pick(rows, of("anuran"))
    plant("decimal-comma", row, "Wt g", str(row.truth.mass).replace(".", ","), "recover", f"{row.truth.mass:g} g")
    row = pick(rows, of(name="Aspidoscelis sexlineatus"))
    plant("millimetres-in-cm-column", row, "SVL cm", row.truth.svl, "catch", f"ten times too long; {row.truth.svl} mm offered")
    row = pick(rows, lambda one: of("snake")(one) and one.truth.adult)
    row.cells["SVL cm"] = row.truth.tail / 10
    plant("tail-longer-than-svl", row, "Tail cm", row.truth.svl / 10, "catch", "SVL and tail of a snake exchanged")
    row = pick(rows, of(name="Spea bombifrons", session=2))
    row.cells.update({"SVL cm": "", "Wt g": "", "M/F": "", "Stage": "metamorph"})
    row.truth.count = 20
    plant("vague-count", row, "Qty", "~20", "keep", "about 20 kept as words, not as the number 20")
