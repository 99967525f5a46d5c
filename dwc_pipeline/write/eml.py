"""The description of a data set as an EML 2.2.0 document.

The elements are written in the order that the schema asks for, each by one function; what is not known is
left out, and `missing_metadata` says what archives will ask for.

Source: Ecological Metadata Language 2.2.0, schemas and chapter "Validation and content references".
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

from lxml import etree

from dwc_pipeline.core.metadata import CONTACT, CREATOR, METADATA_PROVIDER, DatasetMetadata, Party
from dwc_pipeline.core.safe_xml import NOT_IN_XML
from dwc_pipeline.errors import OutputRefused

EML = "https://eml.ecoinformatics.org/eml-2.2.0"
ORCID = "https://orcid.org/"
#: what the schema demands although the survey may not have said it
NOT_DESCRIBED = "Not described."
#: the words of the schema for maintenanceUpdateFrequency, without the misspelt one it keeps for old documents
UPDATE_FREQUENCIES = (
    "annually", "asNeeded", "biannually", "continually", "daily", "irregular", "monthly", "notPlanned", "weekly",
    "unknown", "otherMaintenancePeriod",
)  # fmt: skip
YEAR_OR_DAY = re.compile(r"\d{4}(-\d{2}-\d{2})?")


def eml_document(metadata: DatasetMetadata) -> bytes:
    """The bytes of an EML document that is valid by construction.

    Creators serve as contacts, and contacts as creators, where only one of the two is named.
    Raises OutputRefused if title, package identifier or people are missing, a date has another form, or a text
    holds a control character.
    """
    metadata = _prepared(metadata)
    _refuse_unwritable(metadata)
    root = etree.Element(f"{{{EML}}}eml", nsmap={"eml": EML})
    root.set("packageId", f"{metadata.package_id}/{metadata.version}" if metadata.version else metadata.package_id)
    root.set("system", metadata.system)
    dataset = _add(root, "dataset")
    for write in (_identity, _people, _publication, _rights, _coverage, _purpose_and_upkeep, _contacts, _methods):
        write(dataset, metadata)
    _project(dataset, metadata)
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)
    return written


def missing_metadata(metadata: DatasetMetadata) -> list[str]:
    """What archives commonly ask for and the metadata do not say, one sentence each, the gravest first.

    Source: common practice, no source; title, creator and contact are what the EML schema itself demands.
    """
    metadata = _prepared(metadata)
    contacts = metadata.with_role(CONTACT)
    wanted = (
        (metadata.title, "title: the name of the data set, with group, place and years"),
        (metadata.with_role(CREATOR), "creator: who made the data and is to be cited"),
        (contacts, "contact: who answers questions about the data"),
        (any(party.email for party in contacts), "contact's email: an address at which the contact can be reached"),
        (
            all(party.orcid for party in metadata.with_role(CREATOR) if party.name),
            "ORCID iD of every creator: it tells people of one name apart",
        ),
        (metadata.licence, "licence: on what terms the data may be used, by its SPDX identifier"),
        (metadata.abstract, "abstract: a paragraph that says what the data are"),
        (metadata.pub_date, "publication date"),
        (metadata.version, "version of the data set"),
        (metadata.language, "language of the texts"),
        (metadata.box, "area: the bounding box of all places"),
        (metadata.date_range, "period: the first and the last day"),
        (metadata.taxa, "taxa that the data are about"),
        (metadata.method_steps, "methods: what was done, step by step"),
        (
            metadata.sampling_description,
            "sampling: how places, times and traps were chosen and how effort is counted",
        ),
        (metadata.study_extent, "study extent: which area and time the sampling covers"),
        (metadata.quality_control, "quality control: how the data were checked"),
        (metadata.keywords, "keywords"),
        (
            metadata.maintenance or metadata.update_frequency,
            "maintenance: whether and how often the data are updated",
        ),
    )
    return [what for given, what in wanted if not given]


def _prepared(metadata: DatasetMetadata) -> DatasetMetadata:
    """The same without blanks and without people that have no name of any kind."""
    cleaned: DatasetMetadata = _without_blanks(metadata)
    named = tuple(party for party in cleaned.people if party.name or party.organisation or party.position)
    return dataclasses.replace(cleaned, people=named)


def _without_blanks(value: Any) -> Any:
    """The same with space around texts removed and blank texts of a list left out."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, tuple):
        return tuple(part for part in map(_without_blanks, value) if part != "")
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        parts = {field.name: _without_blanks(getattr(value, field.name)) for field in dataclasses.fields(value)}
        return dataclasses.replace(value, **parts)
    return value


def _refuse_unwritable(metadata: DatasetMetadata) -> None:
    parties = [party for party in metadata.people if {CREATOR, CONTACT} & set(party.roles)]
    needed = {
        "title": metadata.title,
        "identifier": metadata.package_id,
        "creator or contact": parties,
    }
    missing = [name for name, given in needed.items() if not given]
    if missing:
        raise OutputRefused(
            f"The data set's description lacks its {', '.join(missing)}: without them no valid EML can be written. "
            f"Add them to the survey file."
        )
    for path, text in _texts("", metadata):
        found = NOT_IN_XML.search(text)
        if found:
            raise OutputRefused(
                f"The data set's description holds a control character (U+{ord(found.group()):04X}) in {path}, after "
                f"{text[: found.start()][-20:]!r}. Remove it in the survey file."
            )
    for path, day in (("pub_date", metadata.pub_date), *(("date_range", day) for day in metadata.date_range or ())):
        if day and not YEAR_OR_DAY.fullmatch(day):
            raise OutputRefused(f"The data set's description has {day!r} as {path}. Write a year or YYYY-MM-DD.")

    if metadata.update_frequency not in ("", *UPDATE_FREQUENCIES):
        raise OutputRefused(
            f"The data set's description has {metadata.update_frequency!r} as update frequency. "
            f"Write one of {', '.join(UPDATE_FREQUENCIES)}."
        )


def _texts(path: str, value: Any) -> Iterator[tuple[str, str]]:
    """Every text of the metadata with its path."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, tuple):
        for number, part in enumerate(value, 1):
            yield from _texts(f"{path}[{number}]", part)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):
            yield from _texts(f"{path}.{field.name}".lstrip("."), getattr(value, field.name))


def _identity(dataset: Any, metadata: DatasetMetadata) -> None:
    _add(dataset, "alternateIdentifier", metadata.package_id)
    if metadata.doi:
        _add(dataset, "alternateIdentifier", f"https://doi.org/{metadata.doi}")
    _add(dataset, "title", metadata.title)


def _people(dataset: Any, metadata: DatasetMetadata) -> None:
    creators = metadata.with_role(CREATOR) or metadata.with_role(CONTACT)
    for party in creators:
        _party(dataset, "creator", party)
    for party in metadata.with_role(METADATA_PROVIDER):
        _party(dataset, "metadataProvider", party)
    for party in metadata.people:
        for role in party.roles:
            if role not in (CREATOR, CONTACT, METADATA_PROVIDER):
                _party(dataset, "associatedParty", party, role)


def _publication(dataset: Any, metadata: DatasetMetadata) -> None:
    _add_if(dataset, "pubDate", metadata.pub_date)
    _add_if(dataset, "language", metadata.language)
    _paragraphs(dataset, "abstract", metadata.abstract)
    if metadata.keywords:
        keywords = _add(dataset, "keywordSet")
        for keyword in metadata.keywords:
            _add(keywords, "keyword", keyword)
    cited = f"Please cite as: {metadata.cited}" if metadata.cited else ""
    told = (*metadata.notes, cited, metadata.changes)
    _paragraphs(dataset, "additionalInfo", "\n\n".join(text for text in told if text))


def _rights(dataset: Any, metadata: DatasetMetadata) -> None:
    licence, holder = metadata.licence, metadata.rights_holder
    held = f"Rights holder: {holder}." if holder else ""
    if licence is None:
        _paragraphs(dataset, "intellectualRights", held)
        return
    where = f" ({licence.url})" if licence.url else ""
    _paragraphs(dataset, "intellectualRights", f"Licence: {licence.name}{where}\n\n{held}")
    licensed = _add(dataset, "licensed")
    _add(licensed, "licenseName", licence.name)
    _add_if(licensed, "url", licence.url)
    _add_if(licensed, "identifier", licence.identifier)


def _coverage(dataset: Any, metadata: DatasetMetadata) -> None:
    if not (metadata.box or metadata.date_range or metadata.taxa):
        return
    coverage = _add(dataset, "coverage")
    if metadata.box:
        _geographic_coverage(coverage, metadata)
    if metadata.date_range:
        first, last = metadata.date_range
        period = _add(coverage, "temporalCoverage")
        if first == last:
            _add(_add(period, "singleDateTime"), "calendarDate", first)
        else:
            range_of_dates = _add(period, "rangeOfDates")
            _add(_add(range_of_dates, "beginDate"), "calendarDate", first)
            _add(_add(range_of_dates, "endDate"), "calendarDate", last)
    if metadata.taxa:
        taxonomic = _add(coverage, "taxonomicCoverage")
        for taxon in metadata.taxa:
            classification = _add(taxonomic, "taxonomicClassification")
            _add_if(classification, "taxonRankName", taxon.rank)
            _add(classification, "taxonRankValue", taxon.name)
            _add_if(classification, "commonName", taxon.common_name)


def _geographic_coverage(coverage: Any, metadata: DatasetMetadata) -> None:
    box = metadata.box
    assert box is not None
    west, south, east, north = (_degrees(value) for value in (box.west, box.south, box.east, box.north))
    area = _add(coverage, "geographicCoverage")
    words = f"From latitude {south} to {north} and longitude {west} to {east} degrees"
    _add(area, "geographicDescription", box.description or words)
    bounds = _add(area, "boundingCoordinates")
    for name, value in (("west", west), ("east", east), ("north", north), ("south", south)):
        _add(bounds, f"{name}BoundingCoordinate", value)


def _purpose_and_upkeep(dataset: Any, metadata: DatasetMetadata) -> None:
    _paragraphs(dataset, "purpose", metadata.purpose)
    # The schema wants a whole day here, where the date of publication may be a year.
    has_day = len(metadata.pub_date) == len("2031-01-01")
    has_history = bool(metadata.changes and metadata.previous_version and has_day)
    if not (metadata.maintenance or metadata.update_frequency or has_history):
        return
    maintenance = _add(dataset, "maintenance")
    _paragraphs(maintenance, "description", metadata.maintenance or NOT_DESCRIBED)
    _add_if(maintenance, "maintenanceUpdateFrequency", metadata.update_frequency)
    if has_history:
        history = _add(maintenance, "changeHistory")
        _add(history, "changeScope", "data and description")
        _add(history, "oldValue", f"version {metadata.previous_version}")
        _add(history, "changeDate", metadata.pub_date)
        _add(history, "comment", metadata.changes)


def _contacts(dataset: Any, metadata: DatasetMetadata) -> None:
    for party in metadata.with_role(CONTACT) or metadata.with_role(CREATOR):
        _party(dataset, "contact", party)
    if metadata.publisher:
        _party(dataset, "publisher", Party(organisation=metadata.publisher))


def _methods(dataset: Any, metadata: DatasetMetadata) -> None:
    steps = metadata.method_steps
    if not (steps or metadata.sampling_description or metadata.study_extent or metadata.quality_control):
        return
    methods = _add(dataset, "methods")
    for step in steps or (metadata.sampling_description or NOT_DESCRIBED,):
        _paragraphs(_add(methods, "methodStep"), "description", step)
    if metadata.sampling_description or metadata.study_extent:
        sampling = _add(methods, "sampling")
        _paragraphs(_add(sampling, "studyExtent"), "description", metadata.study_extent or NOT_DESCRIBED)
        _paragraphs(sampling, "samplingDescription", metadata.sampling_description or NOT_DESCRIBED)
    if metadata.quality_control:
        _paragraphs(_add(methods, "qualityControl"), "description", metadata.quality_control)


def _project(dataset: Any, metadata: DatasetMetadata) -> None:
    if not metadata.project_title:
        return
    project = _add(dataset, "project")
    _add(project, "title", metadata.project_title)
    investigators = metadata.with_role("principalInvestigator")
    for party in investigators or metadata.with_role(CREATOR) or metadata.with_role(CONTACT):
        _party(project, "personnel", party, "principalInvestigator" if investigators else CREATOR)
    _paragraphs(project, "abstract", metadata.project_abstract)


def _party(parent: Any, kind: str, party: Party, role: str = "") -> None:
    element = _add(parent, kind)
    if party.name:
        given, surname = _name_parts(party)
        individual = _add(element, "individualName")
        _add_if(individual, "givenName", given)
        _add(individual, "surName", surname)
    _add_if(element, "organizationName", party.organisation)
    _add_if(element, "positionName", party.position)
    _add_if(element, "electronicMailAddress", party.email)
    if party.orcid:
        _add(element, "userId", ORCID + party.orcid).set("directory", ORCID)
    _add_if(element, "role", role)


def _name_parts(party: Party) -> tuple[str, str]:
    """Given names and surname."""
    if party.surname:
        return party.name.removesuffix(party.surname).strip(), party.surname
    given, _, surname = party.name.rpartition(" ")
    return given, surname


def _degrees(value: float) -> str:
    """Decimal degrees without exponent, to a hundred-millionth.

    >>> _degrees(-99.6348), _degrees(36)
    ('-99.6348', '36')
    """
    return f"{value:.8f}".rstrip("0").rstrip(".")


def _add(parent: Any, name: str, text: str = "") -> Any:
    element = etree.SubElement(parent, name)
    if text:
        element.text = text
    return element


def _add_if(parent: Any, name: str, text: str) -> None:
    if text:
        _add(parent, name, text)


def _paragraphs(parent: Any, name: str, text: str) -> None:
    """A block of text, one `para` for each paragraph."""
    parts = [part.strip() for part in re.split(r"\n\s*\n", text) if part.strip()]
    if parts:
        block = _add(parent, name)
        for part in parts:
            _add(block, "para", part)
