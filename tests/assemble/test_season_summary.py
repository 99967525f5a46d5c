"""Summary tables: the worked session of the handbook of the trade (sections 1.3, 1.4, 1.6 and 7) and made-up frames.

Exact Poisson limits: Garwood 1936, figures as printed in the handbook. The rest is counted by hand.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from assemble.test_worked_hierarchy import CAPTURES, LOG
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.assemble.catch_rates import Grouping, rate_lines
from dwc_pipeline.assemble.completeness_tables import completeness_tables, estimates
from dwc_pipeline.assemble.fate_audit import ACCOUNT_OF_FATE, FATE_COLUMNS, species_account
from dwc_pipeline.assemble.season_summary import season_summary
from dwc_pipeline.pipeline import Season
from dwc_pipeline.terms.schema import schemas_folder

ROAD_TABLES = """
[[table]]
name = "runs"
holds = "road_run"
files = ["runs.csv"]
columns = { Route = "place", Run = "run", Date = "eventDate", From = "start_time", To = "end_time", \
  Mi = "distance", N = "observer_count" }
units = { distance = "mi" }
[[table]]
name = "searches"
holds = "search"
files = ["searches.csv"]
columns = { Site = "place", Run = "run", Date = "eventDate", From = "start_time", To = "end_time", \
  Covers = "covers_turned", N = "observer_count", Handling = "handling_minutes" }
units = { handling_minutes = "min" }
[[table]]
name = "finds"
holds = "capture"
files = ["finds.csv"]
columns = { Place = "place", Run = "run", Date = "eventDate", Species = "verbatimIdentification", \
  N = "individualCount", State = "vitality", Kind = "eventType" }
"""


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    folder: Path = tmp_path_factory.mktemp("summary")
    captures = CAPTURES + "A1,2023-05-20,07:40,F3,Aspidoscelis sexlineatus,M,ad,70,,,,,,,6\n"
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": captures}
    head = HEAD + "\n[limits]\nhours_between_checks = 13.5\n"
    return prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, head)


def rates(season: Season, grouping: str) -> pd.DataFrame:
    table = season.records.tables["catch_rate"]
    return table[table["grouping"] == grouping]


class TestCatchRate:
    """Handbook 1.6: 5 captures in 19.5 trap-nights are 25.6410 per 100 (8.3256, 59.8376)."""

    @pytest.mark.parametrize("grouping", ["season", "array", "session"])
    def test_the_worked_session_has_the_printed_rate(self, season: Season, grouping: str) -> None:
        line = rates(season, grouping).iloc[-1]
        assert (line["captures"], line["effort"]) == (5, 19.5)
        assert line["rate"] == pytest.approx(25.6410, abs=1e-4)
        assert (line["lower_95"], line["upper_95"]) == pytest.approx((8.3256, 59.8376), abs=1e-4)
        assert (line["units"], line["units_with_zero_catch"]) == (3, 1)

    def test_a_recapture_is_a_capture_and_not_a_first_capture(self, season: Season) -> None:
        assert rates(season, "season").iloc[0]["first_captures"] == 4

    def test_an_animal_on_a_check_that_the_log_does_not_have_is_left_out_and_told(self, season: Season) -> None:
        line = rates(season, "season").iloc[0]
        assert line["captures_left_out"] == 1
        assert line["units_left_out"] == 1
        assert "unknown" in line["left_out_because"]

    def test_each_trap_type_has_its_own_effort(self, season: Season) -> None:
        """B1 was shut: no night. Seven funnels for two nights. Three pits for two nights, P3 half of the second."""
        effort = rates(season, "trap type").set_index("trap_type")["effort"]
        assert effort.to_dict() == {"box trap": 0.0, "funnel trap": 14.0, "pitfall trap": 5.5}

    def test_no_effort_gives_a_missing_rate_never_zero_or_infinity(self, season: Season) -> None:
        box = rates(season, "trap type").set_index("trap_type").loc["box trap"]
        assert np.isnan([box["rate"], box["upper_95"]]).all()

    def test_a_species_has_a_line_for_every_trap_type_with_zero_catch_where_none_was_caught(
        self, season: Season
    ) -> None:
        lines = rates(season, "species and trap type").set_index(["scientificName", "trap_type"])
        toad = lines.loc[("Spea bombifrons", "funnel trap")]
        assert (toad["captures"], toad["effort"], toad["rate"]) == (0, 14.0, 0.0)
        assert toad["upper_95"] == pytest.approx(3.68888 / 14 * 100, abs=1e-3)

    def test_the_species_add_up_to_the_season(self, season: Season) -> None:
        for column in ("captures", "first_captures", "captures_left_out"):
            assert rates(season, "species")[column].sum() == rates(season, "season")[column].sum()


class TestUnknownEffort:
    """Units with unknown effort leave both the catch and the effort, and are counted (handbook 1.3)."""

    units = pd.DataFrame({"eventID": ["c1", "c2", "c3"], "effort": [10.0, np.nan, 5.0], "known_part": [0, 8.0, 0]})
    animals = pd.DataFrame(
        {
            "eventID": ["c1", "c2", "c3"],
            "count": [3.0, 2.0, np.nan],
            "first": [3.0, 2.0, np.nan],
            "in_scope": ["true"] * 3,
        }
    )

    def test_the_line_tells_what_was_left_out(self) -> None:
        line = rate_lines(Grouping("season", "trap-nights", 100), self.units, self.animals).iloc[0]
        assert (line["captures"], line["effort"], line["rate"]) == (3, 15.0, 20.0)
        assert (line["captures_left_out"], line["rows_counted_in_words"]) == (2, 1)
        assert (line["units_left_out"], line["known_effort_left_out"]) == (1, 8.0)
        assert line["left_out_because"] == "counted in words (1 rows); effort of the check or run is unknown (1 rows)"

    def test_animals_without_any_unit_are_told_too(self) -> None:
        line = rate_lines(Grouping("season", "trap-nights", 100), self.units.iloc[:0], self.animals).iloc[0]
        assert (line["captures"], line["captures_left_out"]) == (0, 5)
        assert np.isnan(line["rate"])


class TestRoadsAndSearches:
    """Handbook 1.4: 6 animals in 31.2 mi and 2.25 h; 9 animals in 3.9 person-hours and 64 covers."""

    @pytest.fixture(scope="class")
    @staticmethod
    def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
        folder: Path = tmp_path_factory.mktemp("roads")
        files = {
            "sites.csv": "Array,Kind,Lat,Lon,Traps,Acc\nR1,road,36.75,-99.63,,4\nS1,site,36.76,-99.64,,4\n",
            "runs.csv": "Route,Run,Date,From,To,Mi,N\nR1,1,2023-05-14,21:40,23:55,31.2,2\n",
            "searches.csv": "Site,Run,Date,From,To,Covers,N,Handling\nS1,1,2023-05-15,09:10,10:40,64,3,12\n",
            "finds.csv": "Place,Run,Date,Species,N,State,Kind\n"
            "R1,1,2023-05-14,Thamnophis radix,4,alive,roadSurvey\n"
            "R1,1,2023-05-14,Thamnophis radix,2,dead,roadSurvey\n"
            "S1,1,2023-05-15,Gastrophryne olivacea,9,alive,coverSearch\n",
        }
        return prepared(folder, files, SITES_TABLE + ROAD_TABLES)

    def test_alive_and_dead_on_the_road_are_counted_apart(self, season: Season) -> None:
        by_km = rates(season, "road, per 100 km").set_index("vitality")
        assert by_km["captures"].to_dict() == {"alive": 4, "dead": 2}
        assert by_km["rate"].sum() == pytest.approx(11.9494, abs=1e-4)
        assert rates(season, "road, per hour")["rate"].sum() == pytest.approx(2.6667, abs=1e-4)

    def test_a_search_is_rated_by_person_hours_and_by_covers(self, season: Season) -> None:
        assert rates(season, "search, per person-hour").iloc[0]["rate"] == pytest.approx(2.3077, abs=1e-4)
        assert rates(season, "search, per 100 covers").iloc[0]["rate"] == pytest.approx(14.0625)

    def test_dead_on_the_road_is_no_death_in_a_trap(self, season: Season) -> None:
        line = season.records.tables["species_account"].set_index("scientificName").loc["Thamnophis radix"]
        assert (line["dead_on_road"], line["died"], line["unknown_fate"]) == (2, 0, 4)


class TestCompleteness:
    """Three checks counted by hand: species A at 1, 2 and 3 (2 + 1 + 1 animals), B at 1 (1), C at 2 (2)."""

    table = np.array([[2, 1, 0], [1, 0, 2], [1, 0, 0]])

    def test_the_frequencies(self) -> None:
        found = estimates(self.table)
        names = ("species_observed", "individuals_n", "f1", "f2", "checks_m", "incidences_U", "Q1", "Q2")
        assert [found[name] for name in names] == [3, 7, 1, 1, 3, 5, 2, 0]

    def test_the_estimators_by_the_formulas_of_the_handbook(self) -> None:
        found = estimates(self.table)
        assert found["chao1_classic"] == pytest.approx(3 + 1 / 2)
        assert found["chao1_bias_corrected"] == pytest.approx(3.0)
        # Q2 = 0: the bias-corrected form, 3 + 2/3 * 2 * 1 / 2.
        assert found["chao2_classic"] == pytest.approx(3 + 2 / 3)
        assert found["jackknife_1"] == pytest.approx(3 + 2 * 2 / 3)
        assert found["jackknife_2"] == pytest.approx(3 + 2 * 3 / 3)
        # C = 1 - 1/7; 1 - 1/7 * 6 / (6 + 2)
        assert found["coverage_of_individuals"] == pytest.approx(1 - 6 / 56)

    def test_empty_checks_are_samples(self) -> None:
        assert estimates(np.vstack([self.table, [0, 0, 0]]))["checks_m"] == 4

    def test_a_season_without_checks_has_no_estimates_and_does_not_fail(self) -> None:
        checks = pd.DataFrame({"eventID": [], "effort": []})
        animals = pd.DataFrame(columns=["eventID", "eventType", "in_scope", "species", "order", "count"])
        completeness, points = completeness_tables(checks, animals, ())
        assert completeness.iloc[0]["species_observed"] == 0
        assert points.empty

    def test_the_curve_ends_at_the_observed_species(self, season: Season) -> None:
        """Checks of known effort: 2, 0 and 3 species. One check: 5/3 on average; all three: 5."""
        points = season.records.tables["accumulation"].set_index("checks")["species_expected"]
        assert points.to_dict() == pytest.approx({1: 5 / 3, 2: 10 / 3, 3: 5.0})

    def test_animals_on_checks_of_unknown_effort_are_told(self, season: Season) -> None:
        line = season.records.tables["completeness"].iloc[0]
        assert line["species_observed"] == 5
        assert line["left_out_because"] == "1 on checks of unknown effort"


class TestSpeciesAccount:
    def animals(self, **columns: list[object]) -> pd.DataFrame:
        length = len(next(iter(columns.values())))
        blank = {
            name: [""] * length
            for name in ("eventType", "status", "place", "date", "scientificName", "in_scope", "fate", "vitality")
        }
        return pd.DataFrame({**blank, "count": [1.0] * length, **columns})

    def test_every_animal_has_one_fate(self) -> None:
        fates = [*ACCOUNT_OF_FATE, "", "tissue taken"]
        line = species_account(self.animals(fate=fates)).iloc[0]
        assert sum(line[column] for column in FATE_COLUMNS) == line["animals"] == len(fates)

    def test_a_fate_that_is_not_told_is_unknown_and_never_released(self) -> None:
        line = species_account(self.animals(fate=["", ""])).iloc[0]
        assert (line["released"], line["unknown_fate"]) == (0, 2)

    def test_a_dead_animal_without_a_fate_has_died(self) -> None:
        assert species_account(self.animals(fate=[""], vitality=["dead"])).iloc[0]["died"] == 1

    def test_every_fate_of_the_word_list_is_in_the_account(self) -> None:
        lines = (schemas_folder() / "vocab" / "fate.csv").read_text(encoding="utf-8").splitlines()
        values = {line.split(",")[1] for line in lines if line and not line.startswith(("#", "verbatim"))}
        single = {part for value in values for part in value.split(" | ") if part}
        assert single - set(ACCOUNT_OF_FATE) == {"tissue taken"}

    def test_animals_are_counted_by_first_and_last_day_and_place(self) -> None:
        line = species_account(
            self.animals(date=["2031-05-03", "2031-05-01", ""], place=["A1", "A2", "A1"], count=[1.0, 3.0, np.nan])
        ).iloc[0]
        assert (line["first_date"], line["last_date"], line["localities"]) == ("2031-05-01", "2031-05-03", 2)
        assert (line["animals"], line["rows_counted_in_words"]) == (4, 1)


class TestWelfare:
    def test_the_longest_interval_stands_beside_the_limit_of_the_survey_file(self, season: Season) -> None:
        line = season.records.tables["welfare"].iloc[0]
        assert line["longest_interval_hours"] == pytest.approx(13.5833, abs=1e-4)
        assert (line["limit_hours"], line["checks_over_the_limit"]) == (13.5, 1)
        assert (line["sessions"], line["sessions_never_closed"]) == (1, 0)

    def test_a_limit_that_is_not_set_is_missing(self, season: Season) -> None:
        line = season.records.tables["welfare"].iloc[0]
        assert np.isnan([line["limit_hours_in_heat"], line["checks_over_the_limit_in_heat"]]).all()

    def test_a_session_that_was_never_closed_is_counted(self, tmp_path: Path) -> None:
        log = "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,07:40,,\n"
        files = {"sites.csv": SITES, "log.csv": log, "captures.csv": "\n".join(CAPTURES.splitlines()[:2])}
        line = prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE).records.tables["welfare"].iloc[0]
        assert (line["sessions"], line["sessions_never_closed"]) == (1, 1)


def test_a_season_without_checks_and_animals_has_tables_without_lines(season: Season) -> None:
    tables = {name: table.iloc[:0] for name, table in season.records.tables.items()}
    runs = pd.DataFrame(columns=["distance_km", "hours", "person_hours", "covers"], dtype="float64")
    sessions = pd.DataFrame({"session": pd.Series(dtype=object), "is_closed": pd.Series(dtype=bool)})
    made = season_summary(tables, runs, runs, sessions, season.survey)
    assert all(made[name].empty for name in ("catch_rate", "accumulation", "species_account", "welfare"))
    assert made["completeness"].iloc[0]["species_observed"] == 0
