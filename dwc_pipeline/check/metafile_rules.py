"""What a metafile must say, and what its schema does not catch.

Source: Darwin Core text guide (2023-09-13); the section stands with each rule.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

from lxml import etree

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.core.safe_xml import local_name, parse_xml
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.terms.darwin_core import CLOSED_NAMESPACES, short_name, term_by_iri

NAMESPACE = "http://rs.tdwg.org/dwc/text/"
GUIDE = "Darwin Core text guide"
IDENTIFIER = re.compile(r"(https?|urn|info):\S+")
DATE_FORMAT = re.compile(r"(YYYY|MM|DD)([-/]?(YYYY|MM|DD))*")
FORM_ATTRIBUTES = {"rowType", "fieldsTerminatedBy", "linesTerminatedBy", "fieldsEnclosedBy", "encoding",
                   "ignoreHeaderLines", "dateFormat"}  # fmt: skip
#: element -> attributes that it may have. delimitedBy is in the schema only.
KNOWN = {
    "archive": {"metadata"}, "core": FORM_ATTRIBUTES, "extension": FORM_ATTRIBUTES, "files": set(), "location": set(),
    "id": {"index"}, "coreid": {"index"}, "field": {"index", "term", "default", "vocabulary", "delimitedBy"},
}  # fmt: skip
#: first words of a description of a data set, by its form
DESCRIPTION_ROOTS = {"eml": "EML", "metadata": "FGDC", "MD_Metadata": "ISO 19115", "MI_Metadata": "ISO 19115"}


def _root(contents: ArchiveContents) -> Any:
    """The root of the metafile; an empty archive element where there is no metafile."""
    if not contents.metafile:
        return etree.Element(f"{{{NAMESPACE}}}archive")
    return parse_xml(contents.metafile, contents.name)


def _described(contents: ArchiveContents) -> Iterator[Any]:
    """The core and extension elements."""
    return (element for element in _root(contents) if local_name(element) in ("core", "extension"))


def description_form(contents: ArchiveContents) -> tuple[str, str]:
    """The standard form of the description, "" if it has none, and its first element.

    Raises UnreadableFile if it is not XML.
    """
    if not contents.metadata:
        return "", ""
    name = local_name(parse_xml(contents.metadata, contents.metadata_name))
    return DESCRIPTION_ROOTS.get(name, ""), name


def part_name(part: ArchivePart) -> str:
    """How a message names a part."""
    kind = "the core" if part.is_core else "the extension"
    return f"{kind} {part.locations[0] if part.locations else part.row_type or 'without file'}"


@flags(
    Rule(
        id="metafile-has-another-root",
        severity=Severity.ERROR,
        what="The metafile does not begin with the element archive of the Darwin Core text namespace.",
        why="Readers take it for something else and read nothing.",
        remedy=f'Begin the metafile with <archive xmlns="{NAMESPACE}">.',
        source=f"{GUIDE} 2.1",
    )
)
def root_check(contents: ArchiveContents) -> Iterator[Fault]:
    """The root is {NAMESPACE}archive."""
    root = _root(contents)
    if root.tag != f"{{{NAMESPACE}}}archive":
        yield Fault(f"meta.xml begins with {root.tag}.", line=root.sourceline or 0, value=str(root.tag))


@flags(
    Rule(
        id="metafile-names-something-unknown",
        severity=Severity.ERROR,
        what="The metafile has an element or an attribute that the text guide does not know.",
        why="It is of an older form or misspelt; readers pass over it and what it was meant to say is lost.",
        remedy="Correct the spelling, or write the metafile anew in the present form.",
        source=f"{GUIDE} 2",
    )
)
def unknown_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Elements and attributes are those of the guide and its schema."""
    for element in _root(contents).iter(etree.Element):
        name = local_name(element)
        if name not in KNOWN:
            yield Fault(f"meta.xml has an element {name}.", line=element.sourceline or 0, value=name)
            continue
        for attribute in element.attrib:
            if not attribute.startswith("{") and attribute not in KNOWN[name]:
                message = f"meta.xml has an attribute {attribute} in {name}."
                yield Fault(message, line=element.sourceline or 0, value=attribute)


@flags(
    Rule(
        id="metafile-needs-exactly-one-core",
        severity=Severity.ERROR,
        what="The metafile does not describe exactly one core.",
        why="Without a core, or with two, no reader knows what the extensions hang on.",
        remedy="Describe one file, such as the events, in <core> and all others in <extension>.",
        source=f"{GUIDE} 2.1.2",
    )
)
def core_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Exactly one core."""
    if contents.metafile:
        count = sum(local_name(element) == "core" for element in _root(contents))
        if count != 1:
            yield Fault(f"meta.xml describes {count} cores.", value=str(count))


@flags(
    Rule(
        id="metafile-part-is-incomplete",
        severity=Severity.ERROR,
        what="A core or extension lacks its files, the name of a file or its fields, or has two lists of files.",
        why="Its rows cannot be read.",
        remedy="Give each core and extension one <files> with a <location> a file, and a <field> for each term.",
        source=f"{GUIDE} 2.2.2, 2.3",
    )
)
def incomplete_check(contents: ArchiveContents) -> Iterator[Fault]:
    """One files with locations, and fields."""
    for element in _described(contents):
        children = Counter(local_name(child) for child in element)
        kind, line = local_name(element), element.sourceline or 0
        locations = [child for child in element.iter(etree.Element) if local_name(child) == "location"]
        if children["files"] != 1:
            yield Fault(f"a {kind} in meta.xml has {children['files']} lists of files.", line=line)
        if not locations or not all((location.text or "").strip() for location in locations):
            yield Fault(f"a {kind} in meta.xml names no file.", line=line)
        if not children["field"]:
            yield Fault(f"a {kind} in meta.xml has no field.", line=line)


@flags(
    Rule(
        id="metafile-is-out-of-order",
        severity=Severity.ERROR,
        what="The parts of the metafile stand in another order than the schema asks for.",
        why="Readers that check the metafile against its schema refuse the archive.",
        remedy="Put <core> before <extension>, and inside each: files, then id or coreid, then the fields.",
        source="schema of the Darwin Core text guide, types coreFileType and extensionFileType",
    )
)
def order_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Core, extensions; files, id, fields."""
    kinds = [local_name(element) for element in _described(contents)]
    if kinds != sorted(kinds):
        yield Fault("meta.xml has an extension before the core.")
    for element in _described(contents):
        wanted = ["files", "id" if local_name(element) == "core" else "coreid", "field"]
        places = [wanted.index(name) for name in map(local_name, element) if name in wanted]
        if places != sorted(places):
            message = f"a {local_name(element)} in meta.xml has its parts in another order than {', '.join(wanted)}."
            yield Fault(message, line=element.sourceline or 0)


@flags(
    Rule(
        id="row-type-is-no-identifier",
        severity=Severity.ERROR,
        what="A core or extension does not say by the full identifier of a class what its rows are.",
        why="Readers pass over rows whose type they do not know.",
        remedy="Write rowType as a full identifier, such as http://rs.tdwg.org/dwc/terms/Event.",
        source=f"{GUIDE} 2.2.1, rowType",
    )
)
def row_type_check(contents: ArchiveContents) -> Iterator[Fault]:
    """rowType is there and an IRI."""
    for part in contents.parts:
        if not IDENTIFIER.fullmatch(part.row_type):
            yield Fault(f"{part_name(part)} has the row type {part.row_type!r}.", value=part.row_type)


@flags(
    Rule(
        id="field-term-is-no-identifier",
        severity=Severity.ERROR,
        what="A field does not name its term by a full identifier.",
        why="A short name can belong to several lists; readers leave the column out.",
        remedy="Write the full identifier, such as http://rs.tdwg.org/dwc/terms/eventDate.",
        source=f"{GUIDE} 2.4.1, term",
    )
)
def term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """term is there and an IRI."""
    for part in contents.parts:
        for field in part.fields:
            if not IDENTIFIER.fullmatch(field.term):
                yield Fault(f"{part_name(part)} has a field with the term {field.term!r}.", value=field.term)


@flags(
    Rule(
        id="field-term-is-unknown",
        severity=Severity.WARNING,
        what="A term is in none of the lists of terms of the standard that its identifier belongs to, or is a class.",
        why="It is misspelt or made up, so readers leave the column out.",
        remedy="Correct the spelling; capital letters count. Facts that have no term go into dynamicProperties.",
        source="Darwin Core and Humboldt Extension lists of terms 2026-05-26; Simple Darwin Core 5 for classes",
    )
)
def unknown_term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Terms of the closed namespaces exist and are properties."""
    for part in contents.parts:
        for field in part.fields:
            known = term_by_iri(field.term)
            if (known is None and field.term.startswith(CLOSED_NAMESPACES)) or (known and known.kind == "class"):
                yield Fault(f"{part_name(part)} has a field with the term {field.term}.", value=field.term)


@flags(
    Rule(
        id="field-term-is-deprecated",
        severity=Severity.NOTE,
        what="A term is no longer recommended.",
        why="Newer readers may not know it.",
        remedy="Use the term that replaced it.",
        source="Darwin Core list of terms 2026-05-26, deprecated terms",
    )
)
def deprecated_check(contents: ArchiveContents) -> Iterator[Fault]:
    """No deprecated terms."""
    for part in contents.parts:
        for field in part.fields:
            known = term_by_iri(field.term)
            if known and known.is_deprecated:
                instead = f"; use {known.replaced_by}" if known.replaced_by else ""
                yield Fault(f"{part_name(part)} uses the deprecated term {field.term}{instead}.", value=field.term)


@flags(
    Rule(
        id="field-has-neither-column-nor-default",
        severity=Severity.ERROR,
        what="A field names neither a column nor a constant, or the column is not a whole number from 0 up.",
        why="The term has no value anywhere.",
        remedy="Give the field the number of its column, counted from 0, or a default.",
        source=f"{GUIDE} 2.4.1, index and default",
    )
)
def pointless_field_check(contents: ArchiveContents) -> Iterator[Fault]:
    """A field has an index or a default."""
    for part in contents.parts:
        for field in part.fields:
            if field.index is None and field.default is None:
                message = f"{part_name(part)} has no column and no default for {short_name(field.term)}."
                yield Fault(message, value=field.term)


@flags(
    Rule(
        id="term-is-mapped-twice",
        severity=Severity.ERROR,
        what="A core or extension has two fields for one term.",
        why="Readers keep one of the two columns, and not all the same one.",
        remedy='Put both into one column, separated by " | ".',
        source=f"{GUIDE} 2.4 (one field for every term) and Simple Darwin Core 5 (no repeated field)",
    )
)
def repeated_term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """One field a term."""
    for part in contents.parts:
        for term, count in Counter(field.term for field in part.fields).items():
            if count > 1:
                yield Fault(f"{part_name(part)} has {count} fields for {short_name(term)}.", value=term)


@flags(
    Rule(
        id="column-feeds-two-terms",
        severity=Severity.WARNING,
        what="Two fields point to the same column.",
        why="One of the two numbers is often a slip, and then a term holds the values of another.",
        remedy="Look whether both terms are meant; if not, correct the index.",
    )
)
def shared_column_check(contents: ArchiveContents) -> Iterator[Fault]:
    """One term a column."""
    for part in contents.parts:
        for index, count in Counter(field.index for field in part.fields if field.index is not None).items():
            if count > 1:
                terms = ", ".join(short_name(field.term) for field in part.fields if field.index == index)
                yield Fault(f"{part_name(part)} maps column {index} to {terms}.", value=str(index))


@flags(
    Rule(
        id="column-number-is-beyond-the-last",
        severity=Severity.ERROR,
        what="A field or identifier points to a column that the file does not have.",
        why="The term is empty in every row, or every row loses its identifier. Columns are counted from 0.",
        remedy="Correct the index.",
        source=f"{GUIDE} 2.4.1, index",
    )
)
def index_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Indexes are within the file."""
    for part in contents.parts:
        named = [(short_name(field.term), field.index) for field in part.fields] + [("the identifier", part.id_index)]
        for name, index in named:
            if index is not None and part.starts and part.width and index >= part.width:
                message = f"{part_name(part)} has {part.width} columns, but {name} is said to be column {index}."
                yield Fault(message, value=str(index))


@flags(
    Rule(
        id="column-is-not-mapped",
        severity=Severity.WARNING,
        what="A column of a file has no field in the metafile.",
        why="Its values do not reach any reader.",
        remedy="Add a field with the term of the column, or remove the column.",
        source=f"{GUIDE} 2.4",
    )
)
def unmapped_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Every column has a field or is the identifier."""
    for part in contents.parts:
        known = {field.index for field in part.fields} | {part.id_index}
        for column in range(part.width):
            if column not in known:
                header = next((line[column] for line in part.headers if column < len(line)), "")
                message = f"{part_name(part)}: column {column} {header!r} has no field."
                yield Fault(message, value=header)


@flags(
    Rule(
        id="core-identifier-is-not-declared",
        severity=Severity.ERROR,
        what="The archive has extensions, but the core does not say which column identifies its rows.",
        why="No extension row can be tied to its core row.",
        remedy='Add <id index="…"/> to the core.',
        source=f"{GUIDE} 2.1.2, 2.2.2",
    )
)
def core_id_check(contents: ArchiveContents) -> Iterator[Fault]:
    """With extensions, the core has an id with an index."""
    if contents.core and contents.extensions and contents.core.id_index is None:
        yield Fault(f"{part_name(contents.core)} has no <id> with an index.")


@flags(
    Rule(
        id="extension-does-not-name-its-core-column",
        severity=Severity.ERROR,
        what="An extension does not say which column holds the identifier of the core row.",
        why="Its rows cannot be tied to the core.",
        remedy='Add <coreid index="…"/> to the extension.',
        source=f"{GUIDE} 2.1.2, 2.2.2",
    )
)
def core_link_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Every extension has a coreid with an index."""
    for part in contents.extensions:
        if part.id_index is None:
            yield Fault(f"{part_name(part)} has no <coreid> with an index.")


@flags(
    Rule(
        id="identifier-column-has-no-term",
        severity=Severity.WARNING,
        what="The column that identifies the core rows is not mapped to a term.",
        why="The identifier is used for links and then lost: readers of the rows do not see it.",
        remedy="Add a field with the same index, such as eventID.",
        source="example of the Darwin Core text guide (whales), which maps it",
    )
)
def id_term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """The id column is a field too."""
    core = contents.core
    if core and core.id_index is not None and all(field.index != core.id_index for field in core.fields):
        yield Fault(f"{part_name(core)} identifies its rows by column {core.id_index}, which has no field.")


@flags(
    Rule(
        id="date-format-hint-is-unknown",
        severity=Severity.WARNING,
        what="The hint about dates is not made of YYYY, MM and DD.",
        why="Readers that follow the hint read the dates wrongly.",
        remedy="Write dates in ISO form and leave the hint out.",
        source=f"{GUIDE} 2.2.1, dateFormat",
    )
)
def date_format_check(contents: ArchiveContents) -> Iterator[Fault]:
    """dateFormat has the form asked for."""
    for part in contents.parts:
        if not DATE_FORMAT.fullmatch(part.form.date_format):
            message = f"{part_name(part)} has the date format {part.form.date_format!r}."
            yield Fault(message, value=part.form.date_format)


@flags(
    Rule(
        id="field-vocabulary-is-no-identifier",
        severity=Severity.WARNING,
        what="The vocabulary of a field is not named by a full identifier.",
        why="Nobody can look up what the words mean.",
        remedy="Write the address of the list, or leave the attribute out.",
        source=f"{GUIDE} 2.4.1, vocabulary",
    )
)
def vocabulary_check(contents: ArchiveContents) -> Iterator[Fault]:
    """A vocabulary is an IRI."""
    for part in contents.parts:
        for field in part.fields:
            if field.vocabulary and not IDENTIFIER.fullmatch(field.vocabulary):
                message = f"{part_name(part)} names the vocabulary {field.vocabulary!r} for {short_name(field.term)}."
                yield Fault(message, value=field.vocabulary)


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
    on_the_web = urlsplit(contents.metadata_name).scheme in ("http", "https", "ftp")
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
    try:
        form, name = description_form(contents)
    except UnreadableFile as error:
        yield Fault(str(error), contents.metadata_name)
        return
    if contents.metadata and not form:
        yield Fault(f"{contents.metadata_name} begins with {name}.", contents.metadata_name, value=name)


METAFILE_CHECKS: tuple[Check[ArchiveContents], ...] = (
    root_check, unknown_check, core_check, incomplete_check, order_check, row_type_check, term_check,
    unknown_term_check, deprecated_check, pointless_field_check, repeated_term_check, shared_column_check,
    index_check, unmapped_check, core_id_check, core_link_check, id_term_check, date_format_check,
    vocabulary_check, metadata_named_check, metadata_there_check, metadata_form_check,
)  # fmt: skip
