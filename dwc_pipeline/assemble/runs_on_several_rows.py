"""One road run or search that several rows of its sheet tell of, one a board or an animal: its effort counts once."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace

import pandas as pd

from dwc_pipeline.assemble.source_cells import row_cells
from dwc_pipeline.core.columns import instant_column, number_column, text_column, text_columns
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.terms.sheet import sheet_fields

RUN_ON_SEVERAL_ROWS = declare(
    Rule(
        "run-typed-on-several-rows",
        Severity.WARNING,
        "Two rows give a run or search at one place that starts at one time, and it is not plain whether it is one.",
        "One run counted as two has twice its effort; two counted as one lose the effort of one.",
        "Correct what differs if it is one run; rows that agree in times, people and distance count once. Give each "
        "run its own people or its own number if they are two.",
        asks=True,
    )
)
RUN_KINDS = ("road_run", "search")
#: What of a row counts for effort, and what to call it.
COUNTED = {
    "run": "number", "until/local": "end", "distance": "distance", "odometer_start": "odometer at the start",
    "odometer_end": "odometer at the end", "stopped_minutes": "minutes stopped", "handling_minutes": "handling time",
    "observer_count": "number of people", "recordedBy": "people", "covers_turned": "cover objects",
}  # fmt: skip
COVERS = "covers_turned"
#: The other row, and what is in doubt.
Doubt = tuple[Hashable, str]
AGAIN_FIELDS = ("kind", "tidy_row", "kept")


def runs_once(records: Records) -> tuple[Records, pd.DataFrame, pd.DataFrame]:
    """The records with one standard row a run; the rows left out (AGAIN_FIELDS, `kept` tells of them too); findings.

    Rows with one place and start that agree in all that counts for effort are one run. The tidy rows stay.
    """
    standard, again, findings = dict(records.standard), [], []
    for kind in RUN_KINDS:
        rows = standard.get(kind)
        if rows is None or rows.empty:
            continue
        told = run_told(rows)
        kept = kept_rows(told)
        repeats = kept[kept != kept.index]
        cells = row_cells(records, kind)
        if len(repeats):
            joined, unsure = rows_joined(rows, repeats, kind)
            standard[kind] = joined
            again.append(pd.DataFrame({"kind": kind, "tidy_row": repeats.index, "kept": repeats.to_numpy()}))
            findings.append(told_on_rows(kind, told, unsure, cells))
        differing = doubtful_pairs(told.loc[~told.index.isin(repeats.index)], kind)
        findings.append(told_on_rows(kind, told, differing, cells))
    left_out = pd.concat(again, ignore_index=True) if again else pd.DataFrame(columns=list(AGAIN_FIELDS))
    return replace(records, standard=standard), left_out, join_findings(findings)


def run_told(rows: pd.DataFrame) -> pd.DataFrame:
    """Place, start and COUNTED of the rows, and `key`: one text for one place and start, "" where one is unknown."""
    told = text_columns(rows, ["place", "when/date", "when/local", *COUNTED])
    known = (told["place"] != "") & instant_column(rows, "when/utc").notna() & (told["when/local"] != "")
    told["key"] = (told["place"] + "\x1f" + told["when/local"]).where(known, "")
    return told


def kept_rows(told: pd.DataFrame) -> pd.Series:
    """For each row the first one that tells of the same run."""
    itself = pd.Series(told.index, index=told.index)
    first = itself.groupby([told[name] for name in ("key", *COUNTED)], sort=False).transform("first")
    return first.where(told["key"] != "", itself)


def rows_joined(rows: pd.DataFrame, repeats: pd.Series, kind: str) -> tuple[pd.DataFrame, dict[Hashable, Doubt]]:
    """The rows without the repeats, remarks and weather of which go to the row that is kept; what is not sure.

    Rows name no boards, so a number of covers that each of them gives is taken once; of 1 on each nobody knows
    whether it is one board a row, and it is left out.
    """
    made = rows.drop(index=repeats.index)
    unsure: dict[Hashable, Doubt] = {}
    covers, people = number_column(rows, COVERS), text_column(rows, "recordedBy")
    weather = [name for name in sheet_fields(kind) if is_weather(kind, name) and name in rows]
    for kept, others in repeats.groupby(repeats).groups.items():
        group = rows.loc[[kept, *others]]
        for name in ("eventRemarks", "cell_remarks"):
            if name in made:
                made.at[kept, name] = "; ".join(dict.fromkeys(text for text in text_column(group, name) if text))
        doubts = []
        for name in weather:
            told = text_column(group, name)
            filled = told.index[told != ""]
            taken = told[filled[0]] if len(filled) else ""
            own = [column for column in rows if column == name or column.startswith(f"{name}/")]
            if len(filled):
                made.loc[kept, own] = rows.loc[filled[0], own].to_numpy()
            if (told[filled] != taken).any():
                doubts.append(f"{name.replace('_', ' ')} differs ({taken} is taken)")
        if covers[kept] == 1:
            made.loc[kept, COVERS] = ""
            doubts.append("each gives 1 cover object: how many were turned is left open")
        elif covers[kept] > 1:
            doubts.append(f"each gives {covers[kept]:g} cover objects, taken once")
        if people[kept] == "":
            doubts.append("nobody is named, so these may be two teams")
        if doubts:
            unsure[others[0]] = (kept, "taken as one run, its effort counted once; " + "; ".join(doubts))
    return made, unsure


def is_weather(kind: str, name: str) -> bool:
    """Whether a field becomes a measurement of the event."""
    field = sheet_fields(kind)[name]
    return name == "sky" or (bool(field.quantity) and name not in COUNTED)


def doubtful_pairs(told: pd.DataFrame, kind: str) -> dict[Hashable, Doubt]:
    """Rows that start where and when an earlier row does and differ from it in what counts for effort."""
    found: dict[Hashable, Doubt] = {}
    shared = told[(told["key"] != "") & told["key"].duplicated(keep=False)]
    for _, group in shared.groupby("key", sort=False):
        rows = list(group.index)
        for place, row in enumerate(rows):
            earlier = [one for one in rows[:place] if not are_two(told.loc[one], told.loc[row], kind)]
            if earlier:
                one = earlier[0]
                names = [words for name, words in COUNTED.items() if told.at[one, name] != told.at[row, name]]
                found[row] = (one, "they differ in " + ", ".join(names) + ", and each counts with its own effort")
    return found


def are_two(one: pd.Series, other: pd.Series, kind: str) -> bool:
    """Whether rows with one place and start are plainly two: other people, who search side by side or number their
    runs apart. A number of its own alone does not make a run of people who cannot be on two at once."""
    named = [{name.strip() for name in row["recordedBy"].split("|") if name.strip()} for row in (one, other)]
    own_number = bool(one["run"] and other["run"] and one["run"] != other["run"])
    if named[0] & named[1]:
        return False
    return own_number or (kind == "search" and all(named))


def told_on_rows(kind: str, told: pd.DataFrame, doubts: dict[Hashable, Doubt], cells: pd.Series) -> pd.DataFrame:
    """A finding for each doubt, naming both rows."""
    rows = pd.Index(list(doubts), dtype="int64")
    where = (told["place"] + " " + told["when/local"].str.slice(0, 16).str.replace("T", " ")).reindex(rows)
    what = "road run" if kind == "road_run" else "search"
    other = pd.Series([cells[kept] for kept, _ in doubts.values()], index=rows, dtype=object)
    words = pd.Series([doubt for _, doubt in doubts.values()], index=rows, dtype=object)
    message = f"a {what} at " + where + " stands here and in " + other + ": " + words
    return findings_on_rows(
        RUN_ON_SEVERAL_ROWS, kind, rows, "start_time", value=where, cause=where + "\x1f" + words, message=message
    )


def cells_of_runs(records: Records, kind: str, again: pd.DataFrame) -> pd.Series:
    """Where each run stands, in words: all its rows."""
    cells = row_cells(records, kind)
    own = again[again["kind"] == kind]
    if own.empty:
        return cells
    more = own["tidy_row"].map(cells).groupby(own["kept"]).agg("; ".join)
    return cells + ("; " + more).reindex(cells.index).fillna("")
