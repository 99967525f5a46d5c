"""The rules about positions that are not where they should be, or not positions at all."""

from __future__ import annotations

from dwc_pipeline.core.rule import Rule, Severity, declare

_ISO_6709 = "ISO 6709, standard representation of geographic point location by coordinates"
_USNG = "FGDC-STD-011-2001, United States National Grid"

NOT_A_COORDINATE = declare(
    Rule(
        id="position-is-not-a-coordinate",
        severity=Severity.WARNING,
        what="The cell for the position holds words or marks that no coordinate system can be read from.",
        why="The record has a place in words at best, and cannot be put on a map.",
        remedy="Type the coordinate, take it from the site list, or leave the cell empty and describe the place "
        "in its own column.",
        asks=True,
    )
)
IS_ZERO = declare(
    Rule(
        id="position-is-zero",
        severity=Severity.ERROR,
        what="Latitude and longitude are both zero.",
        why="Empty cells exported as zero put the record into the Gulf of Guinea.",
        remedy="Leave the cells empty, or type the coordinate.",
        source="BDQ test VALIDATION_COORDINATES_NOTZERO",
        asks=True,
    )
)
OUT_OF_RANGE = declare(
    Rule(
        id="position-is-out-of-range",
        severity=Severity.ERROR,
        what="A number of the position cannot be: minutes or seconds over 59, a latitude over 90, a longitude over "
        "180, or an easting or northing that no zone has.",
        why="The number was typed in another form than its column, or a digit or point was lost.",
        remedy="Compare with the field sheet or the receiver and correct the cell.",
        source="BDQ tests VALIDATION_DECIMALLATITUDE_INRANGE and VALIDATION_DECIMALLONGITUDE_INRANGE",
        asks=True,
    )
)
LACKS_ITS_OTHER_HALF = declare(
    Rule(
        id="position-lacks-its-other-half",
        severity=Severity.ERROR,
        what="Only one of the two numbers of a position is there.",
        why="One number is a line across the map, not a place.",
        remedy="Type the missing latitude, longitude, easting or northing.",
        asks=True,
    )
)
HAS_NO_SIGN_OR_LETTER = declare(
    Rule(
        id="position-has-no-sign-or-letter",
        severity=Severity.ERROR,
        what="Nothing says on which side of the equator or of Greenwich the position lies: no sign and no letter.",
        why="Without its minus sign a site in the Americas lands in Asia.",
        remedy="Type the minus sign or the letter, or declare in the survey file that unsigned latitudes are north "
        "and unsigned longitudes west.",
        source=_ISO_6709,
        asks=True,
    )
)
HAS_TWO_READINGS = declare(
    Rule(
        id="position-has-two-readings",
        severity=Severity.ERROR,
        what="The position can be read in more than one way.",
        why="The readings lie metres to thousands of kilometres apart, and only one of them is the site.",
        remedy="Choose the reading that is meant; use signs or letters, and one form for the column.",
        source=_ISO_6709,
        asks=True,
    )
)
CONTRADICTS_ITSELF = declare(
    Rule(
        id="position-contradicts-itself",
        severity=Severity.ERROR,
        what="Two parts of the position cannot both be true: a sign and a letter, a band and a northing, a unit and "
        "a grid, or a heading and what stands under it.",
        why="One of the two was typed wrongly, and the two readings lie far apart.",
        remedy="Choose the reading that is meant and correct the other part.",
        source=_USNG,
        asks=True,
    )
)
LOST_ITS_POINT = declare(
    Rule(
        id="position-lost-its-decimal-point",
        severity=Severity.ERROR,
        what="The numbers are too large for degrees, as if the decimal point had been lost.",
        why="A spreadsheet in another language turns 36.7512 into 367512.",
        remedy="Choose the reading that is meant, and import the column as text.",
        asks=True,
    )
)
LACKS_ITS_ZONE = declare(
    Rule(
        id="position-lacks-its-zone",
        severity=Severity.ERROR,
        what="An easting and northing have no zone, and neither the sheet nor the survey file names one.",
        why="The same numbers exist in each of 60 zones, six degrees of longitude apart.",
        remedy="Name the zone in the survey file, in the site list or beside the numbers.",
        source=_USNG,
        asks=True,
    )
)
LOST_A_DIGIT = declare(
    Rule(
        id="position-lost-a-digit",
        severity=Severity.ERROR,
        what="The easting or the northing has a digit too few for where the survey works.",
        why="One digit less moves the site by hundreds or thousands of kilometres.",
        remedy="Compare with the field sheet and put the digit back; the likely numbers are listed.",
        asks=True,
    )
)
FITS_ONLY_WHEN_REPAIRED = declare(
    Rule(
        id="position-fits-only-when-repaired",
        severity=Severity.ERROR,
        what="As typed the position lies outside the property; with one usual slip put right it lies inside.",
        why="A missing minus, two numbers swapped, a wrong letter or zone puts the site on another continent.",
        remedy="Choose the reading that is meant. Nothing is changed until a person has.",
        asks=True,
    )
)
OUTSIDE_THE_PROPERTY = declare(
    Rule(
        id="position-outside-the-property",
        severity=Severity.ERROR,
        what="The position lies outside the property or area that the survey file gives.",
        why="A wrong digit moves a record over the fence, and it is then reported for a place that nobody surveyed.",
        remedy="Compare with the field sheet; if the place is right, widen the area in the survey file.",
        asks=True,
    )
)
CELLS_DISAGREE = declare(
    Rule(
        id="position-cells-disagree",
        severity=Severity.ERROR,
        what="The row gives its position twice, and the two are not the same place.",
        why="One of them belongs to another site, another datum or an older version of the row.",
        remedy="Choose the one that is right and empty or correct the other.",
        asks=True,
    )
)
DATUMS_CONTRADICT = declare(
    Rule(
        id="datums-contradict",
        severity=Severity.ERROR,
        what="The position names one datum and the cell for the datum names another.",
        why="Which of them holds moves the site by tens of metres here and further elsewhere.",
        remedy="Choose the datum that the receiver or the map used.",
        source="Darwin Core, verbatimSRS",
        asks=True,
    )
)
NO_DATUM_OPERATION = declare(
    Rule(
        id="datum-has-no-operation-here",
        severity=Severity.ERROR,
        what="No operation leads from the datum to WGS 84 at this place.",
        why="A datum is made for its own continent; a position elsewhere has the wrong datum or a wrong number.",
        remedy="Correct the datum or the position.",
        source="EPSG dataset, areas of use of coordinate operations",
        asks=True,
    )
)
