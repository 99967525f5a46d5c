"""The parts of the survey file that say who may see what: `[protect]` and `[share]`."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

Text = Annotated[str, Field(strict=True)]
Grid = Literal["0.001", "0.01", "0.1", "1", "withheld"]
Category = Literal[1, 2, 3, 4, "withheld"]


class Sharing(BaseModel):
    """Common to every part: unknown names are mistakes, nothing changes after reading."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Property(Sharing):
    """Private ground, and how coarsely its places may be shown."""

    name: Text = Field(min_length=3, description="Name of the property; it never appears in a public copy.")
    places: tuple[Text, ...] = Field(
        ("*",), description='Codes of its places, or patterns such as "A*"; "*" takes in finds without a place too.'
    )
    grid: Grid = Field("0.1", description="Finest grid in degrees on which its places may be shown, or withheld.")
    words: tuple[Text, ...] = Field((), description="Names of owners, gates, roads: never in a public copy.")
    other_properties_in_cell: int = Field(
        0, ge=0, description="How many other properties lie in a cell of that grid, as far as you know; they count "
        "in the small-group test, since a stranger cannot tell them from this one."
    )  # fmt: skip


class Protect(Sharing):
    """What is to be protected, whoever the readers are."""

    taxa: dict[Text, Category] = Field(
        default_factory=dict,
        description='Sensitive taxa of any rank: "name" = 1 (1 degree), 2 (0.1), 3 (0.01), 4 (0.001), or "withheld".',
    )
    use_checklist: bool = Field(True, description="True if the `sensitive` column of the checklist counts as well.")
    reason: Text = Field(
        "knowing the exact place could do harm (sensitive species or private land)",
        min_length=10,
        description="Why places are generalised; it is written into the public copy after the word `because`.",
    )
    review_on: dt.date | None = Field(None, description="When the decisions are to be looked at again.")
    property: tuple[Property, ...] = Field((), description="Private properties.")
    words: tuple[Text, ...] = Field((), description="Further words that must never appear in a public copy.")


class PublicShare(Sharing):
    """The public copy."""

    code: Text = Field(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$",
        description="Short code that starts every public identifier; it must not give the place away.",
    )
    title: Text = Field(min_length=5, description="Title of the public copy, without names of places.")
    abstract: Text = Field("", description="One paragraph about the data, without names of places.")
    key: Text = Field(
        min_length=16,
        description="Any long text that only you know; public identifiers are made with it. Keep it secret.",
    )
    named: tuple[Text, ...] = Field((), description="People who may be named, spelt as under [[people]].")
    publisher: Text = Field("", description="Organisation that answers for the copy, if no person is named.")
    grid: Literal["as held", "0.001", "0.01", "0.1", "1", "withheld"] = Field(
        "as held", description="Finest grid in degrees for any place, even one that nothing protects."
    )
    dates: Literal["day", "month", "year"] = Field("day", description="How exactly dates are given; never the hour.")
    smallest_group: int = Field(
        3, ge=1, description="No cell, date, protocol and observer may point to fewer properties than this."
    )
    sensitive_animals: Literal["coarsen the place", "twin event"] = Field(
        "coarsen the place",
        description="`coarsen the place`: all events of the place of a sensitive animal, and of all places in its "
        "cell, are as coarse as the animal asks. `twin event`: the animal moves to an event of its own with a coarse "
        "place, and effort and other animals stay as exact as the ground allows; a stranger then knows that it was "
        "caught at one of `twin_places` exact places or more. Decide before the first copy: a copy of each kind, "
        "side by side, gives the places away.",
    )
    twin_places: int = Field(
        5,
        ge=3,
        description="Of how many places, each in a finer cell of its own, an animal on a twin event may have come, "
        "at the least; where there are fewer, its date is coarsened, then its place, then it is left out.",
    )
    measurements: bool = Field(True, description="True if sizes and masses of animals are shared.")
    allowed_words: tuple[Text, ...] = Field(
        (), description="Names of places that are ordinary words and may stand in texts."
    )

    @property
    def moves_animals(self) -> bool:
        """True if sensitive animals move to twin events."""
        return self.sensitive_animals == "twin event"

    @model_validator(mode="after")
    def somebody_answers(self) -> PublicShare:
        """A copy needs somebody who answers for it."""
        if not (self.named or self.publisher):
            raise ValueError("nobody answers for the public copy: give `publisher`, or list people under `named`")
        return self


class AgencyShare(Sharing):
    """The agency's copy: everything, exact, in a workbook and an archive. Your permit rules what it asks for."""

    agency: Text = Field("", description="Who the report is for.")
    permit: Text = Field("", description="Permit number.")
    holder: Text = Field("", description="Who holds the permit.")
    sheets: dict[Text, Text] = Field(
        default_factory=dict, description='Names of the sheets: ours = the agency\'s; "" leaves a sheet out.'
    )
    columns: dict[Text, Text] = Field(
        default_factory=dict,
        description='Headers of columns: ours = the agency\'s; "" leaves a column out. "Captures: SVL" means the '
        "column of that sheet alone.",
    )
    only_sheets: tuple[Text, ...] = Field(
        (), description="Our sheets that the workbook has, in this order; all where left out."
    )
    only_columns: dict[Text, tuple[Text, ...]] = Field(
        default_factory=dict,
        description="Our sheet = its columns, by our headers, in this order; all where left out.",
    )
    template: Text = Field(
        "",
        description="A workbook (.xlsx) of the agency's to be filled: rows under its headers, answers in named cells "
        "and where it says {{permit number}} or another line of our summary. It is written beside our workbook.",
    )
    template_sheets: dict[Text, Text] = Field(
        default_factory=dict,
        description='Sheet of the template = our sheet whose rows it gets; "" leaves it alone. Found by its headers '
        "where left out.",
    )
    cells: dict[Text, Text] = Field(
        default_factory=dict,
        description='Cell of the template, "Form!B3" or its name = line of our summary, such as "Permit number".',
    )
    deviations: Text = Field("", description="Deviations from the permit's methods, in words.")

    @property
    def names_something(self) -> bool:
        """True if a name of a sheet, column, cell or template stands here, which may be misspelt or not be there."""
        return bool(
            self.sheets or self.columns or self.only_sheets or self.only_columns
            or self.template or self.template_sheets or self.cells
        )  # fmt: skip


class PackageShare(Sharing):
    """The Darwin Core Data Package."""

    profile_version: Literal["1.0_DEV"] = Field("1.0_DEV", description="Edition of the profile and its tables.")
    form: Literal["folder", "tar.gz"] = Field(
        "folder", description="A folder of files, or one file packed with tar and gzip."
    )


class Share(Sharing):
    """For whom a copy is made; a part that is left out is not written."""

    public: PublicShare | None = Field(None, description="The public copy.")
    agency: AgencyShare | None = Field(None, description="The agency's copy.")
    package: PackageShare | None = Field(None, description="The data package.")
