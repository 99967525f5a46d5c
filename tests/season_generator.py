"""Makes seasons with a known truth, one for each seed, for tests of the whole way from sheets to tables.

    truth = make_season(tmp_path, seed=7, mess=0.0)    # a clean season
    truth = make_season(tmp_path, seed=7, mess=1.0)    # the same season with every kind of fault that fits it

Arrays, traps, species, dates, headers, date order, units, file form, log form and time zone follow the seed.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

from season_faults import Planting, plant_faults
from season_sheets import capture_sheet, log_sheet, site_sheet, write_checklist, write_sheet, write_survey_file
from season_truth import Truth, add_up_sessions, draw_events, draw_occurrences, draw_style


def make_season(folder: Path, seed: int, mess: float) -> Truth:
    """Write raw files, checklist.csv and survey.toml below `folder`; return what truly happened.

    mess: probability that each kind of fault is planted, 0 to 1; 0 gives a clean season. The truth (style, events,
    sessions, occurrences) does not depend on it.
    """
    random = Random(seed)
    style = draw_style(random)
    events = draw_events(style, random)
    sessions = add_up_sessions(events)
    occurrences = draw_occurrences(style, events, random)
    captures, log = capture_sheet(style, occurrences, random), log_sheet(style, events, sessions, random)
    sites = site_sheet(style)
    animals = dict(zip(map(id, captures.rows), occurrences, strict=True))
    planting = Planting(style, captures, log, sites, occurrences, random)
    plant_faults(planting, events, mess, random)
    for number, row in enumerate(captures.rows):
        if id(row) in animals:
            animals[id(row)].row = captures.titles + 2 + number
    folder.mkdir(parents=True, exist_ok=True)
    for sheet in (sites, log, captures):
        write_sheet(folder, sheet)
    write_checklist(folder)
    survey_file = write_survey_file(folder, style, [sites, log, captures])
    return Truth(survey_file, style, events, sessions, occurrences, planting.faults())
