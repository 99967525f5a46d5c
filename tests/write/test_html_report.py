"""The page of a run: safe, self-contained, the same every time, and its numbers are those of the tables."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pandas as pd
import pytest
from assemble.test_worked_hierarchy import CAPTURES, LOG
from lxml import etree, html
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.core.records import Records, Reference
from dwc_pipeline.pipeline import Season
from dwc_pipeline.write.html_report import report_page

SCRIPT = "<script>alert('x')</script>"
SVG = "{http://www.w3.org/2000/svg}"


def page_of(season: Season) -> str:
    return report_page(season.records, season.survey, season.findings, season.questions, season.accounts)


def tree_of(page: str) -> etree._Element:
    return html.document_fromstring(page)


def table_rows(page: str, caption: str) -> list[dict[str, str]]:
    """The rows of the table with a caption, by header."""
    table = next(one for one in tree_of(page).iter("table") if one.findtext("caption") == caption)
    headers = [cell.text_content() for cell in table.iterfind("thead/tr/th")]
    rows = [[cell.text_content() for cell in row] for row in table.iterfind("tbody/tr")]
    return [dict(zip(headers, row, strict=True)) for row in rows]


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    """The worked session with an animal on a day without a check, a word nobody knows, and a second array."""
    folder: Path = tmp_path_factory.mktemp("page")
    captures = (
        CAPTURES
        + "A1,2023-05-20,07:40,F3,Aspidoscelis sexlineatus,M,ad,70,,,,,,,6\n"
        + f"A1,2023-05-15,07:40,F3,{SCRIPT},M,ad,70,,,,,☃ “ö” & <b>,,7\n"
    )
    sites = SITES + f"{SCRIPT},array,36.7600,-99.6400,F1,4\n"
    files = {"sites.csv": sites, "log.csv": LOG, "captures.csv": captures}
    head = HEAD.replace("A small survey", f"Dunes & ponds {SCRIPT}")
    return prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, head)


@pytest.fixture(scope="module")
def page(season: Season) -> str:
    return page_of(season)


@pytest.fixture(scope="module")
def bare(season: Season) -> Season:
    """The same survey without events, animals, places, findings, rows or checklist."""
    tables = {name: table.iloc[:0] for name, table in season.records.tables.items()}
    records = dataclasses.replace(
        Records(Reference(season.records.reference.today)), tables=tables, changes=season.records.changes.iloc[:0]
    ).with_(rows=season.records.rows.iloc[:0])
    return dataclasses.replace(
        season,
        records=records,
        findings=season.findings.iloc[:0],
        questions=season.questions.iloc[:0],
        accounts=season.accounts.iloc[:0],
    )


class TestSafety:
    def test_markup_in_names_is_text(self, page: str) -> None:
        assert "<script" not in page
        assert "&lt;script&gt;" in page
        assert not list(tree_of(page).iter("script"))

    def test_titles_and_labels_in_figures_are_escaped_too(self, page: str) -> None:
        figures = re.findall(r"<svg class=\"figure.*?</svg>", page, flags=re.S)
        parsed = [etree.fromstring(figure) for figure in figures]
        assert SCRIPT in [text for figure in parsed for text in figure.itertext()]

    def test_nothing_is_fetched(self, page: str) -> None:
        """Content Security Policy 3: default-src 'none' lets no script, image, font or request pass."""
        tree = tree_of(page)
        policy = tree.find(".//meta[@http-equiv='Content-Security-Policy']").get("content")
        assert policy.startswith("default-src 'none'")
        assert not [one for one in tree.iter() if one.tag in ("img", "iframe", "link", "object", "embed", "video")]
        assert not tree.xpath("//@src | //@srcset | //@action")
        assert all(str(link).startswith("#") for link in tree.xpath("//@href"))
        assert not re.search(r"@import|url\((?!#)", page)
        addresses = {found for found in re.findall(r"https?://[^\s\"'<)]+", page) if "w3.org" not in found}
        assert not addresses

    def test_no_attribute_runs_code(self, page: str) -> None:
        names = {name for one in tree_of(page).iter() for name in one.attrib}
        assert not [name for name in names if name.startswith("on")]

    def test_it_says_that_it_is_for_the_team(self, page: str) -> None:
        assert "For the team only." in page
        assert "exact places" in page

    def test_limits_are_deferred_to_permit_and_protocol(self, page: str) -> None:
        words = (
            "Your permit and your animal-care protocol set the limits; this page compares your log with the limits "
            "written in the survey file."
        )
        assert words in page


class TestForm:
    def test_it_is_well_formed_down_to_the_last_tag(self, page: str) -> None:
        """HTML 5: void elements apart, every tag is closed, so an XML parser takes it too."""
        closed = re.sub(r"<(meta|br)\b([^>]*)>", r"<\1\2/>", page.replace("<!doctype html>", "").strip())
        etree.fromstring(closed.encode("utf-8"))

    def test_identifiers_are_unique_and_links_lead_somewhere(self, page: str) -> None:
        tree = tree_of(page)
        names = [str(one) for one in tree.xpath("//@id")]
        assert len(names) == len(set(names))
        assert {str(link)[1:] for link in tree.xpath("//@href")} <= set(names)

    def test_every_figure_has_a_name_and_a_table_after_it(self, page: str) -> None:
        figures = tree_of(page).xpath("//figure")
        assert len(figures) == 4
        for figure in figures:
            svg = figure.find("svg")
            assert svg.get("role") == "img"
            assert svg.find("title").text
            assert figure.getnext().xpath("descendant-or-self::table")

    def test_every_table_has_headers_with_a_scope(self, page: str) -> None:
        for table in tree_of(page).iter("table"):
            assert table.xpath("thead//th")
            assert all(cell.get("scope") for cell in table.iter("th"))

    def test_severity_is_told_in_words_and_not_by_colour_alone(self, page: str) -> None:
        tags = tree_of(page).xpath("//*[contains(@class, 'tag')]")
        assert tags
        assert all(re.search(r"[a-z]{4}", tag.text_content()) for tag in tags)

    def test_the_same_input_gives_the_same_bytes(self, season: Season, page: str) -> None:
        assert page_of(season) == page


class TestNumbers:
    def test_rates_are_those_of_the_table(self, season: Season, page: str) -> None:
        rates = season.records.tables["catch_rate"]
        own = rates[(rates["grouping"] == "species") & (rates["captures"] > 0)].set_index("scientificName")
        shown = table_rows(page, "Captures per 100 trap-nights by species")
        for row in shown:
            if row["species"] in own.index:
                line = own.loc[row["species"]]
                assert float(row["captures"]) == line["captures"]
                assert float(row["rate"]) == pytest.approx(line["rate"], abs=0.005)
                assert float(row["upper 95 %"]) == pytest.approx(line["upper_95"], abs=0.005)
        assert {row["species"] for row in shown} >= set(own.index)

    def test_effort_adds_up_to_the_worked_session(self, page: str) -> None:
        """Handbook of the trade 1.6: 19.5 trap-nights, 365.875 trap-hours, one empty check of three."""
        rows = table_rows(page, "Effort of the arrays by session")
        session = next(row for row in rows if row["session"].startswith("2023-05-14"))
        assert (session["checks"], session["of them empty"]) == ("3", "1")
        assert (session["trap-nights"], session["trap-hours"]) == ("19.5", "365.9")
        assert rows[-1]["array"] == "all arrays"
        assert rows[-1]["checks of unknown effort"] == "1"

    def test_a_check_of_unknown_effort_is_not_shown_as_zero(self, page: str) -> None:
        rows = table_rows(page, "Effort of the arrays by session")
        loose = next(row for row in rows if row["session"] == "in no session of the log")
        assert loose["trap-nights"] == "unknown"

    def test_every_row_is_accounted_for(self, season: Season, page: str) -> None:
        rows = table_rows(page, "Where every row went")
        for row in rows:
            read, *parts = (int(row[name]) for name in list(row)[2:])
            assert read == sum(parts)
        assert int(rows[-1]["rows read"]) == season.accounts["read"].sum()

    def test_counts_of_findings_are_those_of_the_table(self, season: Season, page: str) -> None:
        standing = season.findings[season.findings["waived"] == ""]
        errors = standing.loc[standing["severity"] == "error", "finding"].nunique()
        tag = tree_of(page).xpath("//p[@class='counts']/a[contains(@class, 'error')]")[0].text_content()
        assert tag.startswith(f"{errors} error")

    def test_species_account_is_shown_whole(self, season: Season, page: str) -> None:
        shown = table_rows(page, "What was met, and what became of it")
        assert sum(int(row["animals"]) for row in shown) == season.records.tables["species_account"]["animals"].sum()

    def test_changes_are_counted_by_rule(self, season: Season, page: str) -> None:
        shown = table_rows(page, "What was changed")
        assert sum(int(row["cells"].replace(",", "")) for row in shown) == len(season.records.changes)


class TestWhatToDo:
    def test_every_open_question_has_its_identifier_and_the_way_to_answer(self, season: Season, page: str) -> None:
        assert len(season.questions)
        assert all(f'id="q-{one}"' in page for one in season.questions["question"])
        assert season.survey.files.answers in page

    def test_at_most_five_things_come_first(self, page: str) -> None:
        steps = tree_of(page).xpath("//ol[@class='steps']/li")
        assert 1 <= len(steps) <= 5

    def test_what_keeps_the_archive_from_being_written_is_the_first_thing(self, page: str) -> None:
        """The survey file of this season names nobody."""
        first = tree_of(page).xpath("//ol[@class='steps']/li")[0].text_content()
        assert "who answers for the data" in first

    def test_one_fault_in_many_cells_is_one_line(self, season: Season) -> None:
        line = season.findings.iloc[0]
        many = pd.DataFrame([{**line.to_dict(), "row": row} for row in range(2, 202)])
        changed = dataclasses.replace(season, findings=many, questions=season.questions.iloc[:0])
        tree = tree_of(page_of(changed))
        (row,) = tree.xpath(f"//tr[@id='f-{line['finding']}']")
        assert "and 199 more" in row.text_content()
        assert "more in findings.csv" in row.text_content()

    def test_a_waived_finding_stands_apart_with_its_reason(self, season: Season) -> None:
        findings = season.findings.assign(waived="R. Example: checked in the field book")
        text = tree_of(page_of(dataclasses.replace(season, findings=findings))).text_content()
        assert "R. Example: checked in the field book" in text
        assert "0 errors" in text


class TestThinSeasons:
    def test_a_season_with_nothing_in_it_has_a_page(self, bare: Season) -> None:
        page = page_of(bare)
        assert "There is none" in page
        assert not tree_of(page).xpath("//figure")

    def test_places_without_positions_are_listed_and_not_drawn(self, season: Season) -> None:
        places = season.records.tables["place"].assign(decimalLatitude="", decimalLongitude="")
        records = dataclasses.replace(season.records, tables={**season.records.tables, "place": places})
        page = page_of(dataclasses.replace(season, records=records))
        assert "2 without a position" in page
        assert len(tree_of(page).xpath("//figure")) == 3

    def test_a_season_whose_effort_is_unknown_throughout_says_so(self, tmp_path: Path) -> None:
        """The log speaks of one array, which the site list does not have, and the animals of another."""
        log = "Array,Trap,What,Date,Time,State,Open\nA2,,opened,2023-05-14,18:30,,\nA2,,checked,2023-05-15,07:40,,\n"
        files = {"sites.csv": SITES, "captures.csv": CAPTURES, "log.csv": log}
        page = page_of(prepared(tmp_path, files, SITES_TABLE + CAPTURES_TABLE + LOG_TABLE))
        assert "No, it is unknown" in page
        assert not [row for row in table_rows(page, "Captures per 100 trap-nights by species") if row["rate"]]
