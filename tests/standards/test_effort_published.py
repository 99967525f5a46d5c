"""The formulas of effort against published values; the source stands beside each."""

import shutil
import subprocess
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from dwc_pipeline.effort.accumulation import species_by_individuals, species_by_samples
from dwc_pipeline.effort.catch_rate import compare_rates, poisson_limits
from dwc_pipeline.effort.coverage import coverage_of_individuals, coverage_of_samples
from dwc_pipeline.effort.detection import least_checks
from dwc_pipeline.effort.richness import (
    ace,
    bootstrap_richness,
    chao1_bias_corrected,
    chao1_classic,
    chao2_bias_corrected,
    chao2_classic,
    ice,
    jackknife_1,
    jackknife_2,
)
from dwc_pipeline.effort.trap_nights import night_bounds


class TestSunriseAndSunset:
    """Night shares rest on the astral library; its sun times against tables of others."""

    # US Naval Observatory, 39.0 N 105.0 W, Mountain Standard Time, as printed in the tests of pvlib.
    ALMANAC = (
        (date(2015, 1, 2), "07:19", "16:49"),
        (date(2015, 4, 2), "05:43", "18:24"),
        (date(2015, 8, 2), "05:01", "19:10"),
        (date(2015, 12, 2), "07:01", "16:38"),
    )

    @pytest.mark.parametrize(("day", "rise", "fall"), ALMANAC)
    def test_within_two_minutes_of_the_almanac(self, day, rise, fall):
        zone = "Etc/GMT+7"
        eve = date.fromordinal(day.toordinal() - 1)
        dawn, dusk = night_bounds(39.0, -105.0, zone, eve)[1], night_bounds(39.0, -105.0, zone, day)[0]
        for ours, printed in ((dawn, rise), (dusk, fall)):
            hour, minute = map(int, printed.split(":"))
            theirs = datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZoneInfo(zone))
            assert abs(ours / 1e6 - theirs.timestamp()) < 120

    def test_within_two_minutes_of_the_solar_position_algorithm_over_a_year(self):
        """NREL SPA (Reda & Andreas 2004) in pvlib, at 36.7512 N 99.6348 W."""
        spa = pytest.importorskip("pvlib.solarposition")
        days = pd.date_range("2023-01-01", "2023-12-31", freq="9D", tz="America/Chicago")
        theirs = spa.sun_rise_set_transit_spa(days, 36.7512, -99.6348)["sunset"]
        ours = [night_bounds(36.7512, -99.6348, "America/Chicago", day.date())[0] / 1e6 for day in days]
        assert np.abs(np.array(ours) - [moment.timestamp() for moment in theirs]).max() < 120


class TestPoissonLimits:
    """Exact limits of one count."""

    @pytest.mark.parametrize(
        ("confidence", "lower", "upper"), [(0.90, 17.38, 34.92), (0.95, 16.18, 36.90), (0.99, 14.00, 41.00)]
    )
    def test_a_count_of_25(self, confidence, lower, upper):
        """A statistics vendor's note on the Garwood method."""
        assert poisson_limits(25, confidence) == pytest.approx((lower, upper), abs=0.005)

    def test_upper_limit_of_zero(self):
        """Help page of the epitools package, pois.exact."""
        assert poisson_limits(0).upper == pytest.approx(3.689, abs=0.0005)

    def test_the_table_of_95_percent_limits(self):
        """Garwood 1936, Biometrika 28:437; figures by base R qchisq."""
        table = {
            0: (0, 3.68888), 1: (0.02532, 5.57164), 2: (0.24221, 7.22469), 3: (0.61867, 8.76727),
            4: (1.08987, 10.24159), 5: (1.62349, 11.66833), 6: (2.20189, 13.05947), 7: (2.81436, 14.42268),
            8: (3.45383, 15.76319), 9: (4.11537, 17.08480), 10: (4.79539, 18.39036), 15: (8.39539, 24.74022),
            20: (12.21652, 30.88838), 25: (16.17868, 36.90493), 50: (37.11096, 65.91877), 100: (81.36399, 121.62679),
        }  # fmt: skip
        lower, upper = poisson_limits(list(table))
        assert lower == pytest.approx([limits[0] for limits in table.values()], abs=1e-5)
        assert upper == pytest.approx([limits[1] for limits in table.values()], abs=1e-5)


class TestTwoRates:
    """Comparison of two Poisson rates."""

    def test_the_example_of_base_r(self):
        """Base R documentation, poisson.test: 11 in 800 against 21 in 3011."""
        comparison = compare_rates((11, 21), (800, 3011))
        assert comparison == pytest.approx((1.971488, 0.8584264, 4.277266, 0.07966863), rel=1e-6)


class TestRichnessAndCoverage:
    """Example data of Chao et al. 2014, Ecological Monographs 84:45: spiders by individuals, ants by samples."""

    @pytest.mark.parametrize(
        ("n", "species", "f1", "f2", "estimate", "se", "coverage"),
        [(168, 26, 12, 4, 43.893, 14.306, 0.9289), (252, 37, 14, 4, 61.403, 18.532, 0.9446)],
    )
    def test_spiders(self, n, species, f1, f2, estimate, se, coverage):
        assert chao1_classic(species, f1, f2, n) == pytest.approx((estimate, se), abs=0.0005)
        assert coverage_of_individuals(n, f1, f2) == pytest.approx(coverage, abs=0.00005)

    @pytest.mark.parametrize(
        ("m", "incidences", "species", "q1", "q2", "estimate", "coverage"),
        [(230, 2943, 241, 71, 34, 314.810, 0.9760), (200, 271, 14, 1, 2, 14.249, 0.9964)],
    )
    def test_ants(self, m, incidences, species, q1, q2, estimate, coverage):
        assert chao2_classic(species, q1, q2, m).species == pytest.approx(estimate, abs=0.0005)
        assert coverage_of_samples(incidences, m, q1, q2) == pytest.approx(coverage, abs=0.00005)

    def test_abundance_coverage_estimator(self):
        """Unit tests of scikit-bio."""
        assert ace([12, 3, 6, 1, 10]) == pytest.approx(5.62749672, abs=1e-8)
        assert ace([12, 3, 2, 1]) == pytest.approx(4.6)


class TestTwoEcologicalDataSets:
    """Barro Colorado trees (50 plots) and dune meadows (20 plots), figures by R 4.2.2 with vegan 2.6-4.

    What needs only the counts of rare species is checked here; the rest below, where R has the data.
    """

    def test_estimates_from_the_counts_of_rare_species(self):
        assert chao1_classic(225, 19, 13).species == pytest.approx(238.884615, abs=1e-6)
        assert chao1_bias_corrected(225, 19, 13) == pytest.approx((237.214286, 7.434825), abs=1e-6)
        assert chao1_classic(30, 1, 2).species == pytest.approx(30.25)
        assert chao1_bias_corrected(30, 1, 2) == pytest.approx((30, 0.163865), abs=1e-6)
        assert chao2_classic(225, 21, 19).species == pytest.approx(236.605263, abs=1e-6)
        assert chao2_classic(225, 21, 19, 50) == pytest.approx((236.373158, 6.543610), abs=1e-6)
        assert chao2_bias_corrected(225, 21, 19, 50).species == pytest.approx(235.29)
        assert chao2_classic(30, 3, 2).species == pytest.approx(32.25)
        assert chao2_classic(30, 3, 2, 20) == pytest.approx((32.1375, 3.242503), abs=1e-6)
        assert chao2_bias_corrected(30, 3, 2, 20).species == pytest.approx(30.95)
        assert jackknife_2(225, 21, 19, 50) == pytest.approx(247.872245, abs=1e-6)
        assert jackknife_2(30, 3, 2, 20) == pytest.approx(33.844737, abs=1e-6)

    def test_coverage_from_the_counts_of_rare_species(self):
        assert coverage_of_individuals(21457, 19, 13) == pytest.approx(0.999114565, abs=1e-9)
        assert coverage_of_samples(4539, 50, 21, 19) == pytest.approx(0.995538200, abs=1e-9)
        assert coverage_of_individuals(685, 1, 2) == pytest.approx(0.998548634, abs=1e-9)
        assert coverage_of_samples(197, 20, 3, 2) == pytest.approx(0.985770159, abs=1e-9)

    @pytest.mark.parametrize(
        ("data", "curve", "jackknife", "bootstrap", "ace_value", "ice_value", "rarefied"),
        [
            (
                "BCI", (90.78, 121.609796, 159.236344, 182.560444), (245.58, 5.650522), (235.686168, 3.468888),
                238.217659, 239.700871, (8.963745, 50.654052, 100.619288),
            ),
            (
                "dune", (9.85, 15.110526, 22.754321, 27.364962), (32.85, 1.645448), (31.540396, 1.153121),
                30.458963, 31.088372, (7.968638, 24.546774, 29.166119),
            ),
        ],
    )  # fmt: skip
    def test_what_needs_the_whole_table(self, data, curve, jackknife, bootstrap, ace_value, ice_value, rarefied):
        counts = table_of_counts(data)
        presence, abundance = counts > 0, counts.sum(axis=0)
        incidence, samples = presence.sum(axis=0), len(counts)
        accumulated = species_by_samples(presence)
        assert accumulated.species[[0, 1, 4, 9]] == pytest.approx(curve, abs=1e-6)
        # At one sample only: for more, vegan "exact" stretches the correlations of one sample; ours is the true sd.
        assert accumulated.sd[0] == pytest.approx({"BCI": 6.934811, "dune": 2.351064}[data], abs=1e-6)
        uniques = (presence & (incidence == 1)).sum(axis=1)
        value, se = jackknife_1(int((incidence > 0).sum()), uniques)
        assert value == pytest.approx(jackknife[0])
        # vegan 2.6-4 subtracts Q1/m where the jackknife variance has Q1²/m (Heltshe & Forrester 1983).
        total = uniques.sum()
        as_printed = se**2 + (samples - 1) / samples * (total**2 - total) / samples
        assert np.sqrt(as_printed) == pytest.approx(jackknife[1], abs=1e-6)
        assert bootstrap_richness(presence) == pytest.approx(bootstrap, abs=1e-6)
        assert ace(abundance) == pytest.approx(ace_value, abs=1e-6)
        infrequent = (incidence > 0) & (incidence <= 10)
        assert ice(incidence, presence[:, infrequent].any(axis=1).sum()) == pytest.approx(ice_value, abs=1e-6)
        assert species_by_individuals(abundance, [10, 100, 400]).species == pytest.approx(rarefied, abs=1e-6)

    def test_the_first_three_tree_plots(self):
        plots = table_of_counts("BCI")[:3]
        for plot, species, chao, coverage_estimate in zip(
            plots,
            (93, 84, 90),
            (117.473684, 117.214286, 141.230769),
            (122.848959, 117.317307, 134.669844),
            strict=True,
        ):
            assert (plot > 0).sum() == species
            corrected = chao1_bias_corrected(species, (plot == 1).sum(), (plot == 2).sum())
            assert corrected.species == pytest.approx(chao, abs=1e-6)
            assert ace(plot) == pytest.approx(coverage_estimate, abs=1e-6)


class TestEmptyChecks:
    """Checks needed for a detection."""

    def test_visits_needed_for_an_aquatic_snake(self):
        """Durso, Willson & Winne 2011, Biol. Conserv. 144:1508, abstract: p 0.46 needs 5 visits."""
        assert least_checks(0.46) == 5


def table_of_counts(name: str) -> np.ndarray:
    """A data set of the R package vegan as samples x species; the test is skipped where R does not have it."""
    if shutil.which("Rscript") is None:
        pytest.skip("R is not installed: its open ecological data sets cannot be read")
    code = f'data({name}, package = "vegan"); write.csv(as.matrix({name}), row.names = FALSE)'
    done = subprocess.run(["Rscript", "-e", code], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("the R package vegan is not installed: its open ecological data sets cannot be read")
    rows = [line.split(",") for line in done.stdout.splitlines()[1:]]
    return np.array(rows, dtype=np.int64)
