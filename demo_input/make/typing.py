"""How the two observers type the season: each capture as a row of their own sheet, each visit as a row of the log."""

from __future__ import annotations

import datetime as dt
from random import Random

from make.places import TRAPS
from make.rows import Row
from make.season import RAIN, SESSIONS, TWO_CREWS, Capture, Visit

KM_COLUMNS = (
    "No",
    "Date",
    "Time",
    "Array",
    "Trap",
    "Sp",
    "n",
    "Sex",
    "Age",
    "Page",
    "SVL mm",
    "Tail mm",
    "Mass g",
    "Tag/clip",
    "N/R",
    "Fate",
    "Obs",
    "Remarks",
)
RT_COLUMNS = (
    "Date",
    "Checked",
    "Trap",
    "Species",
    "Qty",
    "M/F",
    "Stage",
    "SVL cm",
    "Tail cm",
    "Wt g",
    "PIT or clip",
    "New/recap",
    "Disposition",
    "Notes",
)
LOG_COLUMNS = (
    "Date",
    "Time",
    "Array",
    "Trap",
    "Done",
    "Traps set",
    "Trap problems",
    "Caught",
    "TN",
    "Obs",
    "Temp F",
    "Max F",
    "Rain in",
    "Sky",
    "Notes",
)
OLD_NAMES = {
    "Anaxyrus cognatus": "Bufo cognatus",
    "Spea bombifrons": "Scaphiopus bombifrons",
    "Plestiodon obsoletus": "Eumeces obsoletus",
    "Lithobates blairi": "Rana blairi",
}
SKIES = ("clear", "clear", "partly cloudy", "mostly clear", "overcast")


def km_row(number: int, capture: Capture, random: Random) -> Row:
    """A capture as K. Medlock types it: codes, millimetres, month first."""
    at, kind = capture.visit.at, capture.kind
    style = random.random()
    text = f"{at.month}/{at.day}/{at.year}" if style < 0.9 else f"{at.day}-{at:%b}-{at:%y}"
    cells = {
        "No": number,
        "Date": dt.datetime.combine(at.date(), dt.time()) if style < 0.55 else text,
        "Time": f"{at.hour}:{at.minute:02d}",
        "Array": capture.visit.array,
        "Trap": capture.trap,
        "Sp": kind.code if kind else capture.name,
        "n": capture.count,
        "Sex": capture.sex,
        "Age": "" if not kind else "A" if capture.adult else "J",
        "Page": 1 + number // 14,
        "SVL mm": capture.svl,
        "Tail mm": capture.tail,
        "Mass g": capture.mass,
        "Tag/clip": capture.mark,
        "N/R": capture.status,
        "Fate": "rel",
        "Obs": "KM" if random.random() < 0.8 else "KM, JA",
        "Remarks": "",
    }
    return Row({name: "" if value is None else value for name, value in cells.items()}, capture)


def rt_row(capture: Capture, random: Random) -> Row:
    """A capture as R. Tennick types it: scientific names, centimetres, day first; ounces on the sheet of A7."""
    at, kind = capture.visit.at, capture.kind
    name = OLD_NAMES.get(capture.name, capture.name) if random.random() < 0.3 else capture.name
    mass = capture.mass
    if mass is not None and capture.visit.array == "A7":
        mass = round(mass / 28.349523125, 2 if mass > 3 else 3)
    cells = {
        "Date": f"{at.day}/{at.month}/{at.year}",
        "Checked": f"{at:%H%M}",
        "Trap": capture.trap,
        "Species": name,
        "Qty": capture.count,
        "M/F": {"M": "male", "F": "female", "U": "undet"}.get(capture.sex, ""),
        "Stage": "" if not kind else "adult" if capture.adult else "juv",
        "SVL cm": None if capture.svl is None else capture.svl / 10,
        "Tail cm": None if capture.tail is None else capture.tail / 10,
        "Wt g": mass,
        "PIT or clip": capture.mark,
        "New/recap": {"N": "new", "R": "recap"}.get(capture.status, ""),
        "Disposition": "released",
        "Notes": "",
    }
    return Row({name: "" if value is None else value for name, value in cells.items()}, capture)


def log_rows(visits: list[Visit], random: Random) -> list[Row]:
    """The trap log: one row for each opening and check, and one for each trap shut or opened again."""
    rows = []
    opened: set[tuple[str, int]] = set()
    for visit in visits:
        if (visit.array, visit.session) not in opened:
            opened.add((visit.array, visit.session))
            rows.append(_opening(visit))
        rows.append(_check(visit, random))
        if (
            visit.array == "A3"
            and visit.at.date() in (dt.date(2025, 6, 18), dt.date(2025, 6, 22))
            and visit.at.hour < 12
        ):
            shutting = visit.at.day == 18
            rows.append(
                _log_row(
                    visit.at,
                    "A3",
                    Trap="F2",
                    Done="closed" if shutting else "opened",
                    Notes="torn by cattle" if shutting else "mended",
                    truth=visit,
                )
            )
    return sorted(rows, key=lambda row: row.cells["Date"].date())


def _opening(visit: Visit) -> Row:
    shut = shut_words(visit.shut) if visit.session == 4 and visit.array == "A6" else ""
    set_traps = len(TRAPS) - (3 if shut else 0)
    return _log_row(
        visit.since, visit.array, Done="opened", **{"Traps set": set_traps, "Trap problems": shut}, truth=visit
    )


def _check(visit: Visit, random: Random) -> Row:
    nights = visit.nights * visit.effective_traps
    notes = "storm in the night" if RAIN.get(visit.at.date(), 0) > 0.7 and visit.at.hour < 12 else ""
    if visit.last and visit.at.date() != SESSIONS[visit.session - 1][1]:
        notes = "closed early: cattle broke the fence" if visit.array == "A7" else "closed early: heat"
    return _log_row(
        visit.at,
        visit.array,
        Done="checked and closed" if visit.last else "checked",
        **{
            "Traps set": len(TRAPS) - len(visit.shut),
            "Trap problems": ", ".join(filter(None, (visit.words, shut_words(visit.shut)))),
            "Caught": sum(capture.count for capture in visit.captures),
            "TN": int(nights) if nights == int(nights) else nights,
            "Temp F": visit.temperature,
            "Max F": visit.highest,
            "Rain in": visit.rain,
            "Sky": random.choice(SKIES),
        },
        Notes=notes,
        truth=visit,
    )


def _log_row(at: dt.datetime, array: str, truth: Visit, **cells: object) -> Row:
    date = dt.datetime.combine(at.date(), dt.time())
    filled = dict.fromkeys(LOG_COLUMNS, "")
    return Row({**filled, "Date": date, "Time": at.time(), "Array": array, "Obs": TWO_CREWS[array], **cells}, truth)


def shut_words(traps: tuple[str, ...]) -> str:
    """How the log says that traps were shut through the interval."""
    if not traps:
        return ""
    return f"{traps[0]}-{traps[-1]} closed" if len(traps) > 1 else f"{traps[0]} closed"
