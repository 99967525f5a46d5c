"""What a public copy says was done to it, one sentence each."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.metadata import CONTACT, CREATOR
from dwc_pipeline.protect.twins import TWIN_TYPE
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.sharing_settings import PublicShare

WITHHELD_WORDS = (
    "Exact places, hours, names of sites, verbatim values, remarks, marks and links between captures are withheld"
)
POINT_WORDS = (
    "The written point is the centre of the cell; its uncertainty reaches the farthest corner and includes the "
    "uncertainty of the exact position. No point was moved at random."
)
COARSE_WORDS = (
    "All events of a place share one grid, the coarsest that any animal found there, the ground or the small-group "
    "test asks for; no place is shown finer than a sensitive animal in its cell asks."
)


def statements(events: pd.DataFrame, survey: SurveyFile, share: PublicShare) -> tuple[str, ...]:
    """What was done to the copy, one sentence each. events: the public ones."""
    own = events[events["eventType"] != TWIN_TYPE]
    said = [*places_told(own), *dates_told(own)]
    said.append(POINT_WORDS)
    said += twins_told(events, share) if share.moves_animals else [COARSE_WORDS]
    said.append(f"Places are generalised because {survey.protect.reason}.")
    said.append(
        f"No combination of cell, date, protocol and observer points to fewer than {share.smallest_group} private "
        "properties, as far as is known."
    )
    said.append(withheld_words(survey, share))
    said.append(
        "Identifiers are made for this copy and stay the same in its later versions, unless a place is shown "
        "otherwise."
    )
    if survey.protect.review_on:
        said.append(f"These decisions are to be looked at again on {survey.protect.review_on.isoformat()}.")
    return tuple(said)


def places_told(events: pd.DataFrame) -> list[str]:
    """How many events show their place, and how."""
    said = []
    gridded = events["dataGeneralizations"].str.startswith("Coordinates rounded")
    for grid, number in events.loc[gridded, "coordinatePrecision"].value_counts().sort_index().items():
        said.append(f"{number} events show their place on a grid of {grid} degree.")
    held = int((~gridded & (events["decimalLatitude"] != "")).sum())
    hidden = int(events["dataGeneralizations"].str.startswith("Coordinates not given").sum())
    if held:
        said.append(f"{held} events show their place as it is held.")
    if hidden:
        said.append(f"{hidden} events do not show their place.")
    none = int((events["decimalLatitude"] == "").sum()) - hidden
    return [*said, f"{none} events have no position of their own."]


def dates_told(events: pd.DataFrame) -> list[str]:
    """How many events give their dates to the day, month and year."""
    steps = events["dataGeneralizations"].str.extract(r"Dates given to the (\w+)\.$")[0].value_counts().sort_index()
    return [
        f"The dates of {number} events are given to the {one}; hours are left out." for one, number in steps.items()
    ]


def twins_told(events: pd.DataFrame, share: PublicShare) -> list[str]:
    """What was done to sensitive animals, without a number of those that were left out."""
    number = int((events["eventType"] == TWIN_TYPE).sum())
    moved = (
        f"{number} animals of protected taxa stand on events of their own with a coarser place and date, without "
        "observer or protocol; events that are shown finer than such a taxon asks list none of it, whether one was "
        "caught or not."
    )
    enough = (
        f"By place, date and kind of sampling each can have come from at least {share.twin_places} places; animals "
        "for which that cannot be reached are left out."
    )
    return [moved, enough]


def withheld_words(survey: SurveyFile, share: PublicShare) -> str:
    """informationWithheld: what is kept back, and whom to ask."""
    people = [person for person in survey.people if person.name in share.named]
    whom = next((p.name for role in (CONTACT, CREATOR) for p in people if role in p.roles), share.publisher)
    return f"{WITHHELD_WORDS}; they may be asked for{' from ' + whom if whom else ''}."
