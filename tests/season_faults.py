"""Plants faults in the sheets of a made-up season, each in a row of its own, and says what must come of it."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

from season_sheets import Sheet, typed_date
from season_truth import PlantedFault, Style, TrueEvent, TrueOccurrence

Rows = list[tuple[dict[str, Any], TrueOccurrence]]


class Planting:
    """Rows still free, and the faults planted so far."""

    def __init__(
        self, style: Style, captures: Sheet, log: Sheet, sites: Sheet, animals: list[TrueOccurrence], random: Random
    ) -> None:
        self.style, self.captures, self.log, self.sites = style, captures, log, sites
        self.free: Rows = list(zip(captures.rows, animals, strict=True))
        random.shuffle(self.free)
        self.planted: list[tuple[str, Sheet, dict[str, Any], str, str, str, str]] = []

    def take(
        self, wanted: Callable[[TrueOccurrence], bool] = lambda animal: True
    ) -> tuple[dict[str, Any], TrueOccurrence] | None:
        """A free row that is wanted, or None if the season has none left."""
        found = next((pair for pair in self.free if wanted(pair[1])), None)
        if found:
            self.free = [pair for pair in self.free if pair is not found]
        return found

    def change(
        self,
        kind: str,
        pair: tuple[dict[str, Any], TrueOccurrence] | None,
        name: str,
        typed: Any,
        must: str,
        expected: str,
    ) -> None:
        """Type a faulty value into a field of a capture row."""
        if pair:
            pair[0][name] = typed
            self.planted.append((kind, self.captures, pair[0], name, str(typed), must, expected))

    def faults(self) -> list[PlantedFault]:
        """The faults with their cells, once every row stands where it will be written."""
        return [
            PlantedFault(
                kind,
                sheet.file,
                sheet.name,
                sheet.sheet_row(row),
                sheet.letter(name) if name else "",
                typed,
                must,
                expected,
            )
            for kind, sheet, row, name, typed, must, expected in self.planted
        ]


def plant_faults(planting: Planting, events: list[TrueEvent], mess: float, random: Random) -> None:
    """Plant each kind of fault with probability `mess`; kinds that add rows come last."""
    for plant in (*CELL_FAULTS, *ROW_FAULTS):
        if random.random() < mess:
            plant(planting, events, random)


def misspelt_name(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """Two letters of the epithet exchanged."""
    pair = planting.take(lambda animal: animal.species != "Crotalus viridis" and "x" not in animal.species)
    if pair:
        genus, epithet = pair[1].species.split()
        at = next(n for n in range(2, len(epithet) - 1) if epithet[n] != epithet[n + 1])
        typed = f"{genus} {epithet[:at]}{epithet[at + 1]}{epithet[at]}{epithet[at + 2 :]}"
        planting.change("misspelt-name", pair, "verbatimIdentification", typed, "recover", pair[1].species)


def spaces_and_case(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """Spaces round a name in capitals."""
    pair = planting.take()
    if pair:
        typed = f"  {pair[1].species.upper()}\u00a0"
        planting.change("spaces-and-case", pair, "verbatimIdentification", typed, "recover", pair[1].species)


def impossible_date(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A day that no calendar has."""
    year = planting.style.year
    planting.change("impossible-date", planting.take(), "eventDate", f"31 June {year}", "catch", "no date")


def year_wrong(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A date of the year before."""
    pair = planting.take(lambda animal: (animal.date.month, animal.date.day) != (2, 29))
    if pair:
        typed = typed_date(planting.style, pair[1].date.replace(year=pair[1].date.year - 1))
        planting.change("year-wrong", pair, "eventDate", typed, "catch", "outside the season")


def unknown_array(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """An array that the site list lacks."""
    planting.change("unknown-array", planting.take(), "place", "Q77", "catch", "not in the site list")


def unknown_trap(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A trap number beyond those of the array."""
    planting.change("trap-beyond-number", planting.take(), "trap", "F19", "catch", "no such trap at this array")


def age_for_sex(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """An age in the column of the sex."""
    planting.change("age-in-sex-column", planting.take(), "sex", "juv", "recover", "no sex; juvenile")


def unit_in_cell(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A mass with its unit."""
    pair = planting.take()
    if pair:
        typed = f"{pair[0]['body_mass']} {planting.style.mass_unit}"
        planting.change("unit-in-cell", pair, "body_mass", typed, "recover", f"{pair[1].mass_g:.4f} g")


def slipped_decimal(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A mass a hundred times too great, so that no scatter explains it."""
    pair = planting.take()
    if pair:
        typed = f"{pair[0]['body_mass'] * 100:.10g}"
        planting.change("slipped-decimal", pair, "body_mass", typed, "catch", f"about {pair[1].mass_g:.1f} g")


def doubtful_digit(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A length with a digit that was not read."""
    planting.change("digit-not-read", planting.take(), "snout_vent_length", "5?", "catch", "no sure length")


def powers_of_ten(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A tag that the spreadsheet has shortened."""
    pair = planting.take(lambda animal: len(animal.mark) == 15)
    planting.change("mark-in-powers-of-ten", pair, "mark", "9.85141E+14", "catch", "digits lost")


def capture_in_closed_trap(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A capture in a trap that the log has as closed."""
    pair = planting.take(lambda animal: bool(animal.event.shut))
    if pair:
        planting.change("capture-in-closed-trap", pair, "trap", pair[1].event.shut[0], "catch", "closed in the log")


def missing_minus(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A longitude without its minus sign."""
    if planting.style.site_form == "degrees":
        row = planting.sites.rows[-1]
        row["verbatimLongitude"] = abs(row["verbatimLongitude"])
        typed = str(row["verbatimLongitude"])
        planting.planted.append(
            ("missing-minus", planting.sites, row, "verbatimLongitude", typed, "ask", f"-{typed}")
        )


def session_not_closed(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A last check without the word that the array was closed."""
    if planting.style.log_rows == "checks":
        row = next(row for row in reversed(planting.log.rows) if row["action"] == "checked and closed")
        row["action"] = "checked"
        planting.planted.append(("session-not-closed", planting.log, row, "action", "checked", "catch", "no closing"))


def unknown_state(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A state of a trap in a word that no list knows."""
    if planting.style.log_rows == "checks":
        row = next((row for row in planting.log.rows if row["action"] == "checked" and not row["trap_state"]), None)
        if row:
            row["trap_state"] = "P1 gizzled"
            planting.planted.append(
                ("unknown-state-word", planting.log, row, "trap_state", "P1 gizzled", "ask", "effort of P1")
            )


def duplicate_row(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A row typed twice."""
    pair = planting.take()
    if pair:
        copy = dict(pair[0])
        planting.captures.rows.insert(planting.captures.rows.index(pair[0]) + 1, copy)
        planting.planted.append(
            ("duplicate-row", planting.captures, copy, "", "the row above", "catch", "exact duplicate")
        )


def repeated_header(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """The header once more, in the middle of the sheet."""
    sheet = planting.captures
    header = {name: sheet.headers[name] for name in sheet.fields}
    sheet.rows.insert(len(sheet.rows) // 2, header)
    planting.planted.append(("repeated-header", sheet, header, "", "the header", "set aside", "header"))


def total_row(planting: Planting, events: list[TrueEvent], random: Random) -> None:
    """A total at the foot."""
    sheet = planting.captures
    total = {sheet.fields[0]: "Total", sheet.fields[1]: len(sheet.rows)}
    sheet.rows.append(total)
    planting.planted.append(("total-row", sheet, total, "", "Total", "set aside", "total"))


CELL_FAULTS = (
    misspelt_name,
    spaces_and_case,
    impossible_date,
    year_wrong,
    unknown_array,
    unknown_trap,
    age_for_sex,
    unit_in_cell,
    slipped_decimal,
    doubtful_digit,
    powers_of_ten,
    capture_in_closed_trap,
    missing_minus,
    session_not_closed,
    unknown_state,
)
ROW_FAULTS = (duplicate_row, repeated_header, total_row)
