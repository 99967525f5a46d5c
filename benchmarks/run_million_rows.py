"""Seconds and peak memory of a season with a million capture rows, as multiples of R.

R is what pandas needs to read the same CSV as text and to write it again, in the same run of this benchmark. The
sheet has 30 columns: 300 messy names, 5,000 dates in six forms, 2,000 positions, and the words, counts, measures and
remarks of a field sheet. Each measurement runs in a process of its own, so that its peak is its own.

Run: python benchmarks/run_million_rows.py [rows]. Seconds are those of the processor. Aims: normalise and check
together at most 0.5 R, the whole run without zip files at most 2 R, with them at most 3 R.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

TODAY = dt.date(2026, 11, 25)
ROWS_OF_A_VISIT = 20
FAULTY_EVERY = 997
FORMS = ("%Y-%m-%d", "%m/%d/%Y", "%d %b %Y", "%B %d, %Y", "%Y%m%d", "%d.%b.%y")
GENERA, EPITHETS = 10, 10
SYLLABLES = ("ra", "ne", "lo", "ti", "mu", "so", "ve", "ka", "di", "po")
COLUMNS = {
    "No": "recordNumber", "Date": "eventDate", "Time": "eventTime", "Latitude": "verbatimLatitude",
    "Longitude": "verbatimLongitude", "Datum": "datum", "GPS acc": "gps_accuracy",
    "Species": "verbatimIdentification",
    "n": "individualCount", "Sex": "sex", "Age": "lifeStage", "Repro": "reproductiveCondition",
    "SVL mm": "snout_vent_length", "Tail mm": "tail_length", "Mass g": "body_mass", "Tail": "tail_condition",
    "Mark": "mark", "Recap": "capture_status", "Fate": "fate", "Alive": "vitality", "Behaviour": "behavior",
    "Habitat": "habitat", "Locality": "locality", "With": "associatedTaxa", "Catalogue": "catalogNumber",
    "Museum": "institutionCode", "Parts": "preparations", "Obs": "recordedBy", "Remarks": "occurrenceRemarks",
    "Total mm": "total_length",
}  # fmt: skip
SURVEY = """
[survey]
code = "BIG"
title = "A large season"
season = "2012-2025"
starts = 2012-01-01
ends = 2025-12-31
time_zone = "America/Chicago"
country_code = "US"
[files]
checklist = "checklist.csv"
[reading]
date_order = "month-first"
unsigned_means_north_west = true
[protocol]
target_taxa = ["Squamata"]
[[people]]
name = "Ada Ash"
initials = ["AA"]
roles = ["creator", "contact"]
[[people]]
name = "Bo Birch"
initials = ["BB"]
[[table]]
name = "captures"
holds = "capture"
files = ["captures.csv"]
constants = { eventType = "incidental" }
units = { gps_accuracy = "m", snout_vent_length = "mm", tail_length = "mm", body_mass = "g", total_length = "mm" }
[table.columns]
"""


def names() -> list[tuple[str, str]]:
    """The species, told apart well: genus and epithet."""
    made = []
    for genus in range(GENERA):
        for epithet in range(EPITHETS):
            first = SYLLABLES[genus] + SYLLABLES[(genus * 3 + 1) % 10] + SYLLABLES[(genus * 7 + 2) % 10] + "sus"
            second = (
                SYLLABLES[epithet] + SYLLABLES[(epithet * 7 + 3) % 10] + SYLLABLES[(epithet * 3 + 5) % 10] + "tus"
            )
            made.append((first.capitalize(), second))
    return made


def spread(words: list[str], step: int, rows: np.ndarray) -> np.ndarray:
    """One of the words for each row."""
    return np.array(words, dtype=object)[rows * step % len(words)]


def captures(count: int) -> pd.DataFrame:
    """The sheet, as text: twenty animals a visit, each visit with its day, time, position and observer."""
    rows = np.arange(count)
    visit = rows // ROWS_OF_A_VISIT
    species = names()
    spelt = [f"{genus} {epithet}" for genus, epithet in species]
    spelt += [f"{genus[0]}. {epithet}" for genus, epithet in species]
    spelt += [f"{genus} {epithet} ".upper() for genus, epithet in species]
    days = [dt.date(2012, 1, 1) + dt.timedelta(days=number) for number in range(5000)]
    dates = [day.strftime(FORMS[number % len(FORMS)]) for number, day in enumerate(days)]
    place = visit * 31 % 2000
    positions = [(36 + at * 7 % 997 / 1e3, 99 + at * 13 % 991 / 1e3) for at in range(2000)]
    latitudes = [
        f"{lat:.5f}" if at % 2 else f"N {int(lat)} {lat % 1 * 60:.3f}" for at, (lat, _) in enumerate(positions)
    ]
    longitudes = [
        f"-{lon:.5f}" if at % 2 else f"W {int(lon)} {lon % 1 * 60:.3f}" for at, (_, lon) in enumerate(positions)
    ]
    length = 40 + rows * 17 % 120
    made = {
        "No": (rows + 1).astype(str), "Date": spread(dates, 7, visit),
        "Time": spread([f"{number // 60 % 24:02d}:{number % 60:02d}" for number in range(360, 1300)], 11, visit),
        "Latitude": np.array(latitudes, dtype=object)[place], "Longitude": np.array(longitudes, dtype=object)[place],
        "Datum": "WGS84", "GPS acc": spread(["3", "4", "5", "8"], 1, place), "Species": spread(spelt, 1, rows // 3),
        "n": spread(["1", "", "1", "one"], 1, rows), "Sex": spread(["M", "F", "", "male"], 1, rows // 2),
        "Age": spread(["adult", "juv", "", "ad."], 1, rows // 5),
        "Repro": np.where(rows % FAULTY_EVERY == 0, "gravid", ""),
        "SVL mm": length.astype(str), "Tail mm": (length // 2).astype(str),
        "Mass g": np.array([f"{number / 10:.1f}" for number in range(2000)], dtype=object)[length * 7],
        "Tail": spread(["", "broken", "complete"], 1, rows // 7), "Mark": "",
        "Recap": spread(["N", "R", ""], 1, rows), "Fate": spread(["released", "rel."], 1, rows),
        "Alive": np.where(rows % FAULTY_EVERY == 1, "dead", spread(["alive", ""], 1, rows // 3)),
        "Behaviour": spread(["basking", "under cover", ""], 1, rows // 4),
        "Habitat": spread(["prairie", "creek bank", "sand hills", ""], 1, place),
        "Locality": spread([f"section {number}" for number in range(36)], 1, place),
        "With": "", "Catalogue": "", "Museum": "", "Parts": "", "Obs": spread(["AA", "BB", "Ada Ash"], 1, visit),
        "Remarks": spread(["", "near the road", "wet, after rain", 'said to be "old"'], 1, rows // 2), "Total mm": "",
    }  # fmt: skip
    return pd.DataFrame(made)[list(COLUMNS)]


def make_survey(folder: Path, count: int) -> None:
    """Write the sheet, the checklist and the survey file."""
    captures(count).to_csv(folder / "captures.csv", index=False)
    listed = pd.DataFrame(names(), columns=["genus", "specificEpithet"])
    listed["scientificName"] = listed["genus"] + " " + listed["specificEpithet"]
    listed = listed.assign(taxonRank="species", kingdom="Animalia", order="Squamata", **{"class": "Reptilia"})
    listed.to_csv(folder / "checklist.csv", index=False)
    columns = "\n".join(f'"{header}" = "{field}"' for header, field in COLUMNS.items())
    (folder / "survey.toml").write_text(SURVEY + columns + "\n", encoding="utf-8")


def by_pandas(folder: Path) -> dict[str, float]:
    """R: the same CSV read as text and written again. [s]"""
    return {"R": timed(lambda: pd.read_csv(folder / "captures.csv", dtype=str, keep_default_na=False).to_csv(
        folder / "again.csv", index=False))}  # fmt: skip


def by_stages(folder: Path) -> dict[str, float]:
    """Each stage by itself. [s]"""
    from dwc_pipeline.pipeline import STAGES
    from dwc_pipeline.read.run import read
    from dwc_pipeline.settings import read_survey_file

    survey = read_survey_file(folder / "survey.toml")
    start = time.process_time()
    records = read(survey, TODAY, lambda _: None)
    taken = {"read": time.process_time() - start}
    for stage, _ in STAGES:
        start = time.process_time()
        records = stage(records, survey)
        taken[stage.__name__] = time.process_time() - start
    return taken


def by_run(folder: Path) -> dict[str, float]:
    """The whole run, and what of it was spent on the zipped archive. [s]"""
    from dwc_pipeline.pipeline import run_survey
    from dwc_pipeline.write import season_output

    zipped = []
    write_archive = season_output.write_archive

    def write_timed(*given: Any) -> Path:
        zipped.append(timed(lambda: write_archive(*given)))
        return given[2]

    season_output.write_archive = write_timed
    whole = timed(lambda: run_survey(folder / "survey.toml", folder / "out", TODAY))
    return {"without zip": whole - sum(zipped), "with zip": whole}


WAYS: dict[str, Callable[[Path], dict[str, float]]] = {"pandas": by_pandas, "stages": by_stages, "run": by_run}


def timed(work: Callable[[], object]) -> float:
    """Seconds that the work takes. [s]"""
    start = time.process_time()
    work()
    return time.process_time() - start


def measured(way: str, folder: Path) -> dict[str, float]:
    """Seconds by part and the peak memory of one way, in a process of its own. [s, MB]"""
    told = subprocess.run([sys.executable, __file__, way, str(folder)], check=True, capture_output=True, text=True)
    found: dict[str, float] = json.loads(told.stdout)
    return found


def main(count: int) -> None:
    """Make the season, measure all ways and print the table."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make_survey(folder, count)
        size = os.path.getsize(folder / "captures.csv") / 1e6
        print(f"{count:,} rows x {len(COLUMNS)} columns, {size:.0f} MB")
        unit = measured("pandas", folder)["R"]
        print(f"R {unit:.2f} s")
        for way in ("stages", "run"):
            parts = measured(way, folder)
            peak = parts.pop("peak")
            if way == "stages":
                parts["normalise and check"] = parts["normalise"] + parts["check"]
            for part, seconds in parts.items():
                print(f"{way:8} {part:20} {seconds:8.2f} s  {seconds / unit:6.2f} R  {peak:7.0f} MB", flush=True)


if __name__ == "__main__":
    if len(sys.argv) > 2:
        parts_taken = WAYS[sys.argv[1]](Path(sys.argv[2]))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        print(json.dumps({**parts_taken, "peak": peak}))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
