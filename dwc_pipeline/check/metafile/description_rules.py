"""The description of the data set that a metafile names: is it there, and in a form that readers know?

Source: Darwin Core text guide (2023-09-13), sections 2.1 and 2.1.1.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.check.metafile.field_rules import GUIDE
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.core.safe_xml import local_name, parse_xml
from dwc_pipeline.errors import UnreadableFile

#: first words of a description of a data set, by its form
DESCRIPTION_ROOTS = {"eml": "EML", "metadata": "FGDC", "MD_Metadata": "ISO 19115", "MI_Metadata": "ISO 19115"}


def description_form(contents: ArchiveContents) -> tuple[str, str]:
    """The standard form of the description, "" if it has none, and its first element.

    Raises UnreadableFile if it is not XML.
    """
    if not contents.metadata:
        return "", ""
    name = local_name(parse_xml(contents.metadata, contents.metadata_name))
    return DESCRIPTION_ROOTS.get(name, ""), name


@flags(
    Rule(
        id="archive-does-not-name-its-description",
        severity=Severity.WARNING,
        what="The metafile does not say where the description of the data set is.",
        why="Readers do not learn who made the data, by what method, and under which licence.",
        remedy='Add a description, such as eml.xml, and metadata="eml.xml" to the element archive.',
        source=f"{GUIDE} 2.1",
    )
)
def metadata_named_check(contents: ArchiveContents) -> Iterator[Fault]:
    """metadata is given."""
    if contents.metafile and not contents.metadata_name:
        yield Fault("meta.xml has no attribute metadata.")


@flags(
    Rule(
        id="archive-description-is-not-there",
        severity=Severity.ERROR,
        what="The description that the metafile names is not in the archive.",
        why="Readers do not learn who made the data, by what method, and under which licence.",
        remedy="Put the file into the archive, or correct its name.",
        source=f"{GUIDE} 2.1.1",
    )
)
def metadata_there_check(contents: ArchiveContents) -> Iterator[Fault]:
    """metadata is in the archive or on the web."""
    on_the_web = contents.metadata_name.startswith(("http://", "https://", "ftp://"))
    if contents.metadata_name and not contents.metadata and not on_the_web:
        yield Fault(f"{contents.metadata_name!r} is not in the archive.", value=contents.metadata_name)


@flags(
    Rule(
        id="archive-description-has-an-unknown-form",
        severity=Severity.WARNING,
        what="The description of the data set is in none of the standard forms.",
        why="Registries cannot take it over.",
        remedy="Write the description as EML.",
        source=f"{GUIDE} 2.1.1",
    )
)
def metadata_form_check(contents: ArchiveContents) -> Iterator[Fault]:
    """The description is EML, FGDC or ISO 19115."""
    with contextlib.suppress(UnreadableFile):
        form, name = description_form(contents)
        if contents.metadata and not form:
            yield Fault(f"{contents.metadata_name} begins with {name}.", contents.metadata_name, value=name)


@flags(
    Rule(
        id="archive-description-is-not-xml",
        severity=Severity.ERROR,
        what="The description of the data set cannot be read as XML.",
        why="Readers do not learn who made the data, by what method, and under which licence.",
        remedy="Correct it at the line named, or write it again with the program that made it.",
        source=f"{GUIDE} 2.1.1; EML 2.2.0, Validation and content references, rule 1",
    )
)
def metadata_xml_check(contents: ArchiveContents) -> Iterator[Fault]:
    """The description is XML, and safe to read."""
    try:
        description_form(contents)
    except UnreadableFile as error:
        yield Fault(str(error), contents.metadata_name)


DESCRIPTION_CHECKS: tuple[Check[ArchiveContents], ...] = (
    metadata_named_check, metadata_there_check, metadata_form_check, metadata_xml_check,
)  # fmt: skip
