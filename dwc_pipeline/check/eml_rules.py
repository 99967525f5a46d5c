"""What an EML document must fulfil beyond its schema.

Source: EML 2.2.0 specification, chapter "Validation and content references"; the number of the rule stands with
each. Rules 5 to 7 are warnings: documents that the specification ships as valid break their words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
from lxml import etree

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.core.safe_xml import local_name, parse_xml

NAMESPACE = "https://eml.ecoinformatics.org/eml-2.2.0"
CHAPTER = "EML 2.2.0, Validation and content references"
#: the order of what a data set has, from the schema of the data set and of a resource
DATASET_ORDER = (
    "alternateIdentifier", "shortName", "title", "creator", "metadataProvider", "associatedParty", "pubDate",
    "language", "series", "abstract", "keywordSet", "additionalInfo", "intellectualRights", "licensed",
    "distribution", "coverage", "annotation", "purpose", "introduction", "gettingStarted", "acknowledgements",
    "maintenance", "contact", "publisher", "pubPlace", "methods", "project",
)  # fmt: skip


def check_eml(document: bytes, name: str, file: str = "eml.xml", schemas: Path | None = None) -> pd.DataFrame:
    """Findings about an EML document.

    name: what the person knows the archive by. file: name of the document in it. schemas: a folder with the
    published EML 2.2.0 schemas, which are under another licence and not part of this project; where given, the
    document is checked against them too. Raises UnreadableFile if it is not XML.
    """
    root = parse_xml(document, file)
    frames = [check.findings(root, name) for check in EML_CHECKS]
    if schemas is not None:
        schema = etree.XMLSchema(etree.parse(schemas / "eml.xsd", etree.XMLParser(no_network=True)))
        schema.validate(root)
        frames.append(SCHEMA_CHECK.findings(schema.error_log, name))
    return join_findings(frames).assign(sheet=file)


def _elements(root: Any) -> Iterator[Any]:
    return (element for element in root.iter(etree.Element))


def _named(root: Any, name: str) -> Iterator[Any]:
    return (element for element in _elements(root) if local_name(element) == name)


def _fault(element: Any, message: str, value: str = "") -> Fault:
    line = element.sourceline or 0
    return Fault(f"line {line}: {message}", line=line, value=value)


@flags(
    Rule(
        id="eml-breaks-its-schema",
        severity=Severity.ERROR,
        what="The EML document does not follow its schema.",
        why="Archives refuse a document that is not valid.",
        remedy="Correct the element named; most often one stands in the wrong place or is misspelt.",
        source=f"{CHAPTER}, rule 1",
    )
)
def schema_check(errors: Any) -> Iterator[Fault]:
    """Errors of the published schema."""
    for error in errors:
        yield Fault(f"line {error.line}: {error.message}", line=error.line)


SCHEMA_CHECK: Check[Any] = schema_check


@flags(
    Rule(
        id="eml-has-another-root",
        severity=Severity.ERROR,
        what="The document does not begin with the element eml.",
        why="Readers do not take it for the description of a data set.",
        remedy="Put the whole into an element eml of EML 2.2.0.",
        source=f"{CHAPTER}, rule 2",
    )
)
def root_check(root: Any) -> Iterator[Fault]:
    """The root is eml."""
    if local_name(root) != "eml":
        yield _fault(root, f"the document begins with {local_name(root)}.", local_name(root))


@flags(
    Rule(
        id="eml-is-of-another-version",
        severity=Severity.NOTE,
        what="The document is not EML 2.2.0.",
        why="The rules of that version were used on it all the same.",
        remedy="Write the description as EML 2.2.0 when it is next revised.",
        source=f"{CHAPTER}, rule 2",
    )
)
def version_check(root: Any) -> Iterator[Fault]:
    """The namespace is that of 2.2.0."""
    namespace = etree.QName(root).namespace or ""
    if local_name(root) == "eml" and namespace != NAMESPACE:
        yield _fault(root, f"the namespace is {namespace!r}.", namespace)


@flags(
    Rule(
        id="eml-has-no-package-identifier",
        severity=Severity.ERROR,
        what="The document lacks its package identifier or the system in which that is unique.",
        why="Two versions of the data set cannot be told apart.",
        remedy="Give the element eml the attributes packageId and system.",
        source=f"{CHAPTER}, rule 3",
    )
)
def package_check(root: Any) -> Iterator[Fault]:
    """packageId and system are given."""
    for attribute in ("packageId", "system"):
        if attribute not in root.attrib:
            yield _fault(root, f"the element eml has no {attribute}.", attribute)


@flags(
    Rule(
        id="eml-package-identifier-is-empty",
        severity=Severity.WARNING,
        what="The package identifier, or the system in which it is unique, is empty.",
        why="Two versions of the data set cannot be told apart. The schema lets it pass.",
        remedy="Fill packageId and system of the element eml.",
        source=f"{CHAPTER}, rule 3",
    )
)
def empty_package_check(root: Any) -> Iterator[Fault]:
    """packageId and system are not empty."""
    for attribute in ("packageId", "system"):
        if attribute in root.attrib and not root.get(attribute).strip():
            yield _fault(root, f"{attribute} of the element eml is empty.", attribute)


@flags(
    Rule(
        id="eml-dataset-is-incomplete",
        severity=Severity.ERROR,
        what="The data set has no title, no creator or no contact.",
        why="These three make the least document that is valid.",
        remedy="Add what is missing.",
        source=f"{CHAPTER}, rule 1; schema of the data set",
    )
)
def least_check(root: Any) -> Iterator[Fault]:
    """Title, creator and contact are there."""
    for dataset in (child for child in root if local_name(child) == "dataset"):
        names = {local_name(child) for child in dataset}
        if "references" not in names:
            for wanted in ("title", "creator", "contact"):
                if wanted not in names:
                    yield _fault(dataset, f"the data set has no {wanted}.", wanted)


@flags(
    Rule(
        id="eml-dataset-is-out-of-order",
        severity=Severity.ERROR,
        what="The parts of the data set stand in another order than the schema asks for.",
        why="Archives refuse a document that is not valid.",
        remedy="Move the element named to its place.",
        source=f"{CHAPTER}, rule 1; schema of the data set",
    )
)
def order_check(root: Any) -> Iterator[Fault]:
    """The parts of the data set are in order."""
    for dataset in (child for child in root if local_name(child) == "dataset"):
        latest = -1
        for child in dataset:
            name = local_name(child)
            place = DATASET_ORDER.index(name) if name in DATASET_ORDER else latest
            if place < latest:
                yield _fault(child, f"{name} must stand before {DATASET_ORDER[latest]}.", name)
            latest = max(latest, place)


@flags(
    Rule(
        id="eml-identifier-is-repeated",
        severity=Severity.ERROR,
        what="Two elements have the same id.",
        why="A reference to it means either of them.",
        remedy="Give each its own id.",
        source=f"{CHAPTER}, rule 4",
    )
)
def repeated_id_check(root: Any) -> Iterator[Fault]:
    """Ids are unique."""
    counts = Counter(element.get("id") for element in _elements(root) if element.get("id"))
    for name, count in counts.items():
        if count > 1:
            yield Fault(f"{count} elements have the id {name!r}.", value=name)


@flags(
    Rule(
        id="eml-annotation-has-no-subject",
        severity=Severity.WARNING,
        what="An annotation stands in an element without id and does not say what it is about.",
        why="Nobody can tell what the statement is made of.",
        remedy="Give the element an id, or the annotation the attribute references.",
        source=f"{CHAPTER}, rule 5",
    )
)
def annotation_check(root: Any) -> Iterator[Fault]:
    """Annotations have a subject."""
    for annotation in _named(root, "annotation"):
        parent = annotation.getparent()
        if parent is not None and not parent.get("id") and not annotation.get("references"):
            yield _fault(annotation, f"an annotation in {local_name(parent)}, which has no id.")


@flags(
    Rule(
        id="eml-reference-leads-nowhere",
        severity=Severity.WARNING,
        what="A reference names an id that no element has.",
        why="What it stands for, such as the contact, is missing.",
        remedy="Correct the reference, or add the element with that id.",
        source=f"{CHAPTER}, rule 6",
    )
)
def reference_check(root: Any) -> Iterator[Fault]:
    """References name existing ids."""
    known = {element.get("id") for element in _elements(root)}
    for element, name in _references(root):
        if name not in known:
            yield _fault(element, f"the reference {name!r} is the id of no element.", name)


@flags(
    Rule(
        id="eml-reference-names-another-system",
        severity=Severity.WARNING,
        what="A reference and the element that it names have different systems, or only one of them has any.",
        why="The two may not mean the same.",
        remedy="Give both the same attribute system, or neither.",
        source=f"{CHAPTER}, rule 7",
    )
)
def system_check(root: Any) -> Iterator[Fault]:
    """Systems of a reference and its target agree."""
    by_id = {element.get("id"): element for element in _elements(root) if element.get("id")}
    for element in _named(root, "references"):
        target = by_id.get((element.text or "").strip())
        if target is not None and element.get("system") != target.get("system"):
            yield _fault(element, f"the reference to {target.get('id')!r} has another system.", target.get("id"))


@flags(
    Rule(
        id="eml-reference-has-its-own-identifier",
        severity=Severity.ERROR,
        what="An element that only refers to another has an id itself.",
        why="It is then neither the thing nor a pointer to it.",
        remedy="Remove the id, or write the content out.",
        source=f"{CHAPTER}, rule 8",
    )
)
def own_id_check(root: Any) -> Iterator[Fault]:
    """What refers has no id."""
    for references in _named(root, "references"):
        parent = references.getparent()
        if parent is not None and parent.get("id"):
            yield _fault(
                parent, f"{local_name(parent)} has the id {parent.get('id')!r} and refers.", parent.get("id")
            )


@flags(
    Rule(
        id="eml-additional-metadata-describe-nothing",
        severity=Severity.ERROR,
        what="Additional metadata say that they describe an id that no element has.",
        why="Nobody can tell what they are about.",
        remedy="Correct the id, or leave describes out.",
        source=f"{CHAPTER}, rule 9",
    )
)
def describes_check(root: Any) -> Iterator[Fault]:
    """describes names existing ids."""
    known = {element.get("id") for element in _elements(root)}
    for describes in _named(root, "describes"):
        name = (describes.text or "").strip()
        if local_name(describes.getparent()) == "additionalMetadata" and name not in known:
            yield _fault(describes, f"describes {name!r}, the id of no element.", name)


@flags(
    Rule(
        id="eml-custom-unit-is-not-defined",
        severity=Severity.ERROR,
        what="A unit that is not of the standard list has no definition in the document.",
        why="Nobody can convert the values.",
        remedy="Use a standard unit, or define the unit in STMML in the additional metadata.",
        source=f"{CHAPTER}, rule 10",
    )
)
def custom_unit_check(root: Any) -> Iterator[Fault]:
    """Custom units are defined."""
    defined = {unit.get("id") for unit in _named(root, "unit") if unit.get("id")}  # often without the namespace
    for custom in _named(root, "customUnit"):
        name = (custom.text or "").strip()
        if name not in defined:
            yield _fault(custom, f"the unit {name!r} is not defined.", name)


def _references(root: Any) -> Iterator[tuple[Any, str]]:
    for element in _named(root, "references"):
        yield element, (element.text or "").strip()
    for annotation in _named(root, "annotation"):
        if annotation.get("references"):
            yield annotation, annotation.get("references")


EML_CHECKS: tuple[Check[Any], ...] = (
    root_check, version_check, package_check, empty_package_check, least_check, order_check, repeated_id_check,
    annotation_check, reference_check, system_check, own_id_check, describes_check, custom_unit_check,
)  # fmt: skip
