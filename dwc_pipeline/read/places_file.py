"""Waypoints and boundaries: GPX, KML (and KMZ) and GeoJSON.

Sources: GPX 1.1 schema; OGC KML 2.3; RFC 7946 (GeoJSON: longitude and latitude in WGS 84, longitude first).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import shapely
from shapely.geometry import MultiPolygon, Polygon, shape
from shapely.geometry.base import BaseGeometry

from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.raw import RawSheet
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.file_guard import open_package, parse_xml, read_bytes, read_part
from dwc_pipeline.read.xlsx_package import local

COLUMNS = ("name", "latitude", "longitude", "elevation", "time", "comment")
_WORLD_WIDE = (
    "urn:ogc:def:crs:OGC:1.3:CRS84",
    "urn:ogc:def:crs:OGC::CRS84",
    "urn:ogc:def:crs:EPSG::4326",
    "EPSG:4326",
)

NOT_A_POINT = declare(
    Rule(
        id="shape-is-not-a-point",
        severity=Severity.NOTE,
        what="A file of waypoints also holds lines, tracks or areas; they were not read as places.",
        why="An array that was drawn as an area, or recorded as a track, has no position in the site list.",
        remedy="Add a point for it, or name the file as a boundary in the survey file.",
    )
)


def places_kind(content: bytes) -> str:
    """'gpx', 'kml', 'kmz' or 'geojson' by the content; "" for anything else."""
    start = content[:4000].lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith(b"PK\x03\x04") and b".kml" in content[:4000].lower():
        return "kmz"
    if start.startswith(b"<"):
        for kind in ("gpx", "kml"):
            if f"<{kind}".encode() in start.lower() or f":{kind} ".encode() in start.lower():
                return kind
    if start.startswith(b"{") and b'"type"' in start and (b"Feature" in start or b'"coordinates"' in content):
        return "geojson"
    return ""


def read_waypoints(path: Path, name: str) -> RawSheet:
    """The points of a GPX, KML, KMZ or GeoJSON file as a sheet that flows like any other.

    Row 1 holds the column names (COLUMNS, then `hdop` if the file has it), row n + 1 the n-th point of the file.
    Latitude and longitude are decimal degrees in WGS 84, text as the file has it. Raises UnreadableFile if the file
    is of another kind or holds no point.
    """
    content = read_bytes(path, name)
    kind = places_kind(content)
    if not kind:
        raise UnreadableFile(f"{name} is neither GPX, KML nor GeoJSON. Export the waypoints in one of them.")
    if kind == "geojson":
        points, others = _geojson_points(_geojson(content, name), name)
    else:
        root = _xml_root(content, kind, name)
        points, others = _gpx_points(root) if kind == "gpx" else _kml_points(root)
    if not points:
        extra = f" It holds {others[0]}." if others else ""
        raise UnreadableFile(f"{name} holds no waypoint.{extra} Export the points themselves.")
    columns = COLUMNS + (("hdop",) if any(point.get("hdop") for point in points) else ())
    rows = [list(columns), *([point.get(column, "") for column in columns] for point in points)]
    found = tuple(
        finding_at(NOT_A_POINT, message=f"Not read as a place: {other}.", file=name, value=other) for other in others
    )
    return RawSheet(file=name, sheet="", values=rows, facts={"format": kind, "datum": "WGS84"}, found=found)


def read_boundary(path: Path, name: str = "") -> BaseGeometry:
    """All areas of a KML, KMZ or GeoJSON file as one polygon or multipolygon, longitude and latitude in WGS 84.

    name: the path as the person knows it, for messages. Raises UnreadableFile if there is no area, or if its corners
    are no degrees.
    """
    name = name or str(path)
    content = read_bytes(path, name)
    kind = places_kind(content)
    if kind == "geojson":
        areas = [shape(area) for area in _geometries(_geojson(content, name))]
    elif kind in ("kml", "kmz"):
        areas = _kml_areas(_xml_root(content, kind, name), name)
    else:
        raise UnreadableFile(f"{name} is neither KML nor GeoJSON. Export the boundary in one of them.")
    if not areas:
        raise UnreadableFile(f"{name} holds no area. Draw the boundary as a polygon and export it again.")
    whole = shapely.union_all([shapely.make_valid(area) for area in areas])
    west, south, east, north = whole.bounds
    if not (-180 <= west <= east <= 180 and -90 <= south <= north <= 90):
        raise UnreadableFile(
            f"{name}: the corners of the area are no degrees of longitude and latitude ({west:g}, {south:g}). "
            f"Export it in WGS 84."
        )
    parts = [part for part in shapely.get_parts(whole) if isinstance(part, (Polygon, MultiPolygon))]
    return shapely.union_all(parts)


def _xml_root(content: bytes, kind: str, name: str) -> Element:
    if kind == "kmz":
        with open_package(content, name) as package:
            part = next(part.filename for part in package.infolist() if part.filename.lower().endswith(".kml"))
            content = read_part(package, part, name)
    return parse_xml(content, kind.upper(), name)


def _first(element: Element, *names: str) -> str:
    """Text of the first descendant that has one of the names, in order of the names."""
    for wanted in names:
        for each in element.iter():
            if local(each) == wanted and each.text and each.text.strip():
                return each.text.strip()
    return ""


def _gpx_points(root: Element) -> tuple[list[dict[str, str]], list[str]]:
    points, others = [], []
    for each in root:
        if local(each) == "wpt":
            own = {local(child): (child.text or "").strip() for child in each}
            remarks = dict.fromkeys(text for text in (own.get("cmt", ""), own.get("desc", "")) if text)
            points.append(
                {
                    "name": own.get("name", ""), "latitude": each.get("lat", ""), "longitude": each.get("lon", ""),
                    "elevation": own.get("ele", ""), "time": own.get("time", ""), "comment": "; ".join(remarks),
                    "hdop": own.get("hdop", ""),
                }
            )  # fmt: skip
        elif local(each) in ("trk", "rte"):
            what = "a track" if local(each) == "trk" else "a route"
            others.append(f"{what} {_first(each, 'name')}".strip())
    return points, others


def _kml_points(root: Element) -> tuple[list[dict[str, str]], list[str]]:
    points, others = [], []
    for mark in (each for each in root.iter() if local(each) == "Placemark"):
        label = _first(mark, "name")
        point = next((each for each in mark.iter() if local(each) == "Point"), None)
        if point is None:
            others.append(f"a shape that is no point, {label or 'without a name'}")
            continue
        longitude, latitude, elevation = [*_first(point, "coordinates").split(","), "", "", ""][:3]
        points.append(
            {
                "name": label, "latitude": latitude.strip(), "longitude": longitude.strip(),
                "elevation": elevation.strip(), "time": _first(mark, "when", "begin"),
                "comment": _first(mark, "description"),
            }
        )  # fmt: skip
    return points, others


def _kml_areas(root: Element, name: str) -> list[Polygon]:
    areas: list[Polygon] = []
    for polygon in (each for each in root.iter() if local(each) == "Polygon"):
        rings: dict[str, list[list[tuple[float, float]]]] = {"outerBoundaryIs": [], "innerBoundaryIs": []}
        for side in polygon:
            if local(side) in rings:
                rings[local(side)].append(_ring(_first(side, "coordinates"), name))
        areas.extend(Polygon(outer, rings["innerBoundaryIs"]) for outer in rings["outerBoundaryIs"])
    return areas


def _ring(text: str, name: str) -> list[tuple[float, float]]:
    try:
        corners = [tuple(float(number) for number in corner.split(",")[:2]) for corner in text.split()]
        ring = [(longitude, latitude) for longitude, latitude in corners]
    except ValueError:
        raise UnreadableFile(
            f"{name}: a corner of an area is not longitude,latitude. Export the file anew."
        ) from None
    if len(ring) < 4:
        raise UnreadableFile(f"{name}: an area has fewer than three corners. Draw it anew.")
    return ring


def _geojson(content: bytes, name: str) -> dict[str, Any]:
    try:
        document = json.loads(content.decode("utf-8-sig"), parse_float=str)
    except (json.JSONDecodeError, UnicodeDecodeError, RecursionError):
        raise UnreadableFile(f"{name} is damaged: it is no whole GeoJSON. Export it anew.") from None
    system = str(((document.get("crs") or {}).get("properties") or {}).get("name", _WORLD_WIDE[0]))
    if system not in _WORLD_WIDE:
        raise UnreadableFile(f"{name} is in the coordinate system {system}. Export it in WGS 84 (EPSG:4326).")
    return dict(document)


def _features(document: dict[str, Any]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Properties and geometry of each feature; a bare geometry has no properties."""
    if document.get("type") == "FeatureCollection":
        for feature in document.get("features") or ():
            yield from _features(feature)
    elif document.get("type") == "Feature":
        yield document.get("properties") or {}, document.get("geometry") or {}
    else:
        yield {}, document


def _geometries(document: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for _, geometry in _features(document):
        if geometry.get("type") in ("Polygon", "MultiPolygon"):
            yield {"type": geometry["type"], "coordinates": _as_numbers(geometry["coordinates"])}


def _as_numbers(coordinates: Any) -> Any:
    """Numbers in place of the digits that were kept as text."""
    return [_as_numbers(each) for each in coordinates] if isinstance(coordinates, list) else float(coordinates)


def _geojson_points(document: dict[str, Any], name: str) -> tuple[list[dict[str, str]], list[str]]:
    points, others = [], []
    for properties, geometry in _features(document):
        of = {str(key).lower(): "" if value is None else str(value) for key, value in properties.items()}
        label = next((of[key] for key in ("name", "title", "id", "label") if of.get(key)), "")
        if geometry.get("type") != "Point":
            others.append(f"a shape that is no point, {label or 'without a name'}")
            continue
        position = [str(number) for number in geometry.get("coordinates") or ()]
        if len(position) < 2:
            raise UnreadableFile(f"{name}: the point {label!r} has no position. Export the file anew.")
        points.append(
            {
                "name": label, "latitude": position[1], "longitude": position[0],
                "elevation": position[2] if len(position) > 2 else of.get("ele", ""), "time": of.get("time", ""),
                "comment": next((of[key] for key in ("comment", "cmt", "description", "desc") if of.get(key)), ""),
            }
        )  # fmt: skip
    return points, others
