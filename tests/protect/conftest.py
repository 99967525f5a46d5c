"""An invented season of three arrays, a road and chance finds, with every kind of text that can name a place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from dwc_pipeline.core.metadata import BoundingBox, DatasetMetadata, Party
from dwc_pipeline.protect.run import Protected, protect
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.checklist import Checklist

#: code, latitude, longitude, name of the place
PLACES = (
    ("N1", "36.7512345", "-99.6348765", "Windmill Draw"),
    ("N2", "36.7423451", "-99.6123457", "Blowout Flat"),
    ("P7", "36.9087654", "-99.1234567", "Cedar Bend"),
    ("Q9", "36.4456789", "-98.4567891", "Marsh Gate"),
)
TABLE = {
    "name": "captures",
    "holds": "capture",
    "files": ["captures.csv"],
    "columns": {"Species": "verbatimIdentification"},
}
PUBLIC = {
    "code": "pub",
    "title": "Reptiles of a made-up prairie",
    "key": "a text that only the person knows",
    "publisher": "Society for Examples",
    "smallest_group": 1,
}


def survey_file(protect_part: dict[str, Any] | None = None, **public: Any) -> SurveyFile:
    """The settings, with a sharing part."""
    return SurveyFile(
        survey={
            "code": "WD", "title": "Reptiles of Windmill Draw", "season": "2031", "starts": "2031-05-01",
            "ends": "2031-09-30", "time_zone": "America/Chicago", "state": "Oklahoma", "county": "Harper",
            "country": "United States",
        },
        people=[
            {"name": "Ada Example", "roles": ["creator", "contact"], "email": "ada@example.org"},
            {"name": "Bo Sample"},
        ],
        table=[TABLE],
        protect=protect_part or {},
        share={"public": {**PUBLIC, **public}},
        path=Path("survey.toml"),
    )  # fmt: skip


def event_table() -> pd.DataFrame:
    """Sessions of two checks at each place, a road run, chance finds without a place."""
    rows: list[dict[str, str]] = [
        {"eventID": "WD-2031", "eventType": "fieldSeason", "eventDate": "2031-05-01/2031-09-30", "place": ""}
    ]
    for minute, (code, latitude, longitude, name) in enumerate(PLACES):
        position = {
            "place": code,
            "locationID": f"WD-{code}",
            "locality": name,
            "decimalLatitude": latitude,
            "decimalLongitude": longitude,
            "coordinateUncertaintyInMeters": "30",
            "geodeticDatum": "EPSG:4326",
            "verbatimLatitude": latitude,
            "verbatimLongitude": longitude,
            "habitat": f"sand below {name}",
            "county": "Harper",
            "minimumElevationInMeters": "604",
        }
        session = f"WD-2031-{code}-s20310514-1"
        rows.append(
            {
                "eventID": session,
                "parentEventID": "WD-2031",
                "eventType": "trapSession",
                "eventDate": "2031-05-14T18:00-05:00/2031-05-16T07:00-05:00",
                **position,
            }
        )
        for day, before in ((15, 14), (16, 15)):
            rows.append(
                {
                    "eventID": f"WD-2031-{code}-c203105{day}-1",
                    "parentEventID": session,
                    "eventType": "trapCheck",
                    "eventDate": f"2031-05-{before}T07:{minute:02}-05:00/2031-05-{day}T07:{minute:02}-05:00",
                    "eventRemarks": f"gate at {name} open",
                    "samplingProtocol": "drift fence array",
                    "samplingEffort": f"12 traps; not catching: {name} side",
                    "fieldNumber": f"F-{code}-{day}",
                    **position,
                }
            )
    rows.append(
        {
            "eventID": "WD-2031-chance-i20310515-1",
            "parentEventID": "WD-2031",
            "eventType": "incidental",
            "eventDate": "2031-05-15T12:00-05:00",
            "place": "",
            "decimalLatitude": "36.7509999",
            "decimalLongitude": "-99.6339999",
            "geodeticDatum": "EPSG:4326",
            "samplingProtocol": "incidental observation",
        }
    )
    return pd.DataFrame(rows).fillna("").assign(eventCategory="Event", stateProvince="Oklahoma")


def occurrence_table() -> pd.DataFrame:
    """One ordinary lizard at every check, a horned lizard at one check of N1."""
    rows = [
        {"eventID": f"WD-2031-{code}-c20310515-1", "scientificName": "Sceloporus consobrinus"} for code, *_ in PLACES
    ]
    rows.append({"eventID": "WD-2031-N1-c20310516-1", "scientificName": "Phrynosoma cornutum"})
    rows.append({"eventID": "WD-2031-chance-i20310515-1", "scientificName": "Sceloporus consobrinus"})
    made = pd.DataFrame(rows)
    made["occurrenceID"] = made["eventID"] + "-F1-" + made.index.astype(str)
    made["organismID"] = "WD-animal-" + made.index.astype(str)
    made["genus"] = made["scientificName"].str.split().str[0]
    made["specificEpithet"] = made["scientificName"].str.split().str[1]
    made["occurrenceRemarks"] = "by the windmill at Windmill Draw"
    made["recordNumber"] = "1"
    return made.assign(recordedBy="Ada Example | Bo Sample", basisOfRecord="HumanObservation", detected="true")


def measurement_table(occurrence: pd.DataFrame) -> pd.DataFrame:
    """A length, a mark and a distance of every animal."""
    parts = [
        occurrence[["eventID", "occurrenceID"]].assign(measurementType=kind, measurementValue=value)
        for kind, value in (("snout-vent length", "63"), ("mark code", "900118001234567"), ("distance to pond", "41"))
    ]
    made = pd.concat(parts, ignore_index=True)
    return made.assign(measurementID=made["occurrenceID"] + "-" + made["measurementType"].str.replace(" ", "-"))


@pytest.fixture
def tables() -> dict[str, pd.DataFrame]:
    """The exact tables."""
    event, occurrence = event_table(), occurrence_table()
    checks = event[event["eventType"] == "trapCheck"]
    place = pd.DataFrame(PLACES, columns=["place", "decimalLatitude", "decimalLongitude", "name"])
    effort = checks[["eventID", "place"]].assign(
        trap_type="box trap", trap_nights="12", person_hours="", distance_km=""
    )
    humboldt = checks[["eventID"]].assign(
        samplingPerformedBy="Ada Example | Bo Sample",
        samplingEffortValue="287.2333",
        samplingEffortUnit="trapHours",
        reportedWeather='{"air temperature (°C)": "17.78"}',
        verbatimSiteNames="Windmill Draw",
    )
    return {
        "event": event,
        "occurrence": occurrence,
        "measurement": measurement_table(occurrence),
        "place": place,
        "effort": effort,
        "humboldt": humboldt,
    }


@pytest.fixture
def metadata() -> DatasetMetadata:
    """The exact description."""
    return DatasetMetadata(
        title="Reptiles of Windmill Draw",
        package_id="WD-2031",
        people=(Party("Ada Example", email="ada@example.org", roles=("creator", "contact")),),
        version="1.0",
        abstract="Sampling at Windmill Draw.",
        keywords=("drift fence",),
        box=BoundingBox(-99.6348765, 36.4456789, -98.4567891, 36.9087654, "Harper"),
        date_range=("2031-05-01", "2031-09-30"),
        study_extent="Windmill Draw and Cedar Bend",
    )


@pytest.fixture
def protected(tables: dict[str, pd.DataFrame], metadata: DatasetMetadata) -> Callable[..., Protected]:
    """The public copy for a protect part and public settings."""

    def made(protect_part: dict[str, Any] | None = None, **public: Any) -> Protected:
        return protect(tables, metadata, survey_file(protect_part, **public), Checklist())

    return made
