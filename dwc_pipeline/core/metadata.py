"""What an archive tells its readers about the data set as a whole."""

from __future__ import annotations

from dataclasses import dataclass

CREATOR, CONTACT, METADATA_PROVIDER = "creator", "contact", "metadataProvider"


@dataclass(frozen=True)
class Party:
    """A person or organisation and what they had to do with the data.

    name: as it shall appear; the last word is taken as surname unless `surname` is given.
    roles: `creator`, `contact`, `metadataProvider`, or any other word, which is kept as the role of an
    associated party. orcid: digits and hyphens, without the address before them.
    """

    name: str = ""
    surname: str = ""
    organisation: str = ""
    position: str = ""
    email: str = ""
    orcid: str = ""
    roles: tuple[str, ...] = ()


@dataclass(frozen=True)
class BoundingBox:
    """The area, in decimal degrees (WGS 84), and its description in words. A box across 180° has west > east."""

    west: float
    south: float
    east: float
    north: float
    description: str = ""


@dataclass(frozen=True)
class CoveredTaxon:
    """One taxon that the data are about."""

    rank: str
    name: str
    common_name: str = ""


@dataclass(frozen=True)
class Licence:
    """The licence of the data: name, address, and its SPDX identifier."""

    name: str
    url: str = ""
    identifier: str = ""


@dataclass(frozen=True)
class DatasetMetadata:
    """All of it. Dates are text: a year or YYYY-MM-DD. Texts of several paragraphs are separated by blank lines.

    package_id: identifier of the data set in all its versions. system: where that identifier is unique.
    date_range: first and last day. update_frequency: a word of the EML list, such as annually or notPlanned.
    notes: further statements, such as the editions of the vocabularies that were used.
    changes: what is different from the release `previous_version`, in words. doi: without the address before it.
    """

    title: str
    package_id: str
    people: tuple[Party, ...] = ()
    system: str = "dwc_pipeline"
    version: str = ""
    abstract: str = ""
    purpose: str = ""
    pub_date: str = ""
    language: str = ""
    keywords: tuple[str, ...] = ()
    licence: Licence | None = None
    rights_holder: str = ""
    publisher: str = ""
    doi: str = ""
    citation: str = ""
    previous_version: str = ""
    changes: str = ""
    notes: tuple[str, ...] = ()
    box: BoundingBox | None = None
    date_range: tuple[str, str] | None = None
    taxa: tuple[CoveredTaxon, ...] = ()
    method_steps: tuple[str, ...] = ()
    sampling_description: str = ""
    study_extent: str = ""
    quality_control: str = ""
    project_title: str = ""
    project_abstract: str = ""
    maintenance: str = ""
    update_frequency: str = ""

    def with_role(self, role: str) -> tuple[Party, ...]:
        """Everyone who has the role."""
        return tuple(party for party in self.people if role in party.roles)

    @property
    def cited(self) -> str:
        """How to cite the data set: as told, else made of what is known; "" where nobody is named as creator.

        Source: DataCite, recommended form of a data citation, from memory: Creator (year): Title. Version. Publisher.
        Resource type. Identifier.
        """
        makers = self.with_role(CREATOR) or self.with_role(CONTACT)
        names = "; ".join(dict.fromkeys(party.name or party.organisation for party in makers))
        if self.citation or not names:
            return self.citation
        year = self.pub_date[:4] or "n.d."
        address = f"https://doi.org/{self.doi}" if self.doi else self.package_id
        parts = [f"{names} ({year}): {self.title}", f"Version {self.version}" if self.version else "", self.publisher]
        return ". ".join([*(part.rstrip(".") for part in parts if part), "Dataset", address])
