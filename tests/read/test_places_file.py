"""Waypoints and boundaries: GPX 1.1, KML 2.3, GeoJSON (RFC 7946)."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest
from shapely.geometry import Point

from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.places_file import read_boundary, read_waypoints
from dwc_pipeline.read.tables import find_tables

GPX = """<?xml version="1.0"?>
<gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1">
  <wpt lat="34.512300" lon="-99.100"><ele>512.0</ele><time>2031-05-04T14:05:00Z</time><name>A1</name>
    <cmt>by the tank</cmt><desc>by the tank</desc><hdop>1.2</hdop></wpt>
  <wpt lat="34.6" lon="-99.2"><name>A2</name></wpt>
  <trk><name>drive</name><trkseg><trkpt lat="1" lon="2"/></trkseg></trk>
</gpx>"""
KML = """<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>
  <Placemark><name>A1</name><description>north fence</description>
    <Point><coordinates>-99.100,34.5123,512</coordinates></Point></Placemark>
  <Placemark><name>ranch</name><Polygon>
    <outerBoundaryIs><LinearRing>
      <coordinates>-99,34 -98,34 -98,35 -99,35 -99,34</coordinates></LinearRing></outerBoundaryIs>
    <innerBoundaryIs><LinearRing>
      <coordinates>-98.6,34.4 -98.4,34.4 -98.4,34.6 -98.6,34.6 -98.6,34.4</coordinates></LinearRing></innerBoundaryIs>
  </Polygon></Placemark></Document></kml>"""
SQUARE = [[[-99, 34], [-98, 34], [-98, 35], [-99, 35], [-99, 34]]]
METRES = [[[500000, 1], [600000, 1], [600000, 2], [500000, 1]]]
GEOJSON = {
    "type": "FeatureCollection",
    "features": [
        {"type": "Feature", "properties": {"name": "A1", "desc": "by the tank"},
         "geometry": {"type": "Point", "coordinates": [-99.25, 34.5, 500]}},
        {"type": "Feature", "properties": {"name": "ranch"}, "geometry": {"type": "Polygon", "coordinates": SQUARE}},
    ],
}  # fmt: skip


def save(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


class TestWaypoints:
    def test_a_gpx_flows_like_any_sheet(self, tmp_path):
        sheet = read_waypoints(save(tmp_path, "a.gpx", GPX), "a.gpx")
        assert list(sheet.values[1]) == [
            "A1",
            "34.512300",
            "-99.100",
            "512.0",
            "2031-05-04T14:05:00Z",
            "by the tank",
            "1.2",
        ]
        (table,) = find_tables(sheet).tables
        assert table.headers == ("name", "latitude", "longitude", "elevation", "time", "comment", "hdop")
        assert table.text.loc[3, "A"] == "A2"

    def test_what_is_no_point_is_named(self, tmp_path):
        sheet = read_waypoints(save(tmp_path, "a.gpx", GPX), "a.gpx")
        assert [(each["rule"], each["value"]) for each in sheet.found] == [("shape-is-not-a-point", "a track drive")]

    def test_kml_and_kmz_give_longitude_first_as_the_standard_says(self, tmp_path):
        path = save(tmp_path, "a.kml", KML)
        with zipfile.ZipFile(tmp_path / "a.kmz", "w") as package:
            package.write(path, "doc.kml")
        for name in ("a.kml", "a.kmz"):
            sheet = read_waypoints(tmp_path / name, name)
            assert list(sheet.values[1]) == ["A1", "34.5123", "-99.100", "512", "", "north fence"]

    def test_geojson_points_keep_their_digits(self, tmp_path):
        text = json.dumps(GEOJSON).replace("-99.25", "-99.2500")
        sheet = read_waypoints(save(tmp_path, "a.geojson", text), "a.geojson")
        assert list(sheet.values[1]) == ["A1", "34.5", "-99.2500", "500", "", "by the tank"]
        assert sheet.facts["datum"] == "WGS84"

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            (GPX.replace("wpt", "rtept"), "no waypoint"),
            ("Trap,n\n", "neither GPX, KML nor GeoJSON"),
            (GPX.replace("?>", '?><!DOCTYPE gpx [<!ENTITY a "b">]>', 1), "document type"),
            (GPX[:200], "damaged"),
            (json.dumps(GEOJSON)[:-9], "damaged"),
            (json.dumps(GEOJSON | {"crs": {"properties": {"name": "EPSG:26914"}}}), "EPSG:26914"),
        ],
    )
    def test_others_are_refused_with_a_remedy(self, tmp_path, text, says):
        with pytest.raises(UnreadableFile, match=says):
            read_waypoints(save(tmp_path, "a.gpx", text), "a.gpx")

    def test_no_file_of_the_machine_can_be_drawn_in(self, tmp_path):
        secret = save(tmp_path, "secret.txt", "secret")
        text = GPX.replace("?>", f'?><!DOCTYPE gpx [<!ENTITY s SYSTEM "{secret.as_uri()}">]>', 1).replace("A1", "&s;")
        with pytest.raises(UnreadableFile, match="document type"):
            read_waypoints(save(tmp_path, "a.gpx", text), "a.gpx")


class TestBoundaries:
    def test_a_kml_area_keeps_its_hole(self, tmp_path):
        area = read_boundary(save(tmp_path, "a.kml", KML))
        assert area.area == pytest.approx(1 - 0.04)
        assert area.covers(Point(-98.9, 34.1))
        assert not area.covers(Point(-98.5, 34.5))

    def test_a_geojson_area_is_read_in_degrees(self, tmp_path):
        area = read_boundary(save(tmp_path, "a.geojson", json.dumps(GEOJSON)))
        assert area.bounds == (-99.0, 34.0, -98.0, 35.0)

    def test_several_areas_become_one_shape(self, tmp_path):
        far = [[[x + 5, y] for x, y in SQUARE[0]]]
        text = json.dumps({"type": "MultiPolygon", "coordinates": [SQUARE, far]})
        assert read_boundary(save(tmp_path, "a.geojson", text)).area == pytest.approx(2)

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            (json.dumps({"type": "Point", "coordinates": [-99, 34]}), "no area"),
            (json.dumps({"type": "Polygon", "coordinates": METRES}), "no degrees"),
            (KML.replace("-99,34 -98,34 -98,35 -99,35 -99,34", "-99,34 -98,34"), "fewer than three corners"),
            (GPX, "neither KML nor GeoJSON"),
        ],
    )  # fmt: skip
    def test_others_are_refused_with_a_remedy(self, tmp_path, text, says):
        with pytest.raises(UnreadableFile, match=says):
            read_boundary(save(tmp_path, "a.geojson", text))
