"""The map of the places and its table."""

from __future__ import annotations

from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.records import Records
from dwc_pipeline.write.figures.place_map import PlaceMap, Site, place_map
from dwc_pipeline.write.page.data_table import DataTable, data_table

PLACE_NAMES = {
    "place": "place", "kind": "kind", "locality": "locality", "habitat": "habitat", "decimalLatitude": "latitude",
    "decimalLongitude": "longitude", "geodeticDatum": "datum", "coordinateUncertaintyInMeters": "uncertainty, m",
}  # fmt: skip


def places(records: Records) -> tuple[PlaceMap | None, DataTable]:
    """The picture of all places with a position, and the table of all places."""
    table = records.tables["place"]
    table = table.reindex(columns=list(PLACE_NAMES)).astype(object).fillna("")
    latitude, longitude = number_column(table, "decimalLatitude"), number_column(table, "decimalLongitude")
    known = latitude.notna() & longitude.notna()
    sites = [
        Site(str(name), str(kind), float(y), float(x))
        for name, kind, y, x in zip(
            table.loc[known, "place"], table.loc[known, "kind"], latitude[known], longitude[known], strict=True
        )
    ]
    lacking = int((~known).sum())
    note = f"{lacking} without a position: they are not on the map." if lacking else ""
    return place_map(sites, records.reference.boundary), data_table("The places", table, PLACE_NAMES, note=note)
