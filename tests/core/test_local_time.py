"""Local time, offsets and calendar parts, against zoneinfo, Darwin Core and the BDQ draft."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.local_time import calendar_parts, end_dates, iso_interval, localise, offsets_at, run_hours

CHICAGO, DENVER = "America/Chicago", "America/Denver"


def column(*texts: str) -> pd.Series:
    return pd.Series(list(texts), dtype=object)


def test_the_offset_follows_daylight_saving_time() -> None:
    """Handbook rows 64 and 65."""
    placed = localise(column("2023-05-14", "2023-11-06"), column("07:15", "07:15"), CHICAGO)
    assert placed["local_iso"].tolist() == ["2023-05-14T07:15-05:00", "2023-11-06T07:15-06:00"]
    assert placed["utc"].tolist() == [pd.Timestamp("2023-05-14T12:15Z"), pd.Timestamp("2023-11-06T13:15Z")]
    assert str(placed["utc"].dtype) == "datetime64[us, UTC]"


def test_a_time_in_the_gap_has_no_offset_and_one_in_the_overlap_has_two() -> None:
    """Handbook rows 66 and 67; the changes of 2023 in the United States were on 12 March and 5 November."""
    placed = localise(column("2023-03-12", "2023-11-05", "2023-11-05"), column("02:30", "01:30", ""), CHICAGO)
    assert placed["status"].tolist() == ["gap", "overlap", "no time"]
    assert placed["local_iso"].tolist() == ["", "", ""]
    assert placed["utc"].isna().all()


def test_an_offset_that_the_source_gave_settles_the_overlap() -> None:
    placed = localise(
        column("2023-11-05", "2023-11-05"), column("01:30", "01:30"), CHICAGO, column("-05:00", "-06:00")
    )
    assert placed["local_iso"].tolist() == ["2023-11-05T01:30-05:00", "2023-11-05T01:30-06:00"]
    assert (placed["utc"].iloc[1] - placed["utc"].iloc[0]) == pd.Timedelta(hours=1)


def test_the_index_and_the_order_of_the_rows_stay() -> None:
    dates = pd.Series(["2023-05-14", "", "2023-05-14"], index=[7, 3, 5], dtype=object)
    placed = localise(dates, pd.Series(["07:15", "07:15", "07:15"], index=[7, 3, 5], dtype=object), DENVER)
    assert placed.index.tolist() == [7, 3, 5]
    assert placed["local_iso"].tolist() == ["2023-05-14T07:15-06:00", "", "2023-05-14T07:15-06:00"]


def test_no_rows_give_no_rows() -> None:
    assert localise(column(), column(), CHICAGO).empty
    assert calendar_parts(column()).empty


@settings(max_examples=200, deadline=None)
@given(
    st.datetimes(dt.datetime(1970, 1, 1), dt.datetime(2030, 1, 1)),
    st.sampled_from([CHICAGO, DENVER, "America/Phoenix"]),
)
def test_local_time_and_instant_agree_with_zoneinfo(moment: dt.datetime, zone: str) -> None:
    moment = moment.replace(second=0, microsecond=0)
    placed = localise(column(moment.date().isoformat()), column(moment.strftime("%H:%M")), zone).iloc[0]
    both = {moment.replace(tzinfo=ZoneInfo(zone), fold=fold).astimezone(dt.UTC) for fold in (0, 1)}
    real = {at for at in both if at.astimezone(ZoneInfo(zone)).replace(tzinfo=None) == moment}
    assert placed["status"] == {0: "gap", 1: "ok", 2: "overlap"}[len(real)]
    if placed["status"] == "ok":
        assert placed["utc"].to_pydatetime() == real.pop()
        assert dt.datetime.fromisoformat(placed["local_iso"]) == placed["utc"].to_pydatetime()


def test_a_zone_without_daylight_saving_time_has_neither_gap_nor_overlap() -> None:
    for hour in range(24):
        assert len(offsets_at(dt.datetime(2023, 3, 12, hour, 30), "America/Phoenix")) == 1


def test_elapsed_hours_over_the_clock_change_are_counted_in_utc() -> None:
    placed = localise(column("2023-11-04", "2023-11-05"), column("22:00", "07:00"), CHICAGO)
    assert (placed["utc"].iloc[1] - placed["utc"].iloc[0]) == pd.Timedelta(hours=10)


def test_an_interval_is_written_with_both_ends_in_full() -> None:
    """Darwin Core eventDate: start/end, ISO 8601-1; offsets on both ends."""
    start = column("2023-05-14T22:00-05:00", "2023-05-14T22:00-05:00", "", "", "2023-05-14T22:00-05:00")
    end = column("2023-05-15T01:30-05:00", "", "2023-05-15T01:30-05:00", "", "2023-05-14T22:00-05:00")
    assert iso_interval(start, end).tolist() == [
        "2023-05-14T22:00-05:00/2023-05-15T01:30-05:00", "2023-05-14T22:00-05:00", "2023-05-15T01:30-05:00", "",
        "2023-05-14T22:00-05:00",
    ]  # fmt: skip


def test_a_run_over_midnight_ends_on_the_next_day_and_too_long_a_run_is_asked() -> None:
    """Handbook rows 62 and 63."""
    found = end_dates(
        column("2023-05-14", "2023-05-14", "2023-12-31", "2023-05-14", ""),
        column("22:00", "21:30", "23:00", "20:00", "20:00"),
        column("01:30", "20:45", "00:00", "22:00", "22:00"),
        16,
    )
    assert found["status"].tolist() == ["next day", "too long", "next day", "ok", "no time"]
    assert found["date"].tolist() == ["2023-05-15", "", "2024-01-01", "2023-05-14", ""]
    assert "23.25 h" in found["note"].iloc[1]


def test_run_hours_of_the_handbook_row_63() -> None:
    assert run_hours("21:30", "20:45") == pytest.approx(23.25)


@pytest.mark.parametrize(
    ("event_date", "parts"),
    [
        ("1981-01-03", ("1981", "1", "3", "3", "3")),
        ("2007-03", ("2007", "3", "", "", "")),
        ("2023", ("2023", "", "", "", "")),
        ("2021-01-15/2021-02-02", ("2021", "", "", "15", "33")),
        ("1981-12-30/1982-01-03", ("", "", "", "364", "3")),
        ("1981-01/1981-12", ("1981", "", "", "", "")),
        ("2023-04-30/2023-05-01", ("2023", "", "", "120", "121")),
        ("2007-11-13/15", ("2007", "11", "", "317", "319")),
        ("2023-05-14T07:15-05:00", ("2023", "5", "14", "134", "134")),
        ("2023-05-14T20:00-05:00/2023-05-14T22:00-05:00", ("2023", "5", "14", "134", "134")),
        ("1900/1909", ("", "", "", "", "")),
        ("2024-12-31", ("2024", "12", "31", "366", "366")),
        ("2023-02-30", ("", "", "", "", "")),
        ("", ("", "", "", "", "")),
        ("X", ("", "", "", "", "")),
    ],
)
def test_a_part_is_filled_only_where_the_whole_stretch_agrees(event_date: str, parts: tuple[str, ...]) -> None:
    """BDQ draft, AMENDMENT_EVENT_FROM_EVENTDATE (296, 298, 300) and VALIDATION_EVENT_CONSISTENT (459 to 469)."""
    assert tuple(calendar_parts(column(event_date)).iloc[0]) == parts
