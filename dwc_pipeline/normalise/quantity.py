"""What a column measures: the unit its values are written in, and which values can be at all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from dwc_pipeline.normalise.units import Unit, find_unit, unit_of_symbol

#: what some quantities allow beyond numbers over zero: "zero", "negative", "bag subtraction" (96-17.5), "tail words"
ALLOWED: dict[str, frozenset[str]] = {
    "body mass": frozenset({"bag subtraction"}),
    "tail length": frozenset({"tail words"}),
    "total length": frozenset({"tail words"}),
    "rain": frozenset({"zero"}),
    "wind speed": frozenset({"zero"}),
    "relative humidity": frozenset({"zero"}),
    "bag mass": frozenset({"zero"}),
    "duration": frozenset({"zero"}),
    "odometer": frozenset({"zero"}),
    "distance": frozenset({"zero"}),
    "road distance": frozenset({"zero"}),
    "elevation": frozenset({"zero", "negative"}),
    "number": frozenset({"zero"}),
}
TEMPERATURES_ALLOW = frozenset({"zero", "negative"})
#: units that a bare number of that kind is usually in, offered when nothing says which
USUAL_UNITS = {
    "mass": ("g", "oz", "kg"),
    "length": ("mm", "cm", "in"),
    "temperature": ("°C", "°F"),
    "speed": ("m/s", "mph", "km/h"),
    "pressure": ("hPa", "inHg"),
    "time": ("min", "h"),
}
USUAL_DISTANCES = ("km", "mi", "m")
USUAL_SHORT_DISTANCES = ("m", "ft")


@dataclass(frozen=True)
class Quantity:
    """What the cells of one column measure.

    name: as in measurementType ("body mass", "tail length", "rain"). unit: symbol that values are written
    in ("g", "mm", "°C", "km", "%", "m/s", "min"; "" for plain numbers). default_unit: unit of bare numbers,
    from the header or the survey file, in any spelling; "" if not known. allow: see ALLOWED.
    decimal_mark: "." or "," where the survey file settles it; EITHER where the sheet writes decimal commas and
    the survey file says nothing.
    """

    name: str
    unit: str
    default_unit: str = ""
    allow: frozenset[str] = frozenset()
    decimal_mark: str = ""

    @cached_property
    def target(self) -> Unit:
        """The unit that values are written in. Raises KeyError if the tables do not know it."""
        return unit_of_symbol(self.unit)

    @cached_property
    def default(self) -> Unit | None:
        """The unit of a bare number; None if nothing says it. Shares and plain numbers need none."""
        if self.default_unit:
            return find_unit(self.default_unit, self.target.kind)
        return self.target if self.target.kind in ("share", "number") else None

    @property
    def usual_units(self) -> tuple[Unit, ...]:
        """Units that a bare number could be in, likeliest first."""
        if self.target.kind == "length" and self.unit in ("km", "m"):
            symbols: tuple[str, ...] = USUAL_DISTANCES if self.unit == "km" else USUAL_SHORT_DISTANCES
        else:
            symbols = USUAL_UNITS.get(self.target.kind, (self.unit,))
        return tuple(unit_of_symbol(symbol) for symbol in symbols)


def quantity(name: str, unit: str, default_unit: str = "", decimal_mark: str = "") -> Quantity:
    """A quantity with what its name usually allows: zero rain, a temperature below zero, a bag taken off."""
    allow = ALLOWED.get(name, frozenset())
    if unit_of_symbol(unit).kind == "temperature":
        allow = TEMPERATURES_ALLOW
    return Quantity(name, unit, default_unit, allow, decimal_mark)
