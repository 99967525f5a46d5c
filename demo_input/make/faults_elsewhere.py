"""The faults planted in the trap log, the site list and the short tables."""

from __future__ import annotations

import datetime as dt

from make.rows import Planter, Row


def log_row(rows: list[Row], array: str, day: dt.date, hour: int = 7, done: str = "checked") -> Row:
    """The log row of one array, day and part of the day."""
    return next(
        row
        for row in rows
        if row.cells["Array"] == array
        and row.cells["Date"].date() == day
        and abs(row.cells["Time"].hour - hour) <= 2
        and done in row.cells["Done"]
        and not row.cells["Trap"]
    )


def plant_in_log(rows: list[Row], planter: Planter) -> None:
    """Faults of trap_log.xlsx; rows are removed and changed in place."""
    plant, day = planter.plant, dt.date
    plant(
        "trap-flooded",
        log_row(rows, "A1", day(2025, 5, 30)),
        "Trap problems",
        "P3 flooded",
        "recover",
        "P3 counts half the interval: 11.5 trap-nights",
    )
    plant(
        "trap-closed-in-words",
        log_row(rows, "A3", day(2025, 6, 20)),
        "Trap problems",
        "F2 closed",
        "recover",
        "F2 adds nothing: 11 trap-nights",
    )
    plant(
        "water-in-pit",
        log_row(rows, "A8", day(2025, 6, 20)),
        "Trap problems",
        "P2 1 in water",
        "keep",
        "still catching: 12 trap-nights",
    )
    plant(
        "unknown-state-word",
        log_row(rows, "A5", day(2025, 7, 19)),
        "Trap problems",
        "P2 wonky",
        "ask",
        "no list knows the word; effort of P2 unknown until answered",
    )
    plant(
        "effort-typed-differs",
        log_row(rows, "A2", day(2025, 6, 23), 17),
        "TN",
        12,
        "catch",
        "an afternoon interval has no midnight: 0 trap-nights",
    )
    plant(
        "states-do-not-add-up",
        log_row(rows, "A8", day(2025, 9, 5)),
        "Traps set",
        11,
        "catch",
        "12 traps and no trap named as closed",
    )
    row = log_row(rows, "A4", day(2025, 7, 19))
    plant("rain-as-word", row, "Rain in", "trace", "catch", "no amount; kept as a word")
    row = log_row(rows, "A1", day(2025, 6, 21))
    plant("temperature-out-of-range", row, "Temp F", 764, "catch", "not a temperature")
    row = log_row(rows, "A7", day(2025, 5, 12))
    plant("count-differs-from-captures", row, "Caught", row.cells["Caught"] + 2, "catch", "the sheets have two fewer")
    plant("unknown-initials", log_row(rows, "A6", day(2025, 9, 8)), "Obs", "ZQ", "catch", "not among the people")
    plant(
        "missed-check",
        log_row(rows, "A6", day(2025, 6, 1)),
        "*",
        "no row for 31 May",
        "catch",
        "48 hours since the last check, over the limit of 26; 24 trap-nights",
    )
    plant(
        "heat-limit",
        log_row(rows, "A3", day(2025, 6, 25)),
        "*",
        "no afternoon check on 24 June",
        "catch",
        "99 F and about 24 hours without a check, over the heat limit",
    )
    row = next(row for row in rows if row.cells["Array"] == "A5" and row.cells["Date"].date() == day(2025, 5, 27))
    plant(
        "check-before-opening",
        row,
        "Date",
        dt.datetime(2025, 5, 28),  # noqa: DTZ001 - a cell has no time zone
        "catch",
        "the check of 28 May at about 07:00 lies before this opening",
    )
    row = log_row(rows, "A2", day(2025, 7, 24))
    plant("session-not-closed", row, "Done", "checked", "catch", "the session of July has no closing at A2")
    _check_not_written_down(rows, planter)


def _check_not_written_down(rows: list[Row], planter: Planter) -> None:
    """Remove the log row of a check of A2 that has captures; the next row shows where it is missing."""
    gone = next(
        row
        for row in rows
        if row.cells["Array"] == "A2"
        and row.truth
        and row.truth.session == 2
        and row.truth.captures
        and row.cells["Done"] == "checked"
        and row.truth.at.day in range(1, 5)
    )
    after = rows[rows.index(gone) + 1 :]
    following = next(row for row in after if row.cells["Array"] == "A2")
    rows.remove(gone)
    planter.plant(
        "capture-without-check",
        following,
        "*",
        f"no row for {gone.truth.at:%-d %B}",
        "catch",
        f"captures at A2 on {gone.truth.at:%Y-%m-%d} with no check of A2 in the log",
    )


def plant_in_sites(rows: dict[str, Row], planter: Planter) -> None:
    """Faults of sites.xlsx."""
    planter.plant(
        "missing-minus",
        rows["A6"],
        "Longitude",
        99.60174,
        "ask",
        "-99.60174 offered: it lies on the ranch and agrees with the waypoint A6",
    )
    planter.plant(
        "nad27",
        rows["A4"],
        "Easting",
        445058,
        "recover",
        "36.74566, -99.61582 within 10 m, accuracy of the shift named",
    )
    planter.plant(
        "degrees-minutes-seconds",
        rows["A5"],
        "Latitude",
        "36°46'02.3\"N",
        "recover",
        "36.76731, -99.60815 within 2 m",
    )
    planter.plant(
        "degrees-decimal-minutes", rows["A7"], "Latitude", "N36 44.634", "recover", "36.74390, -99.59423 within 2 m"
    )
    planter.plant("arm-in-feet", rows["A7"], "Arm (ft)", 40, "recover", "12.192 m")


def plant_in_short_tables(tables: dict[str, list[Row]], planter: Planter) -> None:
    """Faults of the road, search and chance tables."""
    plant = planter.plant
    runs, finds = tables["road_runs.csv"], tables["road_finds.csv"]
    plant("end-after-midnight", runs[5], "End", runs[5].cells["End"], "recover", "the next day, 25 June 2025 01:10")
    plant(
        "end-before-start",
        runs[8],
        "End",
        "20:15",
        "catch",
        "23.4 hours long, or times exchanged; no duration written",
    )
    plant(
        "decimal-comma",
        runs[1],
        "Odo start (mi)",
        runs[1].cells["Odo start (mi)"],
        "recover",
        "the comma is a decimal point",
    )
    late = next(row for row in finds if row.truth.hour < 5)
    plant("find-after-midnight", late, "Time", late.cells["Time"], "keep", f"belongs to run {late.cells['Run']}")
    row = planter.pick(finds, lambda one: one.cells["Run"] == "RR05")
    latitude, longitude = row.cells["Latitude"], row.cells["Longitude"]
    row.cells["Longitude"] = latitude
    plant("latitude-longitude-swapped", row, "Latitude", longitude, "ask", f"{latitude}, {longitude} offered")
    row = planter.pick(finds, lambda one: one.cells["Run"] in ("RR07", "RR08", "RR10"))
    plant(
        "curly-quotes-and-encoding",
        row,
        "Remarks",
        "Inés: “still warm” on caliche, 29 °C",
        "recover",
        "read as windows-1252: é, curly quotes and ° as written",
    )
    searches = tables["searches.csv"]
    plant(
        "weekday-contradicts",
        searches[3],
        "Date",
        "Sat 15 June 2025",
        "ask",
        "15 June 2025 is a Sunday; the 14th a Saturday",
    )
    chance = tables["incidental.csv"]
    cells = dict(chance[1].cells, Time="", Latitude="36.74130", Longitude="-99.62045", Observer="RT", Remarks="")
    chance.append(Row(cells))
    plant(
        "date-two-readings",
        chance[-1],
        "Date",
        "7/6/2025",
        "ask",
        "2025-07-06 or 2025-06-07; nothing in the file decides",
    )
    plant("outside-the-ranch", chance[4], "Longitude", "-99.94012", "catch", "outside the ranch boundary; not moved")
