"""What a draft tells on the terminal, and the three answers that would help it most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dwc_pipeline.draft.proposal import Confidence, Draft, Setting, TableProposal
from dwc_pipeline.draft.season import UNKNOWN_ZONE

MOST_QUESTIONS = 3


def questions_of(draft: Draft) -> tuple[str, ...]:
    """The three most useful next steps, the most useful first."""
    return tuple(text for _, text in sorted(_needs(draft), key=lambda need: -need[0])[:MOST_QUESTIONS])


def _needs(draft: Draft) -> list[tuple[float, str]]:
    """Every next step with its weight: roughly how much of the output hangs on it."""
    survey = {one.key: one for one in draft.parts["survey"]}
    needs: list[tuple[float, str]] = []
    zone = survey["time_zone"]
    if zone.value == UNKNOWN_ZONE:
        needs.append((100, "Write time_zone: every time of the output hangs on it, and no file tells it."))
    if "NO DATE" in survey["starts"].note:
        needs.append((95, "Write starts and ends: no date could be read."))
    unclear = [table for table in draft.tables if table.confidence is Confidence.UNSURE]
    rows = sum(table.rows for table in unclear)
    if unclear:
        names = ", ".join(f'"{table.name}"' for table in unclear[:3])
        needs.append((60 + rows / 100, f"Say what {names} hold ({rows} rows), or leave them aside."))
    if not any(one.key == "checklist" and one.active for one in draft.parts["files"]):
        needs.append((90, "Give a checklist of names under [files]: without one no name can be checked."))
    needs += [need for table in draft.tables if table not in unclear for need in _table_needs(table)]
    if draft.initials:
        needs.append((30, f"Name the {len(draft.initials)} observers under [[people]], one of them as contact."))
    if draft.unknown_names:
        number = len(draft.unknown_names)
        needs.append((25 + number, f"Explain {number} names that the checklist does not have, under [names]."))
    needs.append((10, "Run it: dwc-pipeline run. Answer the questions in out/questions.csv, then run it again."))
    needs.append((9, "Write title, code and the season's true first and last day."))
    needs.append((8, "Look through the lines marked likely."))
    return needs


def _table_needs(table: TableProposal) -> list[tuple[float, str]]:
    """What the entry of one table leaves open; the more cells hang on it, the more useful the answer."""
    needs = []
    where = f'in the table "{table.name}"'
    if units := _open(table.parts.get("units", ())):
        needs.append((_weight(50, units), f"Write the unit of {_keys(units)} {where}."))
    if order := _open(table.settings, "date_order"):
        needs.append((_weight(80, order), f"Say whether dates are month-first or day-first {where}."))
    if datum := _open(table.settings, "datum"):
        needs.append((_weight(40, datum), f"Write the datum of the positions {where}."))
    if event_type := _open(table.parts.get("constants", ()), "eventType"):
        needs.append((_weight(45, event_type), f"Say how the animals {where} were met (eventType)."))
    if year := _open(table.parts.get("constants", ()), "year"):
        needs.append((_weight(80, year), f"Write the year of the dates {where}."))
    unsure = [column.header or column.letter for column in table.columns if not column.is_placed and column.field]
    if unsure:
        needs.append((35, f"Say what {', '.join(unsure[:4])} hold {where}."))
    if rows := _open(table.settings, "rows_are"):
        needs.append((_weight(70, rows), f"Say whether each row is one night {where} (rows_are)."))
    if effort := _open(table.settings, "effort"):
        needs.append((_weight(65, effort), f"Say whether the typed trap-nights are the effort {where}."))
    if date_names := _open(table.parts.get("habits", ()), "date_names"):
        needs.append(
            (_weight(33, date_names), f'Say under [table.habits] of "{table.name}" which date a check goes by.')
        )
    if closed := _open(table.parts.get("habits", ()), "closed_day"):
        needs.append(
            (_weight(32, closed), f'Say under [table.habits] of "{table.name}" whether closed days were checked.')
        )
    if bag := _open(table.parts.get("habits", ()), "mass_is"):
        needs.append(
            (_weight(31, bag), f'Say under [table.habits] of "{table.name}" whether the bag is in the mass.')
        )
    return needs


def _weight(weight: float, settings: Sequence[Setting]) -> float:
    """More for many cells, never twice as much."""
    cells = sum(one.cells for one in settings)
    return weight * (1 + cells / (cells + 100)) / 1.5 if cells else weight / 1.5


def _open(settings: Sequence[Setting], key: str = "") -> list[Setting]:
    return [one for one in settings if not one.active and key in ("", one.key)]


def _keys(settings: Sequence[Setting]) -> str:
    return ", ".join(one.key for one in settings)


def draft_summary(draft: Draft) -> dict[str, Any]:
    """The draft in counts and lists, as for --json."""
    columns = draft.columns
    return {
        "survey_file": str(draft.path),
        "checklist": draft.code_list_name,
        "tables": [
            {
                "name": table.name, "holds": table.holds, "confidence": str(table.confidence), "rows": table.rows,
                "files": list(table.files),
                "columns": [
                    {"header": c.header, "field": c.field, "confidence": str(c.confidence), "reason": c.reason}
                    for c in table.columns
                ],
            }
            for table in draft.tables
        ],
        "columns": len(columns),
        "columns_certain": sum(c.is_placed and c.confidence is Confidence.CERTAIN for c in columns),
        "columns_likely": sum(c.is_placed and c.confidence is Confidence.LIKELY for c in columns),
        "columns_open": sum(not c.is_placed for c in columns),
        "not_placed": list(draft.not_placed),
        "next_steps": list(draft.questions),
    }  # fmt: skip


def draft_lines(draft: Draft) -> list[str]:
    """The draft in sentences: what was found, what is open, what to do next."""
    told = draft_summary(draft)
    certain, likely = told["columns_certain"], told["columns_likely"]
    counted = f"{certain + likely} placed ({certain} certain, {likely} likely), {told['columns_open']} left open"
    lines = [f"{len(draft.tables)} tables, {told['columns']} columns: {counted}"]
    for table in draft.tables:
        doubt = "" if table.confidence is Confidence.CERTAIN else f" ({table.confidence})"
        open_columns = [c.header.strip() or f"column {c.letter}" for c in table.columns if not c.is_placed]
        left = f"; open: {', '.join(open_columns[:6])}" if open_columns else ""
        lines.append(f"  {table.holds}{doubt}: {table.name}, {table.rows} rows{left}")
    lines += [f"  not read: {text}" for text in draft.not_placed]
    lines += [f"written to {draft.path}. Next:"]
    return [*lines, *(f"  {number}. {text}" for number, text in enumerate(draft.questions, start=1))]
