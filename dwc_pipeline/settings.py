"""The survey file: read once, whole, into frozen typed settings.

The descriptions below are also the comments that editors show (schemas/survey.schema.json) and the page
docs/survey_file.md; both are generated from here.
"""

from __future__ import annotations

import datetime as dt
import difflib
import re
import tomllib
import zoneinfo
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from dwc_pipeline.errors import BadSurveyFile
from dwc_pipeline.sharing_settings import Protect, Share
from dwc_pipeline.terms.licence import known_licences, licence, nearest
from dwc_pipeline.terms.sheet import sheet_fields

Text = Annotated[str, Field(strict=True)]
EventType = Literal["trapCheck", "roadSurvey", "coverSearch", "incidental"]
SheetKind = Literal["capture", "trap_log", "place", "road_run", "search"]
CELL_ADDRESS = re.compile(r"[A-Z]{1,3}[1-9][0-9]*")


class Settings(BaseModel):
    """Common to every part of the survey file: unknown names are mistakes, nothing changes after reading."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Survey(Settings):
    """What the survey is, when and where."""

    code: Text = Field(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$",
        description="Short code that starts every identifier; never change it once data were shared.",
    )
    title: Text = Field(min_length=1, description="Title of the data set.")
    season: Text = Field(pattern=r"^[A-Za-z0-9_-]+$", description='Name of the season, such as "2031".')
    starts: dt.date = Field(description="First day of the season: nothing in the sheets can be earlier.")
    ends: dt.date = Field(description="Last day of the season: nothing in the sheets can be later.")
    project_starts: dt.date | None = Field(None, description="First day of the whole project, if it is older.")
    time_zone: Text = Field(description='Time zone of the clock on the sheets, such as "America/Chicago".')
    country: Text = Field("", description="Country, in words.")
    country_code: Text = Field("", pattern=r"^([A-Z]{2})?$", description="Two letters of ISO 3166-1.")
    state: Text = Field("", description="State or province.")
    county: Text = Field("", description="County, if the whole survey lies in one.")
    institution_code: Text = Field("", description="institutionCode of whoever holds the records.")

    @field_validator("time_zone")
    @classmethod
    def zone_exists(cls, value: str) -> str:
        """The zone must be one of the IANA list."""
        if value not in zoneinfo.available_timezones():
            raise ValueError('is not a time zone of the IANA list. Write it like "America/Chicago"')
        return value

    @model_validator(mode="after")
    def season_runs_forward(self) -> Survey:
        """The season must not end before it starts."""
        if self.ends < self.starts:
            raise ValueError("ends before it starts: exchange `starts` and `ends`")
        return self


class Files(Settings):
    """Files beside the survey file; paths are relative to it."""

    checklist: Text = Field(
        "", description="Names as a Darwin Core Taxon table: a CSV, or an archive with a Taxon core."
    )
    answers: Text = Field("answers.csv", description="Where a person's answers to open questions are kept.")
    identifiers: Text = Field("identifiers.csv", description="Which identifier was given to which animal and check.")
    earlier_archive: Text = Field(
        "",
        description="An earlier archive of this survey (zip or folder), from which a lost file of identifiers is "
        "made again. It is only opened while that file does not exist.",
    )
    boundary: Text = Field("", description="Outline of the property: GeoJSON or KML, longitude and latitude.")
    grids: Text = Field("", description="Folder with datum shift grids, if you have better ones.")


class Reading(Settings):
    """How to read what the sheets leave open. Leave a setting out to have it asked instead."""

    date_order: Literal["by evidence", "month-first", "day-first"] = Field(
        "by evidence",
        description="Order of day and month in dates such as 5/6/2031 where the sheets give no evidence.",
    )
    datum: Text = Field("", description="Datum of positions where neither cell, column nor site list says one.")
    utm_zone: int | None = Field(None, ge=1, le=60, description="UTM zone where neither cell nor site list says one.")
    state_plane: Text = Field("", pattern=r"^(EPSG:\d+)?$", description='State Plane system, such as "EPSG:2267".')
    unsigned_means_north_west: bool = Field(
        False, description="True if latitudes without sign are north and longitudes without sign are west."
    )
    assume_gps_uncertainty: bool = Field(
        False, description="True to allow 30 m for a GPS position whose accuracy was not written down."
    )
    decimal_comma: bool = Field(False, description="True if numbers are written 12,5.")


class Protocol(Settings):
    """What was done, and how effort is counted."""

    name: Text = Field(
        "drift fence array with box, funnel and pitfall traps", description="samplingProtocol of a trap check."
    )
    road_name: Text = Field("road survey by car at night", description="samplingProtocol of a road run.")
    search_name: Text = Field("timed search of cover objects", description="samplingProtocol of a cover search.")
    trap_night: Literal["midnights", "hours/24", "night share"] = Field(
        "midnights",
        description="What a trap-night is: local midnights between opening and check; elapsed hours / 24; or the "
        "share of the night (sunset to sunrise) that the trap was open. Trap-hours are always given beside it.",
    )
    out_of_order: Literal["half interval", "none"] = Field(
        "half interval",
        description="Effort of a trap found flooded, sprung or knocked over at an unknown time: half the interval, "
        "or none of it.",
    )
    checked_daily: bool = Field(True, description="True if every open array is to be checked at least once a day.")
    default_check_time: Text = Field(
        "",
        pattern=r"^([01]\d:[0-5]\d)?$",
        description='Time of a morning check where the sheet gives none, such as "07:30"; left out, it is asked.',
    )
    target_taxa: tuple[Text, ...] = Field(
        (), description="Taxa that the survey set out to record, decided before the season (targetTaxonomicScope)."
    )
    scope_fully_reported: bool | None = Field(
        None, description="True only if every animal of the target taxa that was seen was written down."
    )
    by_catch_recorded: bool = Field(True, description="True if animals outside the target taxa are written down too.")
    by_catch_fully_reported: bool = Field(False, description="True only if every such animal was written down.")


class Limits(Settings):
    """Your permit and your animal-care protocol set these; the checks compare your log with them. All optional."""

    hours_between_checks: float | None = Field(
        None, gt=0, description="Longest time between checks of an open trap, in hours."
    )
    heat_celsius: float | None = Field(
        None, description="Air temperature from which the heat limit applies, in degrees C."
    )
    hours_between_checks_in_heat: float | None = Field(None, gt=0, description="Longest time between checks in heat.")
    animals_per_trap_check: int | None = Field(
        None, ge=1, description="Animals in one trap at one check above which you ask."
    )
    deaths_per_check: int | None = Field(None, ge=0, description="Deaths at one check above which you ask.")
    metres_moved_in_a_day: float = Field(
        1000.0, gt=0, description="Farthest that an animal is believed to move in a day, in metres."
    )
    earliest_check: Text = Field(
        "", pattern=r"^([01]\d:[0-5]\d|2[0-3]:[0-5]\d)?$", description="Earliest time a check can have."
    )
    latest_check: Text = Field(
        "", pattern=r"^([01]\d:[0-5]\d|2[0-3]:[0-5]\d)?$", description="Latest time a check can have."
    )
    longest_run_hours: float = Field(12.0, gt=0, description="Longest road run or search that is believed, in hours.")


class Person(Settings):
    """Somebody who recorded, identified or is responsible. Phone numbers never go into shared files."""

    name: Text = Field(min_length=1, description="Name as it shall appear.")
    initials: tuple[Text, ...] = Field((), description="How the sheets write this person.")
    roles: tuple[
        Literal["creator", "contact", "metadataProvider", "principalInvestigator", "observer", "contributor"], ...
    ] = Field(("observer",), description="creator and contact are needed once each for an archive.")
    orcid: Text = Field("", pattern=r"^(\d{4}-\d{4}-\d{4}-\d{3}[\dX])?$", description="ORCID iD, digits and hyphens.")
    email: Text = Field("", description="Only for a creator or contact who wants it published.")
    organisation: Text = Field("", description="Organisation, in words.")

    @field_validator("orcid")
    @classmethod
    def orcid_adds_up(cls, value: str) -> str:
        """The last sign is a check digit (ISO/IEC 7064, MOD 11-2)."""
        if value:
            total = 0
            for digit in value.replace("-", "")[:-1]:
                total = (total + int(digit)) * 2
            if "0123456789X"[(12 - total % 11) % 11] != value[-1]:
                raise ValueError("is no ORCID iD: its check digit does not fit. Copy it again")
        return value


class Dataset(Settings):
    """What an archive tells its readers about the data set."""

    abstract: Text = Field("", description="One paragraph about the data.")
    purpose: Text = Field("", description="Why the data were collected.")
    methods: tuple[Text, ...] = Field((), description="Steps of the method, one text each.")
    study_extent: Text = Field("", description="What area and time the sampling covers, in words.")
    quality_control: Text = Field("", description="How the data were checked, in words.")
    keywords: tuple[Text, ...] = Field((), description="Keywords.")
    license: Text = Field("", description='Licence of the data, by its SPDX identifier, such as "CC-BY-4.0".')
    rights_holder: Text = Field("", description="rightsHolder.")
    language: Text = Field("en", description="Language of the texts, ISO 639-1.")
    version: Text = Field("1.0", description="Version of the data set.")
    published: dt.date | None = Field(None, description="Publication date; left out of the metadata if not given.")
    previous_release: Text = Field(
        "",
        description="The release before this one: an output folder, archive or data package. What changed since then "
        "is written into the description.",
    )
    doi: Text = Field(
        "", pattern=r"^(10\.\d{4,9}/\S+)?$", description='DOI of the data set, "10.…/…", if it has one.'
    )
    publisher: Text = Field("", description="Who publishes the data set.")
    maintenance: Text = Field("", description="How the data set will be kept up.")
    update_frequency: Literal[
        "", "annually", "asNeeded", "biannually", "continually", "daily", "irregular", "monthly", "notPlanned",
        "weekly", "unknown", "otherMaintenancePeriod",
    ] = Field("", description="How often the data set is updated, in a word of EML.")  # fmt: skip
    citation: Text = Field("", description="How to cite the data set; made of people, title and version if left out.")

    @field_validator("license")
    @classmethod
    def licence_is_known(cls, value: str) -> str:
        """The identifier must be one of the list."""
        if value and licence(value) is None:
            meant = nearest(value)
            hint = f'. Perhaps "{meant}" is meant' if meant else f". Known are: {', '.join(known_licences())}"
            raise ValueError(f"is not the SPDX identifier of a licence for data{hint}")
        return value


class Output(Settings):
    """Words and forms that the readers of the output expect."""

    detection_words: Literal["present and absent", "detected and notDetected"] = Field(
        "present and absent",
        description="Words of occurrenceStatus. Darwin Core recommends detected and notDetected since 2026-05-26; "
        "several registries still read only present and absent.",
    )


class Habits(Settings):
    """What this sheet means by its signs. Leave a habit out to have it asked where it matters."""

    date_names: Literal["", "morning", "evening"] = Field(
        "", description="Whether the date of an overnight check is that of the morning or of the evening before."
    )
    dash: Literal["", "blank", "closed", "not applicable", "no animals"] = Field("", description="What a dash means.")
    zero: Literal["", "no animals", "blank"] = Field("", description="What a 0 means.")
    blank: Literal["", "not recorded", "no animals", "not checked"] = Field(
        "", description="What a blank cell means."
    )
    not_available: Literal["", "missing", "no animals", "code"] = Field("", description="What NA means.")
    closed_day: Literal["", "after the morning check", "whole day"] = Field(
        "",
        description="Whether an array closed on a day without a time was still checked in the morning of that day, "
        "or stood closed all that day.",
    )
    mass_is: Literal["", "with the bag", "without the bag"] = Field(
        "",
        description="Where a row gives the mass of the bag too: whether the mass beside it was read with the bag, "
        "which is then taken off, or is that of the animal alone.",
    )
    row_is: Literal["an animal", "a count"] = Field(
        "an animal", description="What a row stands for if no count is given."
    )


class Table(Settings):
    """One kind of table in one or more sheets."""

    name: Text = Field(min_length=1, description="Name for messages.")
    holds: SheetKind = Field(description="What a row is.")
    files: tuple[Text, ...] = Field(min_length=1, description='Files or patterns, such as "raw/*.xlsx".')
    sheets: tuple[Text, ...] = Field(("*",), description="Sheets by name or pattern; all where left out.")
    skip_sheets: tuple[Text, ...] = Field((), description="Sheets to leave out, by name or pattern.")
    layout: Literal["rows", "grid", "species columns"] = Field(
        "rows",
        description="rows: one record a row. grid: one line a date, one column a trap or array, codes in the cells. "
        "species columns: one column a species, counts in the cells.",
    )
    header_rows: tuple[int, ...] = Field(
        (), description="Sheet rows that hold the header; found by evidence if left out."
    )
    has_header: bool = Field(
        True, description='False if no row names the columns: name them by letter, as "column A" = "eventDate".'
    )
    first_row: int | None = Field(None, ge=1, description="First sheet row of the table's part of the sheet.")
    last_row: int | None = Field(None, ge=1, description="Last sheet row of the table's part of the sheet.")
    use_columns: Text = Field(
        "", pattern=r"^([A-Z]{1,3}:[A-Z]{1,3})?$", description='Columns that belong to it, "A:H".'
    )
    table_number: int = Field(0, ge=0, description="Which of several tables on the sheet; 0 takes all of them.")
    encoding: Text = Field("", description="Encoding of a text file, where the evidence is not enough.")
    columns: dict[Text, Text] = Field(
        default_factory=dict,
        description='Header as typed (or "column C") = field that it feeds, or "" to leave the column aside.',
    )
    facts: dict[Text, Text] = Field(
        default_factory=dict,
        description='Cell above the table ("B2") or "sheet name" or "file name" = field that it feeds in every row.',
    )
    fact_patterns: dict[Text, Text] = Field(
        default_factory=dict,
        description='For a fact: the part of its text to use, as a regular expression with one group, "Array (.+)".',
    )
    constants: dict[Text, Text] = Field(default_factory=dict, description="Field = value in every row.")
    fill_down: tuple[Text, ...] = Field((), description="Fields whose blank cells repeat the value above.")
    units: dict[Text, Text] = Field(
        default_factory=dict, description='Measured field = unit of its bare numbers, "mm".'
    )
    words: dict[Text, dict[Text, Text]] = Field(
        default_factory=dict, description="Field = words of this sheet and what they mean."
    )
    colours: dict[Text, Text] = Field(
        default_factory=dict, description='Fill colour "FFFF00" = what it means, kept as a remark.'
    )
    struck_rows: Literal["", "keep", "set aside"] = Field(
        "", description="What a struck-through row means; asked if left out."
    )
    rows_are: Literal["visits", "nights"] = Field(
        "visits",
        description="For a trap log: nights if each row is one night of an array or trap line, from the evening to "
        "the morning; habits.date_names says which of the two its date names.",
    )
    effort: Literal["computed", "as typed"] = Field(
        "computed",
        description="For a trap log: as typed if the column trap_nights_typed is all that is known of the effort of "
        "its rows. It is then recorded as typed.",
    )
    grid_columns: Literal["", "trap", "place"] = Field(
        "", description="For a grid: whether its columns are traps or places."
    )
    datum: Text = Field("", description="Datum of the positions in this table.")
    utm_zone: int | None = Field(None, ge=1, le=60, description="UTM zone of the positions in this table.")
    date_order: Literal["by evidence", "month-first", "day-first"] = Field(
        "by evidence", description="Order of day and month in this table, where its own dates give no evidence."
    )
    unmapped_columns: Literal["remarks", "side table"] = Field(
        "side table", description="Where the cells of columns that feed no field are kept."
    )
    habits: Habits = Field(Habits(), description="What this sheet means by its signs.")

    @model_validator(mode="after")
    def fields_exist(self) -> Table:
        """Every field named must be one that such a row can have."""
        known = set(sheet_fields(self.holds))
        if self.layout != "rows" or "captures" in self.columns.values():
            # One row of these sheets is a visit and holds captures: fields of both may stand on it.
            known |= set(sheet_fields("capture"))
            known |= set(sheet_fields("trap_log")) if self.holds == "capture" else set()
        named = [
            *self.columns.values(),
            *self.facts.values(),
            *self.constants,
            *self.fill_down,
            *self.units,
            *self.words,
        ]
        for name in named:
            if name and name not in known and not name.startswith("measurement:"):
                near = difflib.get_close_matches(name, known, 1)
                hint = (
                    f'. Perhaps "{near[0]}" is meant'
                    if near
                    else f". A {self.holds} row can have: {', '.join(sorted(known))}"
                )
                raise ValueError(f'"{name}" is not a field of a {self.holds} row{hint}')
        for place in self.facts:
            if place not in ("sheet name", "file name") and not CELL_ADDRESS.fullmatch(place):
                raise ValueError(f'facts: "{place}" is neither a cell such as "B2" nor "sheet name" nor "file name"')
        fed = {*self.columns.values(), *self.facts.values(), *self.constants}
        if "eventDate" in fed and fed & {"day", "month", "year"}:
            raise ValueError("a date cannot come from eventDate and from day, month or year: name one of the two")
        if self.holds != "trap_log" and (self.rows_are != "visits" or self.effort != "computed"):
            raise ValueError("rows_are and effort speak of a trap log, and this table holds something else")
        if self.effort == "as typed" and "trap_nights_typed" not in fed:
            raise ValueError('effort = "as typed" needs a column for trap_nights_typed')
        if self.layout == "grid" and not self.grid_columns:
            raise ValueError('a grid needs grid_columns = "trap" or "place"')
        return self


class Waiver(Settings):
    """A rule that does not apply here. The reason is printed with the findings."""

    rule: Text = Field(description="Identifier of the rule.")
    reason: Text = Field(min_length=10, description="Why it does not apply, for the reader of the findings.")
    file: Text = Field("", description="Only in this file.")
    value: Text = Field("", description="Only for this value.")


class SurveyFile(Settings):
    """The whole survey file."""

    survey: Survey = Field(description="What the survey is, when and where.")
    files: Files = Field(Files(), description="Files beside the survey file.")
    reading: Reading = Field(Reading(), description="How to read what the sheets leave open.")
    protocol: Protocol = Field(Protocol(), description="What was done, and how effort is counted.")
    limits: Limits = Field(Limits(), description="Limits of your permit and protocol that the log is compared with.")
    dataset: Dataset = Field(Dataset(), description="What an archive tells its readers.")
    output: Output = Field(Output(), description="Words and forms of the output.")
    people: tuple[Person, ...] = Field((), description="Who recorded, identified or is responsible.")
    table: tuple[Table, ...] = Field(min_length=1, description="The tables in the raw files, one entry each.")
    names: dict[Text, Text] = Field(
        default_factory=dict, description="Spelling on the sheets = name in the checklist."
    )
    waive: tuple[Waiver, ...] = Field((), description="Rules that do not apply here.")
    protect: Protect = Field(Protect(), description="What is to be protected in copies for others.")
    share: Share = Field(Share(), description="For whom copies are made.")
    path: Annotated[Path, Field(exclude=True)] = Field(Path("survey.toml"), json_schema_extra={"hidden": True})

    @property
    def folder(self) -> Path:
        """The folder that every path of the survey file is relative to."""
        return self.path.parent


def read_survey_file(path: Path) -> SurveyFile:
    """The settings of a survey file.

    Raises BadSurveyFile with every mistake in the file: its path in the file, the value and what to do.
    """
    try:
        document = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise BadSurveyFile(str(path), ["there is no such file. Make one with: dwc-pipeline draft"]) from None
    except (OSError, UnicodeDecodeError) as error:
        raise BadSurveyFile(str(path), [f"cannot be read as UTF-8 text ({error}). Save it as UTF-8."]) from error
    except tomllib.TOMLDecodeError as error:
        raise BadSurveyFile(str(path), [f"is not valid TOML: {error}. Correct the line named."]) from error
    try:
        return SurveyFile(**{**document, "path": path})
    except ValidationError as error:
        raise BadSurveyFile(str(path), list(explain_mistakes(error))) from None


def explain_mistakes(error: ValidationError) -> Iterable[str]:
    """Each mistake as a sentence: where, which value, what to do."""
    mistakes = error.errors()
    deeper = {mistake["loc"][0] for mistake in mistakes if len(mistake["loc"]) > 1}
    for mistake in mistakes:
        if mistake["type"] == "too_short" and mistake["loc"][0] in deeper:
            continue  # the entries are there, but wrong: they are named on lines of their own
        place = path_in_file(mistake["loc"])
        value = mistake.get("input")
        shown = "" if isinstance(value, dict | list | tuple) or mistake["type"] == "missing" else f" {value!r}"
        yield f"{place}:{shown} {remedy(mistake)}"


def path_in_file(place: tuple[int | str, ...]) -> str:
    """A place in the survey file as a person writes it, entries counted from 1.

    >>> path_in_file(("table", 0, "holds"))
    'table[1].holds'
    """
    text = ""
    for part in place:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text or "survey file"


def remedy(mistake: Any) -> str:
    """What is wrong and what to do, without the words of our libraries."""
    kind, context = mistake["type"], mistake.get("ctx", {})
    if kind == "extra_forbidden":
        return "is not a setting. Remove it, or look for its name in docs/survey_file.md."
    if kind == "missing":
        return "is missing. Add it."
    if kind == "literal_error":
        return f"is not one of {context['expected']}."
    if kind == "value_error":
        return str(context["error"]).rstrip(".?") + "."
    if kind == "too_short":
        return "needs at least one entry."
    if kind.startswith("date"):
        return "is not a date. Write it as 2031-06-30, without quotes."
    if kind == "string_pattern_mismatch":
        return f"does not have the form asked for ({context['pattern']})."
    if kind in ("string_type", "bool_type", "bool_parsing", "int_type", "int_parsing", "float_type", "tuple_type"):
        wanted = {
            "string": "text in quotes",
            "bool": "true or false",
            "int": "a whole number",
            "float": "a number",
            "tuple": "a list in square brackets",
        }[kind.split("_")[0]]
        return f"should be {wanted}."
    message = str(mistake["msg"])
    return f"{message[0].lower()}{message[1:]}."
