"""A map of the places, drawn from their coordinates alone: no tiles, north up, with a scale bar."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from dwc_pipeline.write.figures.scale import STEPS

WIDTH, TALLEST, EDGE = 960.0, 640.0, 46.0
#: Mean length of a degree of latitude. [m] 111.2 km on a sphere of 6,371 km; enough for a picture.
METRES_PER_DEGREE = 111_195.0
#: A place this many times further from the middle than the median place is told beside the map, not drawn on it.
FAR_AWAY, NEAR_METRES = 20.0, 5_000.0
LETTER, LINE = 6.6, 13.0


class Site(NamedTuple):
    """A place: name, kind, and position in decimal degrees."""

    name: str
    kind: str
    latitude: float
    longitude: float


class Pin(NamedTuple):
    """A drawn place and its label."""

    site: Site
    x: float
    y: float
    label_x: float
    label_y: float
    anchor: str


class PlaceMap(NamedTuple):
    """The geometry. [pixels] outlines: SVG paths of the boundary. far: places too far away to draw.

    rings: the boundary as longitudes and latitudes. [degrees]
    """

    width: float
    height: float
    outlines: list[str]
    pins: list[Pin]
    bar: float
    bar_label: str
    far: list[str]
    rings: list[list[tuple[float, float]]]


class Frame(NamedTuple):
    """From metres east and north of the middle to pixels."""

    west: float
    north: float
    per_metre: float

    def at(self, east: float, north: float) -> tuple[float, float]:
        """The pixel of a point."""
        return (
            round(EDGE + (east - self.west) * self.per_metre, 1),
            round(EDGE + (self.north - north) * self.per_metre, 1),
        )


def place_map(sites: Sequence[Site], boundary: Any = None) -> PlaceMap | None:
    """The map of the sites and the outline of the property (a shapely polygon or multipolygon, or None).

    None if no site has a position.
    """
    if not sites:
        return None
    middle = (median(site.latitude for site in sites), median(site.longitude for site in sites))
    flat = [metres(site.latitude, site.longitude, middle) for site in sites]
    reach = [math.hypot(*one) for one in flat]
    limit = max(FAR_AWAY * median(reach), NEAR_METRES)
    near = [number for number, far in enumerate(reach) if far <= limit]
    degrees = [[(float(x), float(y)) for x, y, *_ in ring] for ring in outline_rings(boundary)]
    degrees = [ring for ring in degrees if min(math.hypot(*metres(y, x, middle)) for x, y in ring) <= limit]
    rings = [[metres(y, x, middle) for x, y in ring] for ring in degrees]
    frame, width, height = fitted([flat[number] for number in near] + [one for ring in rings for one in ring])
    spots = [frame.at(*flat[number]) for number in near]
    pins = labelled([sites[number] for number in near], spots, width, height)
    length = bar_length(width / 4 / frame.per_metre)
    label = f"{length / 1000:g} km" if length >= 1000 else f"{length:g} m"
    outlines = ["M" + "L".join("{:g} {:g}".format(*frame.at(*one)) for one in ring) + "Z" for ring in rings]
    far = [site.name for number, site in enumerate(sites) if number not in near]
    return PlaceMap(width, height, outlines, pins, round(length * frame.per_metre, 1), label, far, degrees)


def median(values: Iterable[float]) -> float:
    """The middle value; the lower one of two."""
    ordered = sorted(values)
    return ordered[(len(ordered) - 1) // 2]


def metres(latitude: float, longitude: float, middle: tuple[float, float]) -> tuple[float, float]:
    """Metres east and north of the middle, on a plane; across 180° the short way."""
    east = (longitude - middle[1] + 180) % 360 - 180
    return east * METRES_PER_DEGREE * math.cos(math.radians(middle[0])), (latitude - middle[0]) * METRES_PER_DEGREE


def outline_rings(boundary: Any) -> list[Sequence[Any]]:
    """The rings of a polygon or multipolygon; nothing for other shapes."""
    parts = getattr(boundary, "geoms", [boundary] if boundary is not None else [])
    solid = [part for part in parts if hasattr(part, "exterior") and not part.is_empty]
    return [list(ring.coords) for part in solid for ring in (part.exterior, *part.interiors)]


def fitted(points: Sequence[tuple[float, float]]) -> tuple[Frame, float, float]:
    """A frame that holds all points, with its width and height."""
    east, north = [x for x, _ in points], [y for _, y in points]
    wide, tall = max(max(east) - min(east), 1.0), max(max(north) - min(north), 1.0)
    per_metre = min((WIDTH - 2 * EDGE) / wide, (TALLEST - 2 * EDGE) / tall, 0.5)
    # A small cluster keeps a picture large enough for its labels.
    height = max(tall * per_metre + 2 * EDGE, 160.0)
    spare_x = (WIDTH - 2 * EDGE) / per_metre - wide
    spare_y = (height - 2 * EDGE) / per_metre - tall
    return Frame(min(east) - spare_x / 2, max(north) + spare_y / 2, per_metre), WIDTH, round(height, 1)


def bar_length(most: float) -> float:
    """A round length of at most `most`. [m]"""
    power = 10.0 ** math.floor(math.log10(most))
    return max(step * power for step in STEPS[:4] if step * power <= most)


def labelled(sites: Sequence[Site], spots: Sequence[tuple[float, float]], width: float, height: float) -> list[Pin]:
    """Pins with labels put where they cover no point and no earlier label, as far as four positions allow."""
    taken = [(x - 6, y - 6, x + 6, y + 6) for x, y in spots]
    pins = []
    for site, (x, y) in zip(sites, spots, strict=True):
        long = LETTER * len(site.name)
        choices = [
            (x + 10, y + 4, "start", (x + 9, y - 7, x + 10 + long, y + 7)),
            (x - 10, y + 4, "end", (x - 10 - long, y - 7, x - 9, y + 7)),
            (x, y - 11, "middle", (x - long / 2, y - 9 - LINE, x + long / 2, y - 7)),
            (x, y + 20, "middle", (x - long / 2, y + 7, x + long / 2, y + 9 + LINE)),
        ]
        inside = [one for one in choices if one[3][0] >= 0 and one[3][2] <= width and 0 <= one[3][1] <= height]
        free = [one for one in inside if not any(overlaps(one[3], box) for box in taken)]
        label_x, label_y, anchor, box = (free or inside or choices)[0]
        taken.append(box)
        pins.append(Pin(site, x, y, round(label_x, 1), round(label_y, 1), anchor))
    return pins


def overlaps(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    """True if two boxes (left, top, right, bottom) share any area."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
