"""Seconds and peak memory to check a large archive, beside what pandas needs to read its files as text.

Run: python benchmarks/check_archive.py [occurrences] [distinct]. The archive has one event for 20 occurrences, each
with a Humboldt row, 25 columns of occurrences, and some faults. Each measurement runs in a process of its own,
so that its peak is its own; seconds are those of the processor. The aims are 5 times the reading and 1 GB.
With `distinct` it is one file of occurrences in which every date, position, name and identifier is its own: nothing
can be judged once for many rows, and the aim for time is missed by far.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd

DWC, ECO = "http://rs.tdwg.org/dwc/terms/", "http://rs.tdwg.org/eco/terms/"
ROWS_AT_A_TIME = 200_000
FAULTY_EVERY = 10_007


def events(count: int) -> pd.DataFrame:
    """A project, sessions of 100 checks each, and their checks."""
    number = np.arange(count)
    day = pd.Timestamp("2015-05-01") + pd.to_timedelta(number // 100 % 3000, unit="D")
    session = "s" + pd.Series(number // 100).astype(str)
    date = pd.Series(day.strftime("%Y-%m-%d")) + "T19:00-05:00/"
    date += pd.Series((day + pd.Timedelta(days=1)).strftime("%Y-%m-%d")) + "T07:00-05:00"
    checks = pd.DataFrame({
        "eventID": "e" + pd.Series(number).astype(str), "parentEventID": session, "eventDate": date,
        "year": day.strftime("%Y"), "eventType": "trapCheck", "samplingProtocol": "drift fence array",
        "countryCode": "US", "stateProvince": "Oklahoma", "decimalLatitude": (36 + number % 500 / 1e4).round(5),
        "decimalLongitude": (-99 - number % 700 / 1e4).round(5), "geodeticDatum": "EPSG:4326",
        "coordinateUncertaintyInMeters": "30",
    })  # fmt: skip
    checks.loc[::FAULTY_EVERY, "eventDate"] = "6/14/2015"
    sessions = pd.DataFrame({"eventID": session.unique()}).reindex(columns=checks.columns, fill_value="")
    return pd.concat([sessions.assign(eventType="trapSession"), checks], ignore_index=True)


def occurrences(first: int, count: int) -> pd.DataFrame:
    """Captures of 300 species, 20 at an event."""
    number = np.arange(first, first + count)
    species = pd.Series(number * 7919 % 300).astype(str)
    rows = pd.DataFrame({
        "eventID": "e" + pd.Series(number // 20).astype(str), "occurrenceID": "o" + pd.Series(number).astype(str),
        "basisOfRecord": "HumanObservation", "occurrenceStatus": "present", "recordedBy": "A. Ash | B. Birch",
        "individualCount": "1", "organismQuantity": "1", "organismQuantityType": "individuals",
        "scientificName": "Genus species" + species, "kingdom": "Animalia", "phylum": "Chordata", "class": "Reptilia",
        "order": "Squamata", "family": "Colubridae", "genus": "Genus", "taxonRank": "species",
    })  # fmt: skip
    rows["sex"] = pd.Series(number % 3).map({0: "male", 1: "female", 2: ""})
    rows["lifeStage"] = pd.Series(number % 4).map({0: "adult", 1: "juvenile", 2: "", 3: "adult"})
    rows["recordNumber"] = number % 100_000
    rows["organismID"] = "a" + pd.Series(number // 3).astype(str)
    for name in ("vitality", "identificationRemarks", "occurrenceRemarks", "verbatimIdentification", "taxonID"):
        rows[name] = f"{name} " + pd.Series(number % 97).astype(str)
    rows.loc[number % FAULTY_EVERY == 0, "individualCount"] = "two"
    return rows


def make_archive(path: Path, count: int) -> None:
    """Write the archive block by block."""
    core = events(max(count // 20, 1))
    scopes = pd.DataFrame({"eventID": core["eventID"]})
    scopes["samplingEffortValue"], scopes["samplingEffortUnit"] = "120", "trapHours"
    scopes["targetTaxonomicScope"], scopes["isTaxonomicScopeFullyReported"] = "Squamata | Anura", "true"
    frames = {"event.txt": [core], "humboldt.txt": [scopes]}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        parts = []
        for file, row_type, base in (
            ("event.txt", DWC + "Event", DWC),
            ("occurrence.txt", DWC + "Occurrence", DWC),
            ("humboldt.txt", ECO + "Event", ECO),
        ):
            blocks = frames.get(file) or (
                occurrences(first, min(ROWS_AT_A_TIME, count - first)) for first in range(0, count, ROWS_AT_A_TIME)
            )
            with archive.open(file, "w", force_zip64=True) as stream:
                for place, block in enumerate(blocks):
                    stream.write(block.to_csv(index=False, header=place == 0, lineterminator="\n").encode())
                    columns = list(block.columns)
            fields = "".join(
                f'<field index="{index}" term="{DWC if name == "eventID" else base}{name}"/>'
                for index, name in enumerate(columns)
            )
            tag, link = ("core", "id") if file == "event.txt" else ("extension", "coreid")
            parts.append(
                f'<{tag} rowType="{row_type}" ignoreHeaderLines="1"><files><location>{file}</location></files>'
                f'<{link} index="0"/>{fields}</{tag}>'
            )
        archive.writestr("meta.xml", f'<archive xmlns="http://rs.tdwg.org/dwc/text/">{"".join(parts)}</archive>')


def distinct_occurrences(first: int, count: int) -> pd.DataFrame:
    """Sightings that have nothing in common."""
    number = np.arange(first, first + count)
    some = np.random.default_rng(first)
    day = pd.Timestamp("1950-01-01") + pd.to_timedelta(number * 37 % 38_000_000, unit="min")
    texts = {name: pd.Series(number).astype(str) for name in ("occurrenceID", "recordedBy", "catalogNumber")}
    return pd.DataFrame({
        **texts, "basisOfRecord": "HumanObservation", "scientificName": "Genus species" + texts["catalogNumber"],
        "eventDate": day.strftime("%Y-%m-%dT%H:%M:%S-05:00"), "year": day.strftime("%Y"), "countryCode": "US",
        "decimalLatitude": some.uniform(34, 37, count).round(6), "geodeticDatum": "EPSG:4326",
        "decimalLongitude": some.uniform(-103, -95, count).round(6), "stateProvince": "Oklahoma",
        "coordinateUncertaintyInMeters": some.uniform(1, 3000, count).round(1),
    })  # fmt: skip


def make_distinct(path: Path, count: int) -> None:
    """Write one file of occurrences, block by block."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        with archive.open("occurrence.txt", "w", force_zip64=True) as stream:
            for first in range(0, count, ROWS_AT_A_TIME):
                block = distinct_occurrences(first, min(ROWS_AT_A_TIME, count - first))
                stream.write(block.to_csv(index=False, header=first == 0, lineterminator="\n").encode())
        fields = "".join(f'<field index="{at}" term="{DWC}{name}"/>' for at, name in enumerate(block.columns))
        archive.writestr(
            "meta.xml",
            f'<archive xmlns="http://rs.tdwg.org/dwc/text/"><core rowType="{DWC}Occurrence" ignoreHeaderLines="1">'
            f"<files><location>occurrence.txt</location></files>{fields}</core></archive>",
        )


def by_pandas(path: Path) -> int:
    """Rows that pandas reads, everything as text."""
    rows = 0
    with zipfile.ZipFile(path) as archive:
        for file in (name for name in archive.namelist() if name.endswith(".txt")):
            with archive.open(file) as stream:
                rows += len(pd.read_csv(stream, dtype=object, keep_default_na=False, na_filter=False))
    return rows


def by_check(path: Path) -> int:
    """Rows that the check goes through."""
    import datetime as dt

    from dwc_pipeline.archive_check import check_archive_file

    return sum(part.rows for part in check_archive_file(path, dt.date(2026, 11, 25)).parts)


def measured(work: str, path: Path) -> dict[str, float]:
    """Seconds and peak memory of one way, in a process of its own. [s, MB]"""
    told = subprocess.run([sys.executable, __file__, work, str(path)], check=True, capture_output=True, text=True)
    found: dict[str, float] = json.loads(told.stdout)
    return found


def main(count: int, make: Callable[[Path, int], None]) -> None:
    """Make the archive and measure both ways."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.zip"
        make(path, count)
        print(f"{count:,} occurrences, {path.stat().st_size / 1e6:.0f} MB zipped")
        read, checked = measured("by_pandas", path), measured("by_check", path)
        for name, found in (("read by pandas", read), ("checked", checked)):
            print(f"{name:15} {found['seconds']:6.1f} s  {found['megabytes']:6.0f} MB  {found['rows']:,.0f} rows")
        print(f"ratio {checked['seconds'] / read['seconds']:.1f} (aim: at most 5, and 1,000 MB)")


if __name__ == "__main__":
    if sys.argv[1:2] in (["by_pandas"], ["by_check"]):
        start = time.process_time()
        found_rows = {"by_pandas": by_pandas, "by_check": by_check}[sys.argv[1]](Path(sys.argv[2]))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        print(json.dumps({"seconds": time.process_time() - start, "megabytes": peak, "rows": found_rows}))
    else:
        main(
            int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000,
            make_distinct if "distinct" in sys.argv else make_archive,
        )
