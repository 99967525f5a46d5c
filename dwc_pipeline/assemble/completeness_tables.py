"""How complete the species list of the arrays is: estimators with their frequencies, and the accumulation curve."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from dwc_pipeline.effort.accumulation import species_by_samples
from dwc_pipeline.effort.coverage import coverage_of_individuals, coverage_of_samples
from dwc_pipeline.effort.richness import (
    RARE_AT_MOST,
    Estimate,
    ace,
    chao1_bias_corrected,
    chao1_classic,
    chao2_bias_corrected,
    chao2_classic,
    ice,
    jackknife_1,
    jackknife_2,
)

COMPLETENESS_COLUMNS = (
    "taxa", "species_observed", "individuals_n", "f1", "f2", "checks_m", "incidences_U", "Q1", "Q2",
    "chao1_classic", "chao1_classic_se", "chao1_bias_corrected", "chao1_bias_corrected_se",
    "chao2_classic", "chao2_classic_se", "chao2_bias_corrected", "chao2_bias_corrected_se",
    "ace", "ice", "jackknife_1", "jackknife_1_se", "jackknife_2", "coverage_of_individuals", "coverage_of_checks",
    "animals_left_out", "left_out_because",
)  # fmt: skip
ACCUMULATION_COLUMNS = ("taxa", "checks", "species_expected", "sd")
ALL_TARGETS = "all target taxa"


def completeness_tables(
    checks: pd.DataFrame, animals: pd.DataFrame, target_taxa: tuple[str, ...]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Completeness (one line for all target taxa, one for each order among them) and accumulation points.

    checks: from `check_units`; those of known effort are the samples. animals: from `season_animals`.
    Every estimate is a lower bound of what these traps at these places could catch.
    """
    samples = checks.loc[checks["effort"].notna(), "eventID"]
    target = animals[(animals["in_scope"] == "true") & animals["eventType"].isin(["trapCheck", "trapSession"])]
    groups = [(ALL_TARGETS, target)]
    groups += [(taxon, target[target["order"] == taxon]) for taxon in target_taxa]
    groups = [(name, rows) for name, rows in groups if len(rows) or name == ALL_TARGETS]
    abundances = [abundance_table(samples, rows) for _, rows in groups]
    lines = [
        {"taxa": name, **estimates(table), **left_out(samples, rows)}
        for (name, rows), table in zip(groups, abundances, strict=True)
    ]
    curve = species_by_samples(abundances[0] > 0)
    points = pd.DataFrame(
        {"taxa": ALL_TARGETS, "checks": curve.drawn.astype(int), "species_expected": curve.species, "sd": curve.sd}
    )
    return pd.DataFrame(lines, columns=list(COMPLETENESS_COLUMNS)), points[list(ACCUMULATION_COLUMNS)]


def abundance_table(samples: pd.Series, rows: pd.DataFrame) -> np.ndarray:
    """Animals of each species (columns) at each check (rows), empty checks among them."""
    used = rows[rows["eventID"].isin(samples) & (rows["species"] != "") & (rows["count"] > 0)]
    species, column = np.unique(used["species"].to_numpy(dtype=str), return_inverse=True)
    table = np.zeros((len(samples), len(species)), dtype=np.int64)
    line = (
        pd.Series(np.arange(len(samples)), index=samples.to_numpy()).reindex(used["eventID"]).to_numpy(dtype=np.intp)
    )
    np.add.at(table, (line, column), used["count"].to_numpy(dtype=np.int64))
    return table


def estimates(table: np.ndarray) -> dict[str, float]:
    """All figures of one table of checks x species."""
    samples, species = table.shape
    abundance, incidence = table.sum(axis=0), (table > 0).sum(axis=0)
    n, incidences = int(abundance.sum()), int(incidence.sum())
    f1, f2 = (int((abundance == times).sum()) for times in (1, 2))
    q1, q2 = (int((incidence == times).sum()) for times in (1, 2))
    found = {
        "species_observed": species, "individuals_n": n, "f1": f1, "f2": f2,
        "checks_m": samples, "incidences_U": incidences, "Q1": q1, "Q2": q2,
    }  # fmt: skip
    if species == 0:
        return found
    infrequent = int((table[:, incidence <= RARE_AT_MOST] > 0).any(axis=1).sum())
    only_here = (table[:, incidence == 1] > 0).sum(axis=1)
    return {
        **found,
        **pair("chao1_classic", chao1_classic(species, f1, f2)),
        **pair("chao1_bias_corrected", chao1_bias_corrected(species, f1, f2)),
        **pair("chao2_classic", chao2_classic(species, q1, q2, samples)),
        **pair("chao2_bias_corrected", chao2_bias_corrected(species, q1, q2, samples)),
        "ace": ace(abundance),
        "ice": ice(incidence, infrequent),
        **pair("jackknife_1", jackknife_1(species, only_here)),
        "jackknife_2": jackknife_2(species, q1, q2, samples),
        "coverage_of_individuals": coverage_of_individuals(n, f1, f2),
        "coverage_of_checks": coverage_of_samples(incidences, samples, q1, q2),
    }


def pair(name: str, estimate: Estimate) -> dict[str, float]:
    """An estimate and its standard error under their column names."""
    return {name: estimate.species, f"{name}_se": estimate.se}


def left_out(samples: pd.Series, rows: pd.DataFrame) -> dict[str, object]:
    """Animals of target taxa that enter no estimate, and why."""
    off = ~rows["eventID"].isin(samples)
    unnamed = ~off & (rows["species"] == "")
    vague = ~off & ~unnamed & rows["count"].isna()
    told = [
        (off, "on checks of unknown effort"),
        (unnamed, "not named to the species"),
        (vague, "counted in words"),
    ]
    animals = rows.loc[off | unnamed, "count"].fillna(0).sum()
    said = [f"{int(rows.loc[flag, 'count'].fillna(1).sum())} {words}" for flag, words in told if flag.any()]
    return {"animals_left_out": math.trunc(animals), "left_out_because": "; ".join(said)}
