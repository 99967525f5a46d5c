"""States of traps that stand only in the remarks of the log. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.normalise.state_in_remarks import told_in
from dwc_pipeline.normalise.trap_label import TrapList
from dwc_pipeline.pipeline import Season

TRAPS = TrapList(("B1", *(f"F{number}" for number in range(1, 9)), "P1", "P2", "P3"))
TABLE = LOG_TABLE.replace('Open = "traps_open"', 'Open = "traps_open", Notes = "eventRemarks"')
HEADER = "Array,Trap,What,Date,Time,State,Open,Notes\n"


@pytest.mark.parametrize(
    ("remark", "labels"),
    [
        ("F1 flooded", ("F1",)),
        ("f-1 was flooded again, bailed it", ("F1",)),
        ("hot. Funnel 3 found sprung; 2 toads", ("F3",)),
        ("P1 & P2 flooded after the storm", ("P2",)),
        ("flooded: P3", ("P3",)),
        ("closed trap F4", ("F4",)),
        ("B1 full of water no captures", ("B1",)),
        ("F8 has been missing since May", ("F8",)),
        ("F2 at A1 knocked over by a cow", ("F2",)),
        ("F5 not set", ("F5",)),
        ("pits flooded", ("P1", "P2", "P3")),
        ("P1 flooded last night", ("P1",)),
        ("F1-F4 closed", ("F1", "F2", "F3", "F4")),
        ("lid put on P2 till dry", ("P2",)),
        ("put the lid on P2", ("P2",)),
        ("P2 reopened", ("P2",)),
        ("re-opened P2, now dry", ("P2",)),
        ("lids on F1 F2", ("F1", "F2")),
        ("F1 F2 flooded", ("F1", "F2")),
        ("flooded F1 F2 ok", ("F1",)),
        ("lids on F1 at 8", ("F1",)),
    ],
)
def test_a_state_beside_a_trap_is_heard(remark: str, labels: tuple[str, ...]) -> None:
    assert told_in(remark, TRAPS)[0].labels == labels


@pytest.mark.parametrize(
    "remark",
    [
        "B1 rebuilt in May",
        "snake seen near F2",
        "F1 not flooded",
        "P1 was flooded last year",
        "F2 closed in May, open since",
        "road flooded, walked in from F2",
        "F3 will be closed tomorrow",
        "lizard in F2 missing two toes",
        "F2: tail broken, F3: escaped",
        "nest buried near F4",
        "cow tracks at F2",
        "F9 flooded",
        "creek flooded",
        "open F1 lid, new bucket in P2",
        "closed canopy at B1 side",
        "F2 fixed and reset",
        "all well",
        "2 damaged scutes, F1",
        "gate closed. F2 ok",
        "lid to be put on P2",
        "will put lid on P2",
        "P2 to be reopened",
        "new lid put on P2",
        "lids off F1 F2",
        "P2 reopened in May",
        "gate reopened. P2 ok",
    ],
)
def test_remarks_that_only_mention_a_trap_or_a_state_stay_quiet(remark: str) -> None:
    assert told_in(remark, TRAPS) == []


def season(folder: Path, *rows: str) -> Season:
    opened = "A1,,opened,2023-05-14,18:30,,,\n"
    closed = "A1,,checked and closed,2023-05-17,07:30,,,\n"
    files = {"sites.csv": SITES, "log.csv": HEADER + opened + "".join(rows) + closed}
    return prepared(folder, files, SITES_TABLE + TABLE)


def messages(season: Season) -> list[str]:
    return list(season.findings.loc[season.findings["rule"] == "trap-state-in-the-remarks", "message"])


def test_the_remark_its_row_and_the_column_for_it_are_named(tmp_path: Path) -> None:
    made = season(tmp_path, "A1,,checked,2023-05-15,07:40,,,windy; F1 flooded\n")
    (message,) = messages(made)
    assert "'F1 flooded' (F1: out of order) stands in the remarks of log.csv row 3" in message
    assert "write it in the column 'State'" in message
    (found,) = made.findings[made.findings["rule"] == "trap-state-in-the-remarks"].to_dict("records")
    assert (found["row"], found["column"], found["value"]) == (3, "H", "windy; F1 flooded")
    assert "trap-state-in-the-remarks" in set(made.questions["rule"])


def test_what_the_effort_knows_already_is_not_asked(tmp_path: Path) -> None:
    rows = [
        "A1,,checked,2023-05-15,07:40,F1 flooded,,F1 flooded to the brim\n",
        "A1,F2,closed,2023-05-15,07:45,,,F2 closed for repair\n",
        "A1,,checked,2023-05-16,07:40,,,F2 still closed\n",
    ]
    assert messages(season(tmp_path, *rows)) == []


def test_a_trap_opened_again_and_then_closed_in_a_remark_is_asked(tmp_path: Path) -> None:
    rows = [
        "A1,F2,closed,2023-05-15,07:45,,,\n",
        "A1,F2,opened,2023-05-15,17:45,,,\n",
        "A1,,checked,2023-05-16,07:40,F1 flooded,,F2 closed\n",
    ]
    assert len(messages(season(tmp_path, *rows))) == 1


def test_a_lid_put_on_and_a_trap_opened_again_are_asked_though_the_row_tells_of_a_flood(tmp_path: Path) -> None:
    rows = [
        "A1,,checked,2023-05-15,07:40,P2 flooded,,lid put on P2 till dry\n",
        "A1,,checked,2023-05-16,07:40,,,P2 reopened\n",
    ]
    lid, opened = messages(season(tmp_path, *rows))
    assert "(P2: closed from then on)" in lid
    assert "on the rows of the checks that follow" in lid
    assert "(P2: closed until then)" in opened


def test_a_lid_whose_next_row_says_closed_and_a_trap_whose_opening_is_a_row_are_known(tmp_path: Path) -> None:
    rows = [
        "A1,,checked,2023-05-15,07:40,,,lid put on P2 till dry\n",
        "A1,,checked,2023-05-16,07:40,P2 closed,,P2 reopened\n",
        "A1,F2,closed,2023-05-15,07:45,,,put lid on F2\n",
        "A1,F2,opened,2023-05-16,07:45,,,F2 reopened\n",
    ]
    assert messages(season(tmp_path, *rows)) == []
