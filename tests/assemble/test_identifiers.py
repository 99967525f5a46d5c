"""Identifiers stay with their animal through re-sorting, corrections, insertions and deletions of rows.

A season is a table with one row an animal and a hidden column that says which animal it is; identifiers are given
again after some edits, with the register of the run before.
"""

from __future__ import annotations

import random

import pandas as pd

from dwc_pipeline.assemble.identifiers import assign_identifiers, digests, is_near, tells_enough
from dwc_pipeline.assemble.occurrences import FEATURES, animal_stem
from dwc_pipeline.assemble.organisms import organisms
from dwc_pipeline.assemble.same_thing import same_animal, same_visit

SPECIES = ("Spea bombifrons", "Sceloporus consobrinus", "Thamnophis radix", "Gastrophryne olivacea")
TRAPS = ("F1", "F2", "P1", "B1")
EDITS = 1000
#: edits between two runs, each in another trap or check: one trap holds one edit a run.
EDITS_A_RUN = 20


def new_animal(dice: random.Random, number: int) -> dict[str, str]:
    """A made-up capture; four in ten are unmeasured, so that only species, sex and trap tell of them."""
    row = dict.fromkeys(FEATURES, "")
    row |= {
        "animal": str(number),
        "place": dice.choice(["A1", "A2", "A3"]),
        "day": f"202305{dice.randint(1, 12):02d}",
        "trap": dice.choice(TRAPS),
        "scientificName": dice.choice(SPECIES),
        "sex": dice.choice(["male", "female", ""]),
        "lifeStage": dice.choice(["adult", "juvenile", ""]),
        "individualCount": "1",
    }
    row["verbatimIdentification"] = row["scientificName"].split()[1]
    if dice.random() < 0.6:
        row["snout_vent_length"] = str(dice.randint(300, 900) / 10)
        row["body_mass"] = str(dice.randint(10, 900) / 10)
    if dice.random() < 0.2:
        row["mark"] = f"{dice.randint(1, 400)}"
    return row


def correct(dice: random.Random, row: dict[str, str]) -> None:
    """Correct one fact of a row, as a person does."""
    given = [name for name in ("snout_vent_length", "body_mass", "mark") if row[name]]
    what = dice.choice(["species", "sex", "lifeStage", "verbatim", *given])
    if what == "species":
        row["scientificName"] = dice.choice(SPECIES)
        row["verbatimIdentification"] = row["scientificName"].split()[1]
    elif what == "verbatim":
        row["verbatimIdentification"] = row["scientificName"]
    elif what == "sex":
        row["sex"] = dice.choice(["male", "female", ""])
    elif what == "lifeStage":
        row["lifeStage"] = dice.choice(["adult", "juvenile", ""])
    else:
        row[what] = str(round(float(row[what]) + dice.choice([-1, 1, 10]), 1)).removesuffix(".0")


class EditedSeason:
    """A season that is edited at random. times: the minute of each check. rows: the captures, any order."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.times = {
            (place, day): self.dice.randint(400, 500)
            for place in ("A1", "A2", "A3")
            for day in (f"202305{n:02d}" for n in range(1, 13))
        }
        self.count = 0
        self.rows: list[dict[str, str]] = []
        self.touched: set[tuple[str, ...]] = set()
        self.event_register = self.register = pd.DataFrame()
        self.event_of: dict[str, str] = {}
        for _ in range(100):
            self.insert(set())

    def insert(self, touched: set[tuple[str, ...]]) -> None:
        self.count += 1
        row = new_animal(self.dice, self.count)
        while trap_of(row) in touched:
            row = new_animal(self.dice, self.count)
        touched.add(trap_of(row))
        self.rows.insert(self.dice.randint(0, len(self.rows)), row)

    def edit(self, touched: set[tuple[str, ...]]) -> str:
        """One edit, in a trap and check that is not yet among those touched."""
        what = self.dice.choice(["sort", "correct", "correct", "correct", "insert", "delete", "time", "copy", "trap"])
        row = self.dice.choice([one for one in self.rows if trap_of(one) not in touched])
        if what == "sort":
            self.dice.shuffle(self.rows)
        elif what == "insert":
            self.insert(touched)
        elif what == "time":
            self.times[self.dice.choice(list(self.times))] += self.dice.choice([-30, -1, 5, 60])
            self.event_of = {}
        else:
            touched.add(trap_of(row))
        if what == "correct":
            correct(self.dice, row)
        elif what == "delete":
            self.rows = [one for one in self.rows if one is not row]
        elif what == "trap":
            free = [one for one in TRAPS if (row["place"], row["day"], one) not in touched]
            row["trap"] = self.dice.choice(free or [row["trap"]])
            touched.add(trap_of(row))
        elif what == "copy":
            self.count += 1
            self.rows.append({**row, "animal": str(self.count)})
        return what

    def identified(self) -> pd.DataFrame:
        """The rows with identifiers; the registers are carried on."""
        if not self.event_of:
            self.identify_checks()
        frame = pd.DataFrame(self.rows)
        event = ("PT-2023-" + frame["place"] + "-c" + frame["day"]).map(self.event_of)
        stem = animal_stem(event, frame["trap"])
        given = assign_identifiers("occurrence", stem, frame[list(FEATURES)], self.register, same_animal)
        self.register = given.register
        told_weakly = frame.index.isin(given.kept_on_little.index)
        return frame.assign(event=event, identifier=given.identifiers, is_doubtful=told_weakly)

    def identify_checks(self) -> None:
        days = pd.DataFrame(list(self.times), columns=["place", "day"])
        clock = pd.Series([f"T{minute // 60:02d}:{minute % 60:02d}" for minute in self.times.values()])
        stem = ("PT-2023-" + days["place"] + "-c" + days["day"]).astype(object)
        told = pd.DataFrame({"time": days["day"].str.slice(0, 4) + "-05-" + days["day"].str.slice(6) + clock})
        given = assign_identifiers("event", stem, told, self.event_register, same_visit)
        self.event_register = given.register
        self.event_of = dict(zip(stem, given.identifiers, strict=True))
        assert set(given.identifiers) == set(stem + "-1")


def trap_of(row: dict[str, str]) -> tuple[str, ...]:
    """The trap and the check of a row."""
    return (row["place"], row["day"], row["trap"])


def words_of(frame: pd.DataFrame) -> pd.Series:
    """What a row says of its animal, without the hidden truth.

    Check and trap belong to it unless the row is measured: two rows with the same measures are copies of one.
    """
    measured = (frame["snout_vent_length"] != "") & (frame["body_mass"] != "")
    where = (frame["event"] + frame["trap"]).where(~measured, "")
    said = frame[list(FEATURES)].assign(where=where)
    return pd.Series(["\x1f".join(row) for row in said.itertuples(index=False, name=None)], index=frame.index)


class Remembered:
    """Who had each identifier last, and what the row said then; over all runs, not only the last."""

    def __init__(self) -> None:
        self.owner: dict[str, str] = {}
        self.words: dict[str, str] = {}

    def moved(self, after: pd.DataFrame) -> list[str]:
        """Identifiers that went to another animal, unless nobody could tell the two apart; remembers the rows."""
        said = words_of(after)
        last_words = {animal: self.words[identifier] for identifier, animal in self.owner.items()}
        now = dict(zip(after["animal"], said, strict=True))
        wrong = []
        for identifier, animal, words in zip(after["identifier"], after["animal"], said, strict=True):
            had = self.owner.get(identifier, animal)
            twins = {words, last_words.get(animal, "")}
            if had != animal and self.words[identifier] not in twins and now.get(had) != words:
                wrong.append(identifier)
        self.owner |= dict(zip(after["identifier"], after["animal"], strict=True))
        self.words |= dict(zip(after["identifier"], said, strict=True))
        return wrong


def test_a_thousand_edits_never_move_an_identifier_to_another_animal():
    season, remembered = EditedSeason(1), Remembered()
    before = season.identified()
    remembered.moved(before)
    for number in range(EDITS // EDITS_A_RUN):
        touched: set[tuple[str, ...]] = set()
        edits = [season.edit(touched) for _ in range(EDITS_A_RUN)]
        after = season.identified()
        assert after["identifier"].is_unique
        assert not remembered.moved(after), (number, edits)
        new, old = set(after["identifier"]), set(before["identifier"])
        added = edits.count("insert") + edits.count("copy")
        gone = edits.count("delete")
        elsewhere = edits.count("trap")
        assert gone <= len(old - new) <= gone + elsewhere, (number, edits)
        assert added <= len(new - old) <= added + elsewhere, (number, edits)
        before = after


def test_many_edits_of_few_traps_between_two_runs_move_no_identifier_without_a_note():
    season, remembered = EditedSeason(3), Remembered()
    remembered.moved(season.identified())
    for _ in range(25):
        for _ in range(30):
            season.edit(set())
        after = season.identified()
        doubtful = set(after.loc[after["is_doubtful"], "identifier"])
        assert set(remembered.moved(after)) <= doubtful


def test_sorting_the_rows_changes_nothing_even_without_a_register():
    season = EditedSeason(4)
    first = season.identified().set_index("animal")
    by_words = dict(zip(words_of(first), first["identifier"], strict=True))
    season.register = pd.DataFrame()
    season.dice.shuffle(season.rows)
    second = season.identified()
    unlike = ~words_of(second).duplicated(keep=False)
    assert (words_of(second)[unlike].map(by_words) == second["identifier"][unlike]).all()
    assert set(second["identifier"]) == set(first["identifier"])


def given(
    rows: list[dict[str, str]],
    register: pd.DataFrame,
    stem: str = "PT-2023-A1-c20230505-1-F1",
    typed: list[dict[str, str]] | None = None,
):
    features = pd.DataFrame([{**dict.fromkeys(FEATURES, ""), **row} for row in rows])
    stems = pd.Series(stem, index=features.index, dtype=object)
    cells = None if typed is None else digests(pd.DataFrame(typed))
    return assign_identifiers("occurrence", stems, features, register, same_animal, cells)


TOAD = {"scientificName": "Spea bombifrons", "individualCount": "1"}
LIZARD = {"scientificName": "Sceloporus consobrinus", "snout_vent_length": "62", "body_mass": "8.5"}


def test_a_retired_number_is_not_reused():
    first = given([TOAD, LIZARD], pd.DataFrame())
    without = given([TOAD], first.register)
    again = given([TOAD, {**LIZARD, "snout_vent_length": "48", "body_mass": "3.1"}], without.register)
    assert first.identifiers.tolist() == ["PT-2023-A1-c20230505-1-F1-2", "PT-2023-A1-c20230505-1-F1-1"]
    assert again.identifiers.tolist() == ["PT-2023-A1-c20230505-1-F1-2", "PT-2023-A1-c20230505-1-F1-3"]


def test_a_row_that_was_lost_for_one_run_gets_its_number_back():
    first = given([TOAD, LIZARD], pd.DataFrame())
    without = given([TOAD], first.register)
    assert without.register["retired"].tolist() == ["yes", ""]
    back = given([LIZARD, TOAD], without.register)
    assert back.identifiers.tolist() == first.identifiers.tolist()[::-1]
    assert back.register["retired"].tolist() == ["", ""]


def test_another_animal_of_the_same_species_and_sex_gets_its_own_number():
    male = {**LIZARD, "sex": "male", "lifeStage": "adult"}
    first = given([male], pd.DataFrame())
    replaced = given([{**male, "snout_vent_length": "70", "body_mass": "12.1"}], first.register)
    assert replaced.identifiers[0] != first.identifiers[0]


def test_a_corrected_species_of_an_unmeasured_animal_keeps_its_number_and_is_told():
    first = given([TOAD, LIZARD], pd.DataFrame())
    second = given([LIZARD, {**TOAD, "scientificName": "Gastrophryne olivacea"}], first.register)
    assert second.identifiers.tolist() == first.identifiers.tolist()[::-1]
    assert "Spea bombifrons" in second.kept_on_little[1]


def test_a_row_whose_cells_are_as_before_keeps_its_number_under_another_checklist_and_nothing_is_told():
    typed = [{"species": "PLSP", "count": "1"}, {"species": "GAOL", "count": "1"}]
    first = given([TOAD, {**TOAD, "scientificName": "Gastrophryne olivacea"}], pd.DataFrame(), typed=typed)
    renamed = [{**TOAD, "scientificName": "Spea multiplicata"}, {**TOAD, "scientificName": ""}]
    second = given(renamed, first.register, typed=typed)
    assert second.identifiers.tolist() == first.identifiers.tolist()
    assert second.kept_on_little.empty


def test_a_register_without_digests_of_cells_is_continued():
    first = given([TOAD, LIZARD], pd.DataFrame())
    old = first.register.drop(columns="cells")
    second = given([LIZARD, TOAD], old, typed=[{"species": "a"}, {"species": "b"}])
    assert second.identifiers.tolist() == first.identifiers.tolist()[::-1]
    assert second.register["cells"].ne("").all()


def test_renumbered_rows_keep_the_numbers_of_their_animals():
    animals = [
        {**LIZARD, "snout_vent_length": str(50 + n), "body_mass": str(5 + n), "recordNumber": str(n)}
        for n in range(1, 5)
    ]
    first = given(animals, pd.DataFrame())
    renumbered = [{**one, "recordNumber": str(n)} for n, one in enumerate(animals[1:], 1)]
    assert given(renumbered, first.register).identifiers.tolist() == first.identifiers.tolist()[1:]


def test_two_corrections_that_fit_one_line_equally_leave_both_rows_new():
    first = given([LIZARD], pd.DataFrame())
    both = given([{**LIZARD, "body_mass": "9"}, {**LIZARD, "body_mass": "7"}], first.register)
    assert first.identifiers[0] not in both.identifiers.tolist()


def test_a_measured_animal_is_known_again_in_another_trap_but_an_unmeasured_one_is_not():
    first = given([TOAD, LIZARD], pd.DataFrame())
    elsewhere = given([TOAD, LIZARD], first.register, "PT-2023-A1-c20230505-1-F2")
    assert elsewhere.identifiers.tolist() == ["PT-2023-A1-c20230505-1-F2-1", first.identifiers[1]]
    corrected = {**LIZARD, "body_mass": "8.6"}
    later = given([TOAD, corrected], elsewhere.register, "PT-2023-A1-c20230505-1-F2")
    assert later.identifiers.tolist() == elsewhere.identifiers.tolist()


def test_an_animal_is_not_known_again_where_place_and_day_both_differ():
    assert is_near("PT-A1-c20230505-1-F1", "PT-A1-c20230506-1-F1")
    assert not is_near("PT-A1-c20230505-1-F1", "PT-A2-c20230506-1-F1")
    assert not tells_enough('{"mark": "12", "scientificName": "Thamnophis radix", "sex": "male"}')


def visits(times: list[str], register: pd.DataFrame):
    stem = pd.Series("PT-2023-A1-c20230505", index=range(len(times)), dtype=object)
    return assign_identifiers("event", stem, pd.DataFrame({"time": times}), register, same_visit)


def test_a_check_whose_time_was_corrected_keeps_its_number():
    first = visits(["2023-05-05T07:10", "2023-05-05T19:00"], pd.DataFrame())
    second = visits(["2023-05-05T19:05", "2023-05-05T07:40"], first.register)
    assert second.identifiers.tolist() == first.identifiers.tolist()[::-1]


def test_a_check_added_beside_one_whose_time_was_corrected_gets_a_new_number():
    first = visits(["2023-05-05T07:10"], pd.DataFrame())
    second = visits(["2023-05-05T19:00", "2023-05-05T07:25"], first.register)
    assert second.identifiers.tolist() == ["PT-2023-A1-c20230505-2", "PT-2023-A1-c20230505-1"]


class TestMarkedAnimals:
    """organismID: species and mark, and the captures where both were corrected."""

    def make(self, marks: list[str], register: pd.DataFrame, species: str = "Thamnophis radix", first: int = 1):
        rows = pd.DataFrame(
            {"occurrenceID": [f"c{n}" for n in range(first, first + len(marks))], "scientificName": species}
        )
        return organisms(rows, pd.Series(marks, dtype=object), "PT", register)

    def test_captures_of_one_mark_are_one_animal(self):
        found, _ = self.make(["12", "", "12", "13"], pd.DataFrame())
        assert found.tolist() == ["PT-animal-Thamnophis-radix-1", "", "PT-animal-Thamnophis-radix-1",
                                  "PT-animal-Thamnophis-radix-2"]  # fmt: skip

    def test_a_mark_corrected_in_all_captures_keeps_the_animal(self):
        first, given_out = self.make(["12", "12", "13"], pd.DataFrame())
        second, _ = self.make(["21", "21", "13"], given_out.register)
        assert second.tolist() == first.tolist()

    def test_a_species_corrected_in_all_captures_keeps_the_animal(self):
        first, given_out = self.make(["12", "12"], pd.DataFrame())
        second, later = self.make(["12", "12"], given_out.register, "Sceloporus consobrinus")
        third, _ = self.make(["12", "12"], later.register, "Sceloporus consobrinus")
        assert first.tolist() == second.tolist() == third.tolist()

    def test_another_mark_in_another_capture_is_another_animal(self):
        _, given_out = self.make(["12"], pd.DataFrame())
        second, _ = self.make(["77"], given_out.register, first=9)
        assert second.tolist() == ["PT-animal-Thamnophis-radix-2"]
