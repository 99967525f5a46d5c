"""The agency's workbook as an office program prints it."""

from __future__ import annotations

import itertools
import math
import re
import shutil
import subprocess

import openpyxl
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_agency_copy import agency_input

from dwc_pipeline.write.agency.copy import write_agency_copy
from dwc_pipeline.write.agency.map_chart import axes
from dwc_pipeline.write.agency.page_layout import LETTER_PAGE, SMALLEST_SCALE, column_width, pages, wrapped_lines
from dwc_pipeline.write.agency.sheet import Column, Sheet, as_the_agency_names

PEOPLE = '\n[share.agency]\nagency = "State agency"\n[[people]]\nname = "Ada Example"\nroles = ["creator"]\n'
needs_office = pytest.mark.skipif(
    not (shutil.which("soffice") and shutil.which("pdftotext")),
    reason="LibreOffice (soffice) or pdftotext is not installed",
)


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[str], list[str]]:
    """The tabs of the workbook, and the text of each printed page."""
    folder = tmp_path_factory.mktemp("print")
    write_agency_copy(agency_input(folder / "survey", PEOPLE), folder)
    book = folder / "PT-2023.xlsx"
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    office = ["soffice", "--headless", profile, "--convert-to", "pdf", "--outdir", str(folder), str(book)]
    subprocess.run(office, check=True, capture_output=True, timeout=300)
    text = subprocess.run(
        ["pdftotext", "-layout", str(book.with_suffix(".pdf")), "-"], check=True, capture_output=True, timeout=60
    ).stdout.decode()
    return openpyxl.load_workbook(book).sheetnames, text.split("\f")[:-1]


@needs_office
def test_every_sheet_is_printed_and_its_pages_are_numbered(printed: tuple[list[str], list[str]]) -> None:
    tabs, sheets = printed
    feet = [re.search(r"^ *(\S.*?) +Page (\d+) of (\d+)\s*$", page, re.MULTILINE) for page in sheets]
    assert all(feet)
    assert [foot and foot[2] for foot in feet] == [str(number) for number in range(1, len(sheets) + 1)]
    assert list(dict.fromkeys(foot[1] for foot in feet if foot)) == tabs
    assert len(sheets) <= 2 * len(tabs) + 2  # a small season does not sprawl over empty pages


@needs_office
def test_nothing_is_too_wide_for_its_cell(printed: tuple[list[str], list[str]]) -> None:
    assert not [page for page in printed[1] if "###" in page]


@needs_office
def test_pages_of_the_captures_repeat_what_tells_the_animals_apart(printed: tuple[list[str], list[str]]) -> None:
    own = [page for page in printed[1] if re.search(r"^ *Captures +Page", page, re.MULTILINE)]
    assert len(own) > 1
    for page in own:
        assert "Scientific name" in page
        assert "2023-05-15" in page
        assert "Aspidoscelis sexlineatus" in page


@needs_office
def test_the_map_names_the_sites_and_its_axes(printed: tuple[list[str], list[str]]) -> None:
    own = next(page for page in printed[1] if re.search(r"^ *Map +Page", page, re.MULTILINE))
    assert "A1" in own
    assert "Longitude [degrees]" in own


class TestPageLayout:
    def test_a_narrow_sheet_stays_on_one_page(self) -> None:
        assert pages([20, 30, 40], 1, is_american=True) == (0, [])

    @given(st.lists(st.integers(5, 60), min_size=2, max_size=50), st.integers(1, 4))
    @settings(max_examples=60)
    def test_no_page_is_wider_than_the_paper(self, widths: list[int], stay: int) -> None:
        stay = min(stay, len(widths) - 1)
        scale, breaks = pages(widths, stay, is_american=True)
        if not breaks:
            return
        bounds = [stay, *[one for one in breaks if one != stay], len(widths)]
        again = sum(7 * width + 5 for width in widths[:stay])
        for start, end in itertools.pairwise(bounds):
            size = again + sum(7 * width + 5 for width in widths[start:end])
            assert size * scale / 100 <= LETTER_PAGE + 1
        assert scale <= SMALLEST_SCALE * 100

    @given(st.text(alphabet="ab \n", max_size=80), st.integers(3, 20))
    @settings(max_examples=80)
    def test_wrapped_text_has_room_for_every_letter(self, text: str, width: int) -> None:
        assert wrapped_lines(text, width) * (width + 1) >= len(text.rstrip())

    def test_a_column_is_as_wide_as_its_longest_word(self) -> None:
        column = Column("a", "Identifier", "x", "text", 10)
        assert column_width(column, ["short", "PT-2023-A1-c20230515-F3-1"]) == 27

    def test_a_long_number_is_rounded_on_the_screen_and_whole_in_the_cell(self) -> None:
        assert column_width(Column("a", "Mass [g]", "x", "number", 9), ["23.813599425"]) == 9


class TestMapAxes:
    @given(
        st.lists(st.tuples(st.floats(-179, 178), st.floats(-60, 60)), min_size=1, max_size=8),
    )
    @settings(max_examples=60)
    def test_every_site_is_inside_and_proportions_are_true(self, sites: list[tuple[float, float]]) -> None:
        across, up, width, height = axes([x for x, _ in sites], [y for _, y in sites])
        assert across.low <= min(x for x, _ in sites) <= max(x for x, _ in sites) <= across.high
        assert up.low <= min(y for _, y in sites) <= max(y for _, y in sites) <= up.high
        metre = width / ((across.high - across.low) * math.cos(math.radians((up.low + up.high) / 2)))
        assert metre == pytest.approx(height / (up.high - up.low))


def test_one_sheet_can_call_a_column_otherwise_than_the_others() -> None:
    column = Column("a", "SVL [mm]", "x")
    sheets = [Sheet(name, name, (column,), pd.DataFrame({"a": []})) for name in ("Captures", "Marks")]
    named = as_the_agency_names(sheets, {}, {"Captures: SVL": "Length_mm"})
    assert [sheet.columns[0].header for sheet in named] == ["Length_mm", "SVL [mm]"]
