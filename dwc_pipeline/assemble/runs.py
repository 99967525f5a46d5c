"""Road runs and timed searches: when, how far, how long, by how many."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import instant_column, number_column, text_column
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.effort.search_hours import net_hours, person_hours

RUN_EFFORT_UNKNOWN = declare(
    Rule(
        "run-effort-unknown",
        Severity.ERROR,
        "A road run or search lacks its start, end or distance.",
        "Its animals cannot enter any rate; they are left out of rates, and the exclusion is shown.",
        "Fill in the time or the distance from the field book.",
    )
)
ODOMETER_BACKWARDS = declare(
    Rule(
        "odometer-runs-backwards",
        Severity.ERROR,
        "The odometer shows less at the end of a run than at its start.",
        "The distance of the run, and every rate per kilometre, would be wrong.",
        "Correct the reading on the sheet. The distance stays unknown until then.",
    )
)

RUN_WITHOUT_PLACE_OR_DATE = declare(
    Rule(
        "run-without-place-or-date",
        Severity.ERROR,
        "A road run or a search has no place or no date that can be read.",
        "Its effort is lost, and what was found on it hangs on no event.",
        "Fill in the place and the date, or answer the question about the cell.",
    )
)


def run_table(rows: pd.DataFrame, kind: str) -> tuple[pd.DataFrame, pd.DataFrame]:
    """One line a run or search, indexed like its standard rows, and findings.

    Columns: place, run, date, local, utc, end_local, end_utc, distance_km [km], hours [h, stops taken out],
    people, person_hours [h], covers.
    """
    distance = number_column(rows, "distance")
    driven = number_column(rows, "odometer_end") - number_column(rows, "odometer_start")
    backwards = driven < 0
    distance = distance.fillna(driven.mask(backwards))
    out = number_column(rows, "stopped_minutes" if kind == "road_run" else "handling_minutes").fillna(0)
    start, end = instant_column(rows, "when/utc"), instant_column(rows, "until/utc")
    hours = pd.Series(net_hours(start, end, out), index=rows.index)
    named = text_column(rows, "recordedBy").map(lambda names: len([n for n in names.split("|") if n.strip()]))
    people = number_column(rows, "observer_count").fillna(named.where(named > 0))
    made = pd.DataFrame(
        {
            "place": text_column(rows, "place"),
            "run": text_column(rows, "run"),
            "date": text_column(rows, "when/date"),
            "local": text_column(rows, "when/local"),
            "utc": start,
            "end_local": text_column(rows, "until/local"),
            "end_utc": end,
            "distance_km": distance,
            "hours": hours,
            "people": people,
            "person_hours": person_hours(people, hours),
            "covers": number_column(rows, "covers_turned"),
        },
        index=rows.index,
    )
    lacking = made["hours"].isna() | (made["distance_km"].isna() if kind == "road_run" else ~(people > 0))
    lacking |= people <= 0
    lost = made.index[lacking & (made["date"] != "")]
    nowhere = made.index[(made["date"] == "") | (made["place"] == "")]
    back = made.index[backwards]
    day = made["date"]
    return made, join_findings(
        [
            findings_on_rows(
                RUN_EFFORT_UNKNOWN,
                kind,
                lost,
                "start_time",
                value=day.reindex(lost),
                cause=(made["place"] + " " + day).reindex(lost),
                message="the effort of the run on "
                + day.reindex(lost)
                + " is unknown: a time, the distance or the number of people is missing",
            ),
            findings_on_rows(
                RUN_WITHOUT_PLACE_OR_DATE,
                kind,
                nowhere,
                "place",
                message="the place or the date of this run or search could not be read",
                cause=(made["place"] + " " + day + " " + made["run"]).reindex(nowhere),
            ),
            findings_on_rows(
                ODOMETER_BACKWARDS,
                kind,
                back,
                "odometer_end",
                value=text_column(rows, "odometer_end").reindex(back),
                message="the odometer reads less at the end than at the start",
            ),
        ]
    )
