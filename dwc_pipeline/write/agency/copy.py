"""The folder for the agency, and a zip of it: workbook, precise archive, map, README and checksums."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.write.about_text import about_lines, heading
from dwc_pipeline.write.agency.captures import capture_rows, capture_sheet, mark_sheet, unusual_sheet
from dwc_pipeline.write.agency.form_findings import as_agency_findings, unknown_names
from dwc_pipeline.write.agency.season_sheets import (
    dictionary_sheet,
    effort_sheet,
    methods_sheet,
    question_sheet,
    site_sheets,
    species_sheet,
    summary_sheet,
)
from dwc_pipeline.write.agency.sheet import Sheet, as_the_agency_names, only_wanted, without_blanks
from dwc_pipeline.write.agency.template_book import TemplateBook
from dwc_pipeline.write.agency.template_fill import fill_template
from dwc_pipeline.write.agency.template_plan import Plan, plan_of, values_of
from dwc_pipeline.write.agency.workbook import write_workbook
from dwc_pipeline.write.archive import write_archive
from dwc_pipeline.write.figures.place_map import PlaceMap, Site, place_map
from dwc_pipeline.write.html_report import page_environment
from dwc_pipeline.write.zip_bytes import write_zip

CHECKSUMS = "sha256.txt"
#: sheets with columns that only some seasons need
MANY_COLUMNS = ("Captures", "Sites")
#: columns that every report has, whether they hold something or not
NEEDED = frozenset(
    {"date", "place", "scientificName", "individualCount", "fate", "decimalLatitude", "decimalLongitude"}
)
README = """For {agency}, permit {permit}.

Everything in this folder is exact: it shows where animals live and on whose land. Pass it on only to people who may
know that.

{about}

{files}

The numbers of the workbook are computed from the archive's records; each capture has the same identifier in both.
What your permit asks for, and in which form, is for the permit and the agency to say.
"""


@dataclass(frozen=True)
class AgencyInput:
    """What the copy is made from. tables: as written, all text. account: species_account. boundary: outline or None.

    questions: those that are not yet answered.
    """

    tables: Mapping[str, pd.DataFrame]
    account: pd.DataFrame
    questions: pd.DataFrame
    metadata: DatasetMetadata
    survey: SurveyFile
    boundary: Any = None


def write_agency_copy(given: AgencyInput, folder: Path) -> list[Path]:
    """Write all files of the copy into a folder that exists, and a zip of them; the paths written.

    Raises OutputRefused if the archive cannot be made.
    """
    survey, share = given.survey, given.survey.share.agency
    assert share is not None
    about = survey.survey
    name = f"{about.code}-{about.season}"
    sheets = our_sheets(given)
    book = write_workbook(
        agency_sheets(given, sheets), folder / f"{name}.xlsx", about.title, about.ends, about.country_code == "US"
    )
    forms = []
    if share.template:
        form, plan = template_plan(given, sheets)
        path = folder / f"{name}-form.xlsx"
        forms = [fill_template(form, plan, values_of(sheets[0]), path)]
    archive = write_archive(
        given.tables, given.metadata, folder / f"{name}.zip", WORD_SETS[survey.output.detection_words]
    )
    readme = readme_text(given.metadata, share.agency, share.permit, name, bool(forms))
    picture = map_picture(given)
    files = [book, *forms, archive]
    for file, text in (("README.txt", readme), ("map.svg", picture)):
        if text:
            (folder / file).write_text(text, encoding="utf-8", newline="\n")
            files.append(folder / file)
    sums = [f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}" for path in sorted(files)]
    (folder / CHECKSUMS).write_text("\n".join(sums) + "\n", encoding="utf-8", newline="\n")
    files.append(folder / CHECKSUMS)
    whole = write_zip(folder / f"{name}-agency.zip", {path.name: [path.read_bytes()] for path in files})
    return [*files, whole]


def readme_text(about: DatasetMetadata, agency: str, permit: str, name: str, has_form: bool = False) -> str:
    """The README: for whom, what to be careful about, and what each file is."""
    files = {
        f"{name}.xlsx": "read first: summary, sites, species, effort, captures, mortalities, marks, questions",
        **({f"{name}-form.xlsx": "the agency's form, filled from the same records"} if has_form else {}),
        f"{name}.zip": "Darwin Core archive with the same records: events, animals, measurements, sampling effort",
        "map.svg": "map of the sites; any web browser shows it",
        CHECKSUMS: "sha256 checksums of the files above, to see whether a copy is complete",
    }
    width = max(map(len, files)) + 2
    told = README.format(
        agency=agency or "the agency",
        permit=permit or "(number not stated)",
        files="\n".join(f"{file:<{width}}{what}" for file, what in files.items()),
        about="\n".join(about_lines(about)),
    )
    return "\n".join([*heading(about.title), told])


def agency_sheets(given: AgencyInput, sheets: Sequence[Sheet]) -> list[Sheet]:
    """Our sheets with the agency's names, those it wants, without columns that hold nothing."""
    share = given.survey.share.agency
    assert share is not None
    picked = only_wanted(sheets, share.only_sheets, share.only_columns)
    named = as_the_agency_names(
        [without_blanks(one, NEEDED) if one.key in MANY_COLUMNS else one for one in picked],
        share.sheets,
        share.columns,
    )
    if share.only_sheets and "Data dictionary" not in share.only_sheets:
        return named
    return [*named, *as_the_agency_names([dictionary_sheet(named, {})], share.sheets, share.columns)]


def our_sheets(given: AgencyInput) -> list[Sheet]:
    """All sheets under our own names with all their columns, summary first; the dictionary is made of them."""
    tables, survey = given.tables, given.survey
    rows = capture_rows(tables["event"], tables["occurrence"], tables["measurement"])
    species = species_sheet(given.account, tables["occurrence"])
    effort = effort_sheet(tables["event"], tables["effort"])
    return [
        summary_sheet(survey, species, effort, len(given.questions)),
        *site_sheets(tables["place"], map_of(given)),
        species,
        effort,
        capture_sheet(rows),
        unusual_sheet(rows),
        mark_sheet(rows),
        methods_sheet(survey, given.metadata),
        question_sheet(given.questions),
    ]


def template_plan(given: AgencyInput, sheets: Sequence[Sheet]) -> tuple[TemplateBook, Plan]:
    """The agency's template and which of our sheets goes where in it.

    Raises UnreadableFile if it is no workbook.
    """
    share = given.survey.share.agency
    assert share is not None
    book = TemplateBook(given.survey.folder / share.template)
    named = [sheet for sheet in as_the_agency_names(sheets[1:], {}, share.columns) if sheet.columns]
    return book, plan_of(book, named, sheets[0], share.template_sheets, share.cells)


def agency_findings(given: AgencyInput) -> pd.DataFrame:
    """What the agency asks for and the season cannot give, and names in the survey file that mean nothing."""
    share = given.survey.share.agency
    assert share is not None
    sheets = our_sheets(given)
    misses = unknown_names(share, [*sheets, dictionary_sheet(sheets, {})])
    file = given.survey.path.name
    if not share.template:
        return as_agency_findings(misses, file)
    plan = template_plan(given, sheets)[1]
    return join_findings([as_agency_findings(misses, file), as_agency_findings(plan.misses, share.template)])


def map_of(given: AgencyInput) -> PlaceMap | None:
    """The map of the places; None where no place has a position."""
    place = given.tables["place"]
    latitude, longitude = number_column(place, "decimalLatitude"), number_column(place, "decimalLongitude")
    known = latitude.notna() & longitude.notna()
    kinds = place["kind"] if "kind" in place else pd.Series("", index=place.index)
    sites = [
        Site(str(code), str(kind), float(north), float(east))
        for code, kind, north, east in zip(
            place.loc[known, "place"], kinds[known], latitude[known], longitude[known], strict=True
        )
    ]
    return place_map(sites, given.boundary)


def map_picture(given: AgencyInput) -> str:
    """The map as SVG; "" where no place has a position."""
    drawn = map_of(given)
    if drawn is None:
        return ""
    return str(page_environment().get_template("figures/map_alone.svg").render(plot=drawn))
