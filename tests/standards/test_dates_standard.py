"""Dates against published standards.

Sources: Darwin Core, definition and examples of `eventDate` (List of Terms, 2026-05-26); the development half of
the official rows of the BDQ draft (read from the folder `shared` beside the repository, skipped without it; the
number is their dataID); ISO 8601-1:2019, from memory where no Darwin Core example shows the form.
"""

from __future__ import annotations

import csv
import datetime as dt
import json
from pathlib import Path

import pandas as pd
import pytest

from dwc_pipeline.core.local_time import calendar_parts
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.event_date import judge_date

ROWS = Path(__file__).resolve().parents[3] / "shared" / "standards" / "bdq" / "validation_dev.csv"
PLAIN = DateContext(today=dt.date(2026, 6, 1), time_zone="America/Chicago")
PARTS = ("dwc:year", "dwc:month", "dwc:day", "dwc:startDayOfYear", "dwc:endDayOfYear")


def official_rows(label: str) -> list[dict[str, str]]:
    """Official rows of one test; one row that skips where the data are not beside the repository."""
    if not ROWS.exists():
        return []
    with ROWS.open(encoding="utf-8", newline="") as lines:
        return [row for row in csv.DictReader(lines) if row["Label"] == label]


needs_rows = pytest.mark.skipif(not ROWS.exists(), reason="the official rows are not beside the repository")


class TestEventDateForms:
    """Darwin Core eventDate: the examples of the term are read as they stand."""

    @pytest.mark.parametrize("text", ["1971", "1906-06", "1809-02-12", "2018-08-29T15:19", "1900/1909"])
    def test_an_example_of_the_term_is_kept_as_it_stands(self, text: str) -> None:
        assert judge_date(text, "", PLAIN).value == text

    def test_an_example_with_an_offset_is_put_into_local_time(self) -> None:
        verdict = judge_date("1963-03-08T14:07-06:00", "", PLAIN)
        assert (verdict.value, verdict.also["utc_offset"]) == ("1963-03-08T14:07", "-06:00")
        assert judge_date("2009-02-20T08:40Z", "", PLAIN).value == "2009-02-20T02:40"

    def test_a_shortened_end_is_written_out(self) -> None:
        assert judge_date("2007-11-13/15", "", PLAIN).value == "2007-11-13/2007-11-15"

    def test_an_interval_in_utc_is_put_into_local_time(self) -> None:
        verdict = judge_date("2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", "", PLAIN)
        assert verdict.value == "2007-03-01T07:00/2008-05-11T10:30"
        assert verdict.also["utc_offset"] == "-06:00/-05:00"


class TestIsoForms:
    """ISO 8601-1:2019, from memory: ordinal days and weeks are read, and never written."""

    @pytest.mark.parametrize(
        ("text", "day"), [("2024-123", "2024-05-02"), ("2024-W18-3", "2024-05-01"), ("20240502", "2024-05-02")]
    )
    def test_ordinal_week_and_basic_forms(self, text: str, day: str) -> None:
        assert judge_date(text, "", PLAIN).value == day

    @pytest.mark.parametrize(
        "text", ["P1D", "R3/2007-01-01/P1D", "2007/..", "../2007", "-2000", "0000", "2023-02-29"]
    )
    def test_durations_recurrences_open_ends_and_early_years_are_no_dates(self, text: str) -> None:
        assert judge_date(text, "", PLAIN).status is Status.UNREADABLE


@needs_rows
class TestOfficialRows:
    """BDQ draft, development half of the official rows."""

    @pytest.mark.parametrize("row", official_rows("AMENDMENT_EVENTDATE_FROM_VERBATIM"), ids=lambda row: row["dataID"])
    def test_verbatim_dates_are_read_as_proposed_or_not_at_all(self, row: dict[str, str]) -> None:
        verdict = judge_date(row["dwc:verbatimEventDate"], "", PLAIN)
        if row["Response.status"] == "FILLED_IN":
            assert verdict.value == json.loads(row["Response.result"])["dwc:eventDate"]
        elif row["Response.status"] == "NOT_AMENDED" or row["dwc:verbatimEventDate"] == "X":
            assert not verdict.is_read

    @pytest.mark.parametrize("row", official_rows("AMENDMENT_EVENTDATE_STANDARDIZED"), ids=lambda row: row["dataID"])
    def test_event_dates_are_standardised_as_proposed(self, row: dict[str, str]) -> None:
        verdict = judge_date(row["dwc:eventDate"], "", PLAIN)
        if row["Response.status"] == "AMENDED":
            assert verdict.value == json.loads(row["Response.result"])["dwc:eventDate"]
        elif row["Response.status"] == "NOT_AMENDED":
            assert not verdict.is_read

    @pytest.mark.parametrize(
        "row", official_rows("AMENDMENT_DATEIDENTIFIED_STANDARDIZED"), ids=lambda row: row["dataID"]
    )
    def test_dates_of_identification_follow_the_same_rules(self, row: dict[str, str]) -> None:
        verdict = judge_date(row["dwc:dateIdentified"], "", PLAIN)
        if row["Response.status"] == "AMENDED":
            assert verdict.value == json.loads(row["Response.result"])["dwc:dateIdentified"]
        elif row["dwc:dateIdentified"]:
            assert not verdict.is_read

    @pytest.mark.parametrize("row", official_rows("VALIDATION_EVENTDATE_STANDARD"), ids=lambda row: row["dataID"])
    def test_what_is_no_valid_event_date_is_not_read(self, row: dict[str, str]) -> None:
        verdict = judge_date(row["dwc:eventDate"], "", PLAIN)
        if row["Response.status"] == "RUN_HAS_RESULT":
            assert verdict.is_read == (row["Response.result"] == "COMPLIANT")

    @pytest.mark.parametrize("row", official_rows("AMENDMENT_EVENT_FROM_EVENTDATE"), ids=lambda row: row["dataID"])
    def test_parts_are_filled_in_as_proposed(self, row: dict[str, str]) -> None:
        parts = calendar_parts(pd.Series([row["dwc:eventDate"]], dtype=object)).iloc[0]
        proposed = json.loads(row["Response.result"] or "{}")
        ours = {f"dwc:{term}": text for term, text in parts.items() if text and not row[f"dwc:{term}"]}
        if row["Response.status"] in ("FILLED_IN", "NOT_AMENDED"):
            assert ours == proposed

    @pytest.mark.parametrize("row", official_rows("VALIDATION_EVENTDATE_CONSISTENT"), ids=lambda row: row["dataID"])
    def test_parts_that_agree_with_the_event_date_are_those_computed(self, row: dict[str, str]) -> None:
        if row["Response.status"] != "RUN_HAS_RESULT":
            pytest.skip("the test has no result for this row")
        parts = calendar_parts(pd.Series([row["dwc:eventDate"]], dtype=object)).iloc[0]
        given = {name: row[name] for name in PARTS if row[name]}
        agrees = all(parts[name.removeprefix("dwc:")] == text for name, text in given.items())
        assert agrees == (row["Response.result"] == "COMPLIANT")
