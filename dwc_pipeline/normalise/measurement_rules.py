"""The findings that a measured cell can raise."""

from __future__ import annotations

from dwc_pipeline.core.rule import Rule, Severity, declare

NOT_READABLE = declare(
    Rule(
        id="quantity-not-readable",
        severity=Severity.ERROR,
        what="A measured cell holds no number that can be read, or more than one.",
        why="A number guessed from such a cell would pass for a measurement.",
        remedy="Correct the cell from the paper sheet, or answer the question with the value that was meant.",
        asks=True,
    )
)
NOT_POSITIVE = declare(
    Rule(
        id="quantity-not-positive",
        severity=Severity.ERROR,
        what="A length, mass or the like is zero or negative, or outside its scale.",
        why="No animal weighs or measures that; a zero usually stands for 'not measured'.",
        remedy="Correct the cell, or clear it if nothing was measured.",
        asks=True,
    )
)
UNIT_UNKNOWN = declare(
    Rule(
        id="unit-unknown",
        severity=Severity.ERROR,
        what="A number stands without a unit, and neither header nor survey file gives one.",
        why="Grams against ounces, millimetres against centimetres: the value is wrong by a factor.",
        remedy='Say the unit of the column under [table.units], such as body_mass = "g", or in the header.',
        asks=True,
    )
)
OTHER_KIND = declare(
    Rule(
        id="unit-of-another-kind",
        severity=Severity.ERROR,
        what="The unit in the cell does not measure what the column measures.",
        why="A mass in a length column usually means that two columns were swapped on that row.",
        remedy="Look at the neighbouring cells; move the value or correct its unit.",
        asks=True,
    )
)
MARK_UNKNOWN = declare(
    Rule(
        id="number-has-two-readings",
        severity=Severity.ERROR,
        what="A number can be read in two ways, such as 1,234 (thousands, or decimals after a comma).",
        why="The two readings differ by a factor of a thousand, or one is two numbers.",
        remedy="Answer with the number that was meant, or set decimal_comma under [reading].",
        asks=True,
    )
)
IS_LIMIT = declare(
    Rule(
        id="quantity-is-a-limit",
        severity=Severity.WARNING,
        what="A measurement is given as a limit or a range (<1 g, 10-15 mph), not as a number.",
        why="Half a limit or the middle of a range would be an invented measurement, so no number is written.",
        remedy="Nothing, if nothing finer is known: the words are kept. Otherwise write the number.",
    )
)
IN_WORDS = declare(
    Rule(
        id="quantity-in-words",
        severity=Severity.NOTE,
        what="A measured cell holds words (trace, calm, Beaufort 3, broken) that tell something, but no number.",
        why="The words are kept; nothing can be computed with them.",
        remedy="Nothing, if nothing finer is known.",
    )
)
DOUBTFUL = declare(
    Rule(
        id="quantity-doubtful",
        severity=Severity.WARNING,
        what="A number carries a question mark.",
        why="The mark may mean doubt about the value, or a digit that could not be read.",
        remedy="Look at the paper sheet; correct the number or remove the question mark.",
    )
)
DIGIT_NOT_READ = declare(
    Rule(
        id="digit-not-read",
        severity=Severity.WARNING,
        what="A question mark stands right at a digit of a number, as in '5?' or '?4'.",
        why="It may stand for a digit that could not be read: 5? may be 5 with doubt, or anything from 50 to 59.",
        remedy="Look at the paper sheet, and answer with the number.",
        asks=True,
    )
)
UNIT_DIFFERS = declare(
    Rule(
        id="unit-differs-from-column",
        severity=Severity.WARNING,
        what="The unit in a cell is not that of its column.",
        why="The cell's own unit is used; if it is a slip, the value is wrong by the factor between the units.",
        remedy="Check the cell. Nothing, if the unit is meant.",
    )
)
BAG_INCLUDED = declare(
    Rule(
        id="bag-mass-not-taken-off",
        severity=Severity.WARNING,
        what="The mass was taken with the animal in its bag, and the bag is still in it.",
        why="The animal comes out too heavy by the bag, most of all a small one.",
        remedy="Answer with the mass less the bag, or write it as 96-17.5.",
        asks=True,
    )
)
BEYOND_THE_SCALE = declare(
    Rule(
        id="temperature-impossible",
        severity=Severity.ERROR,
        what="A temperature is one that air, ground or water in the field cannot have.",
        why="A Fahrenheit number in a Celsius column, or a slip of a digit, would be written as a heat that kills.",
        remedy="Write the number with its scale, such as 98 F, or correct it from the sheet.",
        source="air: record of 56.7 °C, World Meteorological Organization (from memory); others: common practice",
        asks=True,
    )
)
