"""The parts of a metafile: are they all there, and where the schema wants them?

Source: Darwin Core text guide (2023-09-13); the section stands with each rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from lxml import etree

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.core.safe_xml import local_name, parse_xml

NAMESPACE = "http://rs.tdwg.org/dwc/text/"
GUIDE = "Darwin Core text guide"
FORM_ATTRIBUTES = {"rowType", "fieldsTerminatedBy", "linesTerminatedBy", "fieldsEnclosedBy", "encoding",
                   "ignoreHeaderLines", "dateFormat"}  # fmt: skip
#: element -> attributes that it may have. delimitedBy is in the schema only.
KNOWN = {
    "archive": {"metadata"}, "core": FORM_ATTRIBUTES, "extension": FORM_ATTRIBUTES, "files": set(), "location": set(),
    "id": {"index"}, "coreid": {"index"}, "field": {"index", "term", "default", "vocabulary", "delimitedBy"},
}  # fmt: skip


def _root(contents: ArchiveContents) -> Any:
    """The root of the metafile; an empty archive element where there is no metafile."""
    if not contents.metafile:
        return etree.Element(f"{{{NAMESPACE}}}archive")
    return parse_xml(contents.metafile, contents.name)


def _described(contents: ArchiveContents) -> Iterator[Any]:
    """The core and extension elements."""
    return (element for element in _root(contents) if local_name(element) in ("core", "extension"))


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


STRUCTURE_CHECKS: tuple[Check[ArchiveContents], ...] = (
    root_check, unknown_check, core_check, incomplete_check, order_check,
)  # fmt: skip
