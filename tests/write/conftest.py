"""A small invented survey: one session, a check with animals, an empty check."""

from __future__ import annotations

import pandas as pd
import pytest

from dwc_pipeline.core.metadata import BoundingBox, CoveredTaxon, DatasetMetadata, Licence, Party

NIGHT = "2031-05-14T18:30-05:00/2031-05-15T07:40-05:00"
DAY = "2031-05-15T07:40-05:00/2031-05-15T17:50-05:00"


@pytest.fixture
def tables() -> dict[str, pd.DataFrame]:
    """Every awkward character that a field note can hold is in some cell."""
    event = {
        "eventID": ["PT-s1", "PT-s1-c1", "PT-s1-c2"],
        "parentEventID": ["", "PT-s1", "PT-s1"],
        "eventType": ["trapSession", "trapCheck", "trapCheck"],
        "eventDate": [NIGHT.split("/", maxsplit=1)[0] + "/" + DAY.split("/")[1], NIGHT, DAY],
        "year": ["2031", "2031", "2031"],
        "decimalLatitude": ["36.7512", "", ""],
        "eventRemarks": ["", 'rain, then "hail"\nF2 flooded\r\nleft open', "Ötscher ½ mile; tab\there"],
        "place": ["A1", "A1", "A1"],
    }
    occurrence = {
        "occurrenceID": ["PT-o1", "PT-o2", "PT-o3"],
        "eventID": ["PT-s1-c1", "PT-s1-c1", "PT-s1-c2"],
        "basisOfRecord": ["HumanObservation"] * 3,
        "detected": ["true", "true", "false"],
        "individualCount": ["1", "1", "0"],
        "scientificName": ["Aspidoscelis sexlineatus", "Gastrophryne olivacea", "Thamnophis radix"],
    }
    measurement = {
        "measurementID": ["PT-m1", "PT-m2"],
        "eventID": ["PT-s1-c1", "PT-s1-c2"],
        "occurrenceID": ["PT-o1", ""],
        "measurementType": ["snout-vent length", "rain"],
        "measurementValue": ["71", "0.8"],
        "measurementUnit": ["mm", "in"],
    }
    humboldt = {
        "eventID": ["PT-s1-c1", "PT-s1-c2"],
        "isSamplingEffortReported": ["true", "true"],
        "samplingEffortValue": ["135.1667", "101.6667"],
        "samplingEffortUnit": ["trapHours", "trapHours"],
    }
    named = {"event": event, "occurrence": occurrence, "measurement": measurement, "humboldt": humboldt}
    return {name: pd.DataFrame(columns, dtype=object) for name, columns in named.items()}


@pytest.fixture
def metadata() -> DatasetMetadata:
    """A description with everything in it."""
    return DatasetMetadata(
        title="Reptiles & amphibians of a made-up ranch <2031>",
        package_id="plum-thicket",
        version="1.0",
        people=(
            Party(
                "Ada B. Example", email="ada@example.org", orcid="0000-0002-1825-0097", roles=("creator", "contact")
            ),
            Party("Bo von Sample", surname="von Sample", roles=("observer",)),
            Party(organisation="Society for Examples", roles=("metadataProvider",)),
        ),
        abstract="First paragraph.\n\nSecond paragraph.",
        purpose="To have an example.",
        pub_date="2031-12-01",
        language="en",
        keywords=("drift fence", "trap-night"),
        licence=Licence("CC0 1.0", "https://creativecommons.org/publicdomain/zero/1.0/", "CC0-1.0"),
        citation="Example A. B. (2031)",
        notes=("Words of occurrenceStatus: present, absent.",),
        box=BoundingBox(-99.64, 36.75, -99.63, 36.76, "A made-up ranch"),
        date_range=("2031-05-14", "2031-05-15"),
        taxa=(CoveredTaxon("order", "Squamata", "lizards and snakes"), CoveredTaxon("order", "Anura")),
        method_steps=("Arrays were opened.", "Arrays were checked."),
        sampling_description="Twelve traps.",
        study_extent="One array, two days.",
        quality_control="Looked through.",
        project_title="Example project",
        project_abstract="A project.",
        maintenance="One edition a year.",
        update_frequency="annually",
    )
