"""References to cells in formulas and ranges, and what becomes of them when rows are put in.

Source: Office Open XML, ECMA-376 part 1, 18.17.2 (formulas) and 18.18.62 (references), from memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from dwc_pipeline.core.raw import column_letter, column_number

#: sheet (quoted or not), first cell, and last cell of a range; never inside a word or before a bracket
REFERENCE = re.compile(
    r"(?<![A-Za-z0-9_.$!'])((?:'(?:[^']|'')+'|[A-Za-z0-9_.]+)!)?(\$?)([A-Z]{1,3})(\$?)([1-9]\d{0,6})"
    r"(?::(\$?)([A-Z]{1,3})(\$?)([1-9]\d{0,6}))?(?![A-Za-z0-9_(.!])"
)
TEXT_IN_QUOTES = re.compile(r'("(?:[^"]|"")*")')


def cell_at(address: str) -> tuple[int, int]:
    """Row and column, from 1.

    >>> cell_at("C4")
    (4, 3)
    """
    letters = address.rstrip("0123456789")
    return int(address[len(letters) :]), column_number(letters)


def with_rows_put_in(formula: str, own: bool, sheet: str, at: int, count: int) -> str:
    """The formula after `count` rows were put in before row `at` of a sheet.

    own: the formula stands on that sheet, so that references without a sheet mean it.

    >>> with_rows_put_in("SUM(C5:C14)+Other!C14", True, "Form", 14, 3)
    'SUM(C5:C17)+Other!C14'
    >>> with_rows_put_in("'My form'!$B$20", False, "My form", 14, 3)
    "'My form'!$B$23"
    """

    def moved(found: re.Match[str]) -> str:
        qualifier = found[1] or ""
        named = qualifier.rstrip("!").strip("'").replace("''", "'")
        if (named.casefold() != sheet.casefold()) if qualifier else not own:
            return found[0]
        rows = [int(row) + (count if int(row) >= at else 0) if row else None for row in (found[5], found[9])]
        last = f":{found[6]}{found[7]}{found[8]}{rows[1]}" if found[9] else ""
        return f"{qualifier}{found[2]}{found[3]}{found[4]}{rows[0]}{last}"

    return _outside_quotes(formula, moved)


def copied_to(formula: str, rows: int, columns: int = 0) -> str:
    """The formula as it reads so many rows further down and columns further right; $ holds a row or column.

    >>> copied_to("C5*$D$1+\\"C5\\"", 2)
    'C7*$D$1+"C5"'
    """

    def end(fixed_column: str, letters: str, fixed_row: str, row: str) -> str:
        column = letters if fixed_column else column_letter(max(1, column_number(letters) + columns))
        return f"{fixed_column}{column}{fixed_row}{row if fixed_row else max(1, int(row) + rows)}"

    def moved(found: re.Match[str]) -> str:
        last = f":{end(found[6], found[7], found[8], found[9])}" if found[9] else ""
        return f"{found[1] or ''}{end(found[2], found[3], found[4], found[5])}{last}"

    return _outside_quotes(formula, moved)


def _outside_quotes(formula: str, change: Callable[[re.Match[str]], str]) -> str:
    parts = TEXT_IN_QUOTES.split(formula)
    return "".join(part if part.startswith('"') else REFERENCE.sub(change, part) for part in parts)
