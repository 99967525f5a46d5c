"""Checklists for the tests of names: the demo's, with further species of the southern plains."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pandas as pd
import pytest

from dwc_pipeline.read.checklist_file import read_checklist
from dwc_pipeline.terms.checklist import Checklist

HERE = Path(__file__).resolve().parent
PROJECT = HERE.parents[1]
SHARED = PROJECT.parent / "shared"


@cache
def southern_plains() -> Checklist:
    """About a hundred species with synonyms and common names; codes are only those made of the names."""
    demo = read_checklist(PROJECT / "demo_input" / "checklist.csv").drop(columns="fieldCodes")
    more = read_checklist(HERE / "further_names.csv")
    return Checklist.from_frame(pd.concat([demo, more], ignore_index=True).fillna(""), "list of the tests")


@cache
def demo() -> Checklist:
    """The checklist of the demo."""
    return Checklist.from_frame(read_checklist(PROJECT / "demo_input" / "checklist.csv"), "list of the demo")


@cache
def mammals() -> Checklist:
    """436 mammals of the United States with the names of 2005 as synonyms; skipped where the file is not at hand."""
    path = shared("realdata", "04-checklists", "mammals", "MDD_v1.2_UnitedStates.csv")
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    author = table["authoritySpeciesAuthor"] + ", " + table["authoritySpeciesYear"]
    frame = pd.DataFrame(
        {
            "scientificName": table["sciName"],
            "scientificNameAuthorship": author.where(table["authorityParentheses"] != "1", "(" + author + ")"),
            "class": "Mammalia",
            "order": table["order"],
            "family": table["family"],
            "genus": table["genus"],
            "vernacularName": table["mainCommonName"] + "|" + table["otherCommonNames"],
            "synonyms": table["MSW3_sciName"].where(table["MSW3_sciName"] != table["sciName"], "").replace("NA", ""),
        }
    )
    return Checklist.from_frame(frame, "Mammal Diversity Database 1.2")


def shared(*parts: str) -> Path:
    """A file of the reference material beside the project; the test is skipped where it is not there."""
    path = SHARED.joinpath(*parts)
    if not path.exists():
        pytest.skip(f"the reference file {'/'.join(parts)} is not beside the project")
    return path


def table_of(name: str) -> list[list[str]]:
    """The rows of a table beside the tests, without notes and header."""
    lines = [line for line in (HERE / name).read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.reader(lines))[1:]
