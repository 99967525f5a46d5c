"""Small surveys that are read and put in shape, nothing more."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
from openpyxl.comments import Comment
from openpyxl.styles import Font, PatternFill
from small_survey import SITES_TABLE, TODAY, write_survey

from dwc_pipeline.core.accounts import balance, settle
from dwc_pipeline.core.records import Records
from dwc_pipeline.read.run import read
from dwc_pipeline.reshape.run import reshape
from dwc_pipeline.settings import read_survey_file

SITES = """Array,Kind,Lat,Lon,Traps,Acc
A1,array,36.7512,-99.6348,"B1, F1, F2",4
A2,array,36.7612,-99.6348,"B1, F1, F2",4
A3,array,36.7712,-99.6348,"B1, F1, F2",4
R1,route,36.7712,-99.6348,,4
"""


class Shaped:
    """Records put in shape, with short ways to look at them."""

    def __init__(self, records: Records) -> None:
        self.records = records
        self.accounts = balance(settle(records.rows), records.row_counts)

    def rows(self, kind: str, *fields: str) -> list[tuple[str, ...]]:
        """Some fields of all tidy rows of a kind, as typed."""
        tidy = self.records.tidy[kind]
        return list(zip(*(tidy.verbatim(field) for field in fields), strict=True))

    def findings(self, rule: str) -> pd.DataFrame:
        found = self.records.located(self.records.findings)
        return found[found["rule"] == rule].reset_index(drop=True)

    def outcome(self, file: str, row: int) -> tuple[str, str]:
        """What became of a sheet row, and why."""
        rows = settle(self.records.rows)
        line = rows[(rows["file"] == file) & (rows["row"] == row)].iloc[0]
        return line["outcome"], line["reason"]

    def address(self, kind: str, tidy_row: int, field: str) -> str:
        """The cell that a value came from."""
        found = self.records.tidy[kind].addresses(pd.Series([tidy_row]), pd.Series([field])).iloc[0]
        return f"{found['column']}{found['row']}"

    def question(self, rule: str) -> str:
        from dwc_pipeline.core.answers import question_id

        return question_id(rule, str(self.findings(rule)["cause"].iloc[0]))


@pytest.fixture
def shape(tmp_path: Path) -> Callable[..., Shaped]:
    def make(files: Mapping[str, Any], tables: str, answers: Mapping[str, str] | None = None) -> Shaped:
        texts = {name: content for name, content in files.items() if isinstance(content, str)}
        lines = [f"{question},,,{answer},Ada,," for question, answer in (answers or {}).items()]
        texts["answers.csv"] = "\n".join(["question,what,scope,answer,by,date,why", *lines, ""])
        path = write_survey(tmp_path / "survey", {"sites.csv": SITES, **texts}, SITES_TABLE + tables)
        for name, book in files.items():
            if not isinstance(book, str):
                book.save(path.parent / name)
        survey = read_survey_file(path)
        return Shaped(reshape(read(survey, TODAY), survey))

    return make


@pytest.fixture
def workbook() -> Callable[..., openpyxl.Workbook]:
    """A workbook from rows of cells; struck rows, coloured cells and comments by address."""

    def make(
        sheets: Mapping[str, list[list[object]]],
        struck: tuple[int, ...] = (),
        coloured: Mapping[str, str] | None = None,
        comments: Mapping[str, str] | None = None,
    ) -> openpyxl.Workbook:
        book = openpyxl.Workbook()
        book.remove(book.active)
        for name, rows in sheets.items():
            sheet = book.create_sheet(name)
            for row in rows:
                sheet.append(row)
            for number in struck:
                for cell in sheet[number]:
                    cell.font = Font(strike=True)
            for address, colour in (coloured or {}).items():
                sheet[address].fill = PatternFill("solid", fgColor="FF" + colour)
            for address, text in (comments or {}).items():
                sheet[address].comment = Comment(text, "Ada")
        return book

    return make
