"""The summary tables of a season: catch rates, completeness, accumulation, the account of each species, welfare."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from dwc_pipeline.assemble.catch_rates import catch_rates, check_units, run_efforts
from dwc_pipeline.assemble.completeness_tables import completeness_tables
from dwc_pipeline.assemble.effort_by_check import effort_by_check
from dwc_pipeline.assemble.fate_audit import species_account
from dwc_pipeline.assemble.season_animals import season_animals
from dwc_pipeline.assemble.welfare import welfare_table
from dwc_pipeline.settings import SurveyFile


def season_summary(
    tables: Mapping[str, pd.DataFrame],
    roads: pd.DataFrame,
    searches: pd.DataFrame,
    sessions: pd.DataFrame,
    survey: SurveyFile,
) -> dict[str, pd.DataFrame]:
    """The tables `catch_rate`, `effort_by_check`, `completeness`, `accumulation`, `species_account` and `welfare`.

    tables: event, occurrence, measurement and effort as assembled. roads, searches: from `run_table`.
    sessions: from `build_sessions`.
    """
    event, effort, measurement = tables["event"], tables["effort"], tables["measurement"]
    animals = season_animals(event, tables["occurrence"], measurement)
    runs = run_efforts(event, roads, searches)
    completeness, accumulation = completeness_tables(check_units(event, effort), animals, survey.protocol.target_taxa)
    is_session = event["eventType"] == "trapSession"
    by_key = pd.Series(event.loc[is_session, "eventID"].to_numpy(), index=event.loc[is_session, "key"])
    closed = pd.Series(
        sessions["is_closed"].to_numpy(dtype=bool), index=("trapSession" + sessions["session"]).map(by_key)
    )
    return {
        "catch_rate": catch_rates(event, animals, effort, runs),
        "effort_by_check": effort_by_check(event, effort, animals),
        "completeness": completeness,
        "accumulation": accumulation,
        "species_account": species_account(animals),
        "welfare": welfare_table(event, animals, measurement, closed, survey.limits),
    }
