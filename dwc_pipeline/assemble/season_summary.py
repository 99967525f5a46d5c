"""The summary tables of a season: catch rates, completeness, accumulation, the account of each species, welfare."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pandas as pd

from dwc_pipeline.assemble.catch_rates import catch_rates, check_units, run_efforts
from dwc_pipeline.assemble.completeness_tables import completeness_tables
from dwc_pipeline.assemble.effort_by_check import effort_by_check
from dwc_pipeline.assemble.fate_audit import species_account
from dwc_pipeline.assemble.season_animals import season_animals
from dwc_pipeline.assemble.welfare import welfare_table
from dwc_pipeline.core.tables_on_demand import TablesOnDemand
from dwc_pipeline.settings import SurveyFile


def season_summary(
    tables: Mapping[str, pd.DataFrame],
    roads: pd.DataFrame,
    searches: pd.DataFrame,
    sessions: pd.DataFrame,
    survey: SurveyFile,
) -> TablesOnDemand:
    """The tables given, and made when asked for: `catch_rate`, `effort_by_check`, `completeness`, `accumulation`,
    `species_account` and `welfare`.

    tables: among them event, occurrence, measurement and effort as assembled. roads, searches: from `run_table`.
    sessions: from `build_sessions`.
    """
    event, effort, measurement = tables["event"], tables["effort"], tables["measurement"]

    @cache
    def animals() -> pd.DataFrame:
        return season_animals(event, tables["occurrence"], measurement)

    @cache
    def completeness() -> tuple[pd.DataFrame, pd.DataFrame]:
        return completeness_tables(check_units(event, effort), animals(), survey.protocol.target_taxa)

    def welfare() -> pd.DataFrame:
        return welfare_table(event, animals(), measurement, closed_sessions(event, sessions), survey.limits)

    return TablesOnDemand(
        tables,
        {
            "catch_rate": lambda: catch_rates(event, animals(), effort, run_efforts(event, roads, searches)),
            "effort_by_check": lambda: effort_by_check(event, effort, animals()),
            "completeness": lambda: completeness()[0],
            "accumulation": lambda: completeness()[1],
            "species_account": lambda: species_account(animals()),
            "welfare": welfare,
        },
    )


def closed_sessions(event: pd.DataFrame, sessions: pd.DataFrame) -> pd.Series:
    """Was each session closed? By the eventID of the session."""
    is_session = event["eventType"] == "trapSession"
    by_key = pd.Series(event.loc[is_session, "eventID"].to_numpy(), index=event.loc[is_session, "key"])
    return pd.Series(
        sessions["is_closed"].to_numpy(dtype=bool), index=("trapSession" + sessions["session"]).map(by_key)
    )
