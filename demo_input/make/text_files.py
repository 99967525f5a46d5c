"""Writes the delimited tables, the waypoints and the boundary, and notes where every cell went."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

from make.books import cell_name
from make.other_finds import (
    INCIDENTAL_COLUMNS,
    ROAD_FIND_COLUMNS,
    RUN_COLUMNS,
    SEARCH_COLUMNS,
    SEARCH_FIND_COLUMNS,
)
from make.places import BOUNDARY, POINTS, RANCH
from make.rows import Planter, Row

#: File -> columns, delimiter, encoding.
TABLES = {
    "road_runs.csv": (RUN_COLUMNS, ";", "cp1252"),
    "road_finds.csv": (ROAD_FIND_COLUMNS, ",", "cp1252"),
    "searches.csv": (SEARCH_COLUMNS, ",", "utf-8-sig"),
    "search_finds.csv": (SEARCH_FIND_COLUMNS, ",", "utf-8-sig"),
    "incidental.csv": (INCIDENTAL_COLUMNS, ",", "utf-8"),
}
#: Spelling of waypoints that differs from the site list.
WAYPOINT_NAMES = {"A3": "A 03"}


def write_table(folder: Path, name: str, rows: list[Row], planter: Planter) -> None:
    """One delimited file."""
    columns, delimiter, encoding = TABLES[name]
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, delimiter=delimiter, lineterminator="\r\n")
    writer.writerow(columns)
    for number, row in enumerate(rows, start=1):
        writer.writerow([row.cells[column] for column in columns])
        for at, column in enumerate(columns):
            planter.written(row, column, f"raw/{name}", "", cell_name(number, at))
        planter.written(row, "*", f"raw/{name}", "", f"A{number + 1}:{cell_name(number, len(columns) - 1)}")
    (folder / name).write_bytes(buffer.getvalue().encode(encoding))


def write_waypoints(folder: Path, planter: Planter) -> None:
    """waypoints.gpx: every place as the receiver has it, WGS84."""
    points = []
    for code, (latitude, longitude) in POINTS.items():
        name = WAYPOINT_NAMES.get(code, code)
        points.append(f'  <wpt lat="{latitude:.5f}" lon="{longitude:.5f}">\n    <name>{name}</name>\n  </wpt>')
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="field receiver" xmlns="http://www.topografix.com/GPX/1/1">'
    (folder / "waypoints.gpx").write_text("\n".join((head, *points, "</gpx>", "")), encoding="utf-8", newline="\n")
    for code, name in WAYPOINT_NAMES.items():
        place = ("raw/waypoints.gpx", "", f"wpt {1 + list(POINTS).index(code)}")
        planter.plant_at("place-spelling", place, name, "recover", code)


def write_boundary(folder: Path) -> None:
    """ranch_boundary.geojson: the outline of the invented ranch."""
    feature = {
        "type": "Feature",
        "properties": {"name": f"{RANCH} (invented)"},
        "geometry": {"type": "Polygon", "coordinates": [[list(point) for point in BOUNDARY]]},
    }
    document = {"type": "FeatureCollection", "features": [feature]}
    (folder / "ranch_boundary.geojson").write_text(
        json.dumps(document, indent=1) + "\n", encoding="utf-8", newline="\n"
    )
