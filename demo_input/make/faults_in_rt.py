"""The faults planted in captures_RT.xlsx, and the animal that both observers typed."""

from __future__ import annotations

import datetime as dt

from make.picking import has_two_readings, met_again, of
from make.rows import Planter, Row


def copy_from_other_observer(km_rows: list[Row], rt_rows: list[Row], planter: Planter) -> Row:
    """A capture of A5 that both observers typed: the row that K. Medlock adds to her sheet, with another mass."""
    theirs = planter.pick(rt_rows, of("snake", marked=True))
    capture = theirs.truth
    at = capture.visit.at
    cells: dict[str, object] = dict.fromkeys(km_rows[0].cells, "")
    cells.update(
        {
            "No": "",
            "Date": f"{at.month}/{at.day}/{at.year}",
            "Time": f"{at.hour}:{at.minute:02d}",
            "Array": "A5",
            "Trap": capture.trap,
            "Sp": capture.kind.code,
            "n": 1,
            "Sex": capture.sex,
            "Age": "A" if capture.adult else "J",
            "SVL mm": capture.svl,
            "Tail mm": capture.tail,
            "Mass g": round(capture.mass * 1.06, 1),
            "Tag/clip": capture.mark,
            "N/R": capture.status,
            "Fate": "rel",
            "Obs": "KM",
            "Remarks": "helped RT",
        }
    )
    row = Row(cells, capture)
    place = next(n for n, one in enumerate(km_rows) if one.truth and one.truth.visit.at > at)
    km_rows.insert(place, row)
    return planter.plant(
        "typed-by-two-observers",
        row,
        "*",
        "same animal as on sheet A5 of captures_RT.xlsx",
        "catch",
        "one animal typed twice, mass differs; not counted twice without a person's yes",
    )


def plant_in_rt(rows: dict[str, list[Row]], planter: Planter) -> None:
    """Faults of captures_RT.xlsx, by sheet."""
    plant, pick = planter.plant, planter.pick
    everything = [row for sheet in ("A5", "A6", "A8") for row in rows[sheet]]
    row = pick(everything, lambda one: of()(one) and has_two_readings(one))
    day = row.truth.visit.at
    plant(
        "date-order-by-evidence",
        row,
        "Date",
        f"{day.day}/{day.month}/2025",
        "recover",
        f"{day:%Y-%m-%d}: day first, since the column also has dates such as 14/5/2025",
    )
    row = pick(rows["A8"], lambda one: of()(one) and one.truth.visit.at.hour < 10)
    plant(
        "time-without-zero",
        row,
        "Checked",
        int(f"{row.truth.visit.at:%H%M}"),
        "recover",
        f"{row.truth.visit.at:%H:%M}",
    )
    _rt_names(everything, planter)
    _rt_quantities(everything, rows, planter)
    row = pick(rows["A6"], of())
    plant("trap-beyond-number", row, "Trap", "F9", "catch", "A6 has funnels F1 to F8")
    row = next(one for one in reversed(rows["A7"]) if one.truth.visit.session == 3 and id(one) not in planter.taken)
    plant("capture-after-closing", row, "Date", "25/6/2025", "catch", "A7 was closed on 22 June")
    first, again = met_again(everything, planter, "snake")
    first.cells["PIT or clip"] = "045812377"
    plant(
        "leading-zero-lost",
        again,
        "PIT or clip",
        45812377,
        "catch",
        "one digit short; 045812377 offered, not written",
    )
    row = pick(everything, of("lizard", marked=True))
    plant(
        "clip-turned-date",
        row,
        "PIT or clip",
        dt.datetime(2009, 2, 4),  # noqa: DTZ001 - a cell has no time zone
        "catch",
        "a destroyed clip code; none restored",
    )
    row = pick(everything, of("snake", marked=True))
    plant(
        "letter-in-tag",
        row,
        "PIT or clip",
        row.truth.mark.replace("0", "O", 2),
        "catch",
        "letter O in a number; 0 offered",
    )
    row = pick(everything, of("anuran", session=2))
    row.struck = True
    plant("struck-row", row, "*", "struck through", "ask", "withdrawn, or only marked? set aside until answered")


def _rt_names(rows: list[Row], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    plant(
        "old-genus",
        pick(rows, of(name="Aspidoscelis sexlineatus")),
        "Species",
        "Cnemidophorus sexlineatus",
        "recover",
        "Aspidoscelis sexlineatus",
    )
    plant(
        "misspelt-name",
        pick(rows, of(name="Holbrookia maculata")),
        "Species",
        "Holbrookia macualta",
        "recover",
        "Holbrookia maculata, with a recorded change",
    )
    plant(
        "misspelt-venomous",
        pick(rows, of(name="Crotalus viridis")),
        "Species",
        "Crotalus virdis",
        "ask",
        "Crotalus viridis offered; a venomous name is never reached by repair alone",
    )
    plant(
        "regional-synonym",
        pick(rows, of(name="Sistrurus tergeminus")),
        "Species",
        "Sistrurus catenatus",
        "ask",
        "Sistrurus tergeminus offered; S. catenatus is an accepted species farther east",
    )
    plant(
        "cf-name",
        pick(rows, of(name="Thamnophis marcianus")),
        "Species",
        "Thamnophis cf. marcianus",
        "recover",
        "Thamnophis, qualifier cf. marcianus",
    )
    plant(
        "doubtful-name",
        pick(rows, of(name="Tantilla nigriceps")),
        "Species",
        "Tantilla nigriceps?",
        "keep",
        "Tantilla nigriceps, marked as doubtful",
    )


def _rt_quantities(rows: list[Row], sheets: dict[str, list[Row]], planter: Planter) -> None:
    plant, pick = planter.plant, planter.pick
    row = pick(sheets["A7"], of("snake"))
    plant("mass-in-ounces", row, "Wt g", row.cells["Wt g"], "recover", f"about {row.truth.mass:g} g")
    row = pick(rows, of("lizard"))
    plant("length-in-cm", row, "SVL cm", row.cells["SVL cm"], "recover", f"{row.truth.svl} mm")
    row = pick(rows, of("anuran"))
    plant("decimal-comma", row, "Wt g", str(row.truth.mass).replace(".", ","), "recover", f"{row.truth.mass:g} g")
    row = pick(rows, of(name="Aspidoscelis sexlineatus"))
    plant(
        "millimetres-in-cm-column",
        row,
        "SVL cm",
        row.truth.svl,
        "catch",
        f"ten times too long; {row.truth.svl} mm offered",
    )
    row = pick(rows, lambda one: of("snake")(one) and one.truth.adult)
    row.cells["SVL cm"] = row.truth.tail / 10
    plant("tail-longer-than-svl", row, "Tail cm", row.truth.svl / 10, "catch", "SVL and tail of a snake exchanged")
    row = pick(rows, of(name="Spea bombifrons", session=2))
    row.cells.update({"SVL cm": "", "Wt g": "", "M/F": "", "Stage": "metamorph"})
    row.truth.count = 20
    plant("vague-count", row, "Qty", "~20", "keep", "about 20 kept as words, not as the number 20")
