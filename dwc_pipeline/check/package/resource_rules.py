"""The resources of a data package, their schemas and their fields.

Source: Darwin Core Data Package guide (2026-05-26), sections 3.2 to 3.4 (normative). What is compared with the table
schemas 1.0_DEV is compared with a draft, and is never more than a warning.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.core.package_contents import DESCRIPTOR, PackageContents, PackageTable
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.data_package import published_tables

GUIDE = "Darwin Core Data Package guide (2026-05-26)"
DRAFT = "table schemas 1.0_DEV (draft)"
#: RFC 4180 in the words of a dialect
RFC_4180 = {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": '"', "doubleQuote": True, "header": True,
            "skipInitialSpace": False, "commentChar": None, "caseSensitiveHeader": False}  # fmt: skip
NEEDED_OF_A_FIELD = ("name", "title", "description", "type", "dcterms:isVersionOf")


def _said(table: PackageTable, what: str, field: str = "", value: str = "") -> Fault:
    return Fault(f"table {table.name}: {what}", DESCRIPTOR, value=value, field=field, cause=f"{table.name} {what}")


@flags(
    Rule(
        id="package-resource-lacks-what-it-must-say",
        severity=Severity.ERROR,
        what="A table has no path, no profile tabular-data-resource, no mediatype text/csv or no schema.",
        why="Readers cannot find the file, or cannot read it as a table.",
        remedy="Add what is missing to the resource; the schema must stand there itself, not a reference to one.",
        source=f"{GUIDE} 3.2 (MUST)",
    )
)
def resource_check(package: PackageContents) -> Iterator[Fault]:
    """Tables say what they must."""
    for table in package.tables:
        resource = table.resource
        if resource.get("profile") != "tabular-data-resource":
            yield _said(table, "profile is not tabular-data-resource.", "profile", str(resource.get("profile", "")))
        if resource.get("mediatype") != "text/csv":
            yield _said(table, "mediatype is not text/csv.", "mediatype", str(resource.get("mediatype", "")))
        if not isinstance(resource.get("schema"), Mapping) or not table.fields:
            yield _said(table, "schema is no object with fields.", "schema")
        if not isinstance(resource.get("path"), str):
            yield _said(table, "path is no text.", "path", str(resource.get("path", "")))


@flags(
    Rule(
        id="package-resource-does-not-say-its-format",
        severity=Severity.NOTE,
        what="A table has no format, or another one than csv or tsv.",
        why="Readers have to guess from the name of the file.",
        remedy='Write "format": "csv".',
        source=f"{GUIDE} 3.2 (SHOULD)",
    )
)
def format_check(package: PackageContents) -> Iterator[Fault]:
    """Tables say their format."""
    for table in package.tables:
        if table.resource.get("format") not in ("csv", "tsv"):
            yield _said(table, "format is neither csv nor tsv.", "format", str(table.resource.get("format", "")))


@flags(
    Rule(
        id="package-resource-name-is-repeated",
        severity=Severity.ERROR,
        what="Two resources have the same name.",
        why="References between tables go by the name: half of the rows are not found.",
        remedy="Join the two files, or give the one that is no table another name.",
        source=f"{GUIDE} 3.2 (reserved names) with the Data Resource specification (unique names)",
    )
)
def names_check(package: PackageContents) -> Iterator[Fault]:
    """Names are unique."""
    counts = Counter(str(one.get("name")) for one in package.resources)
    for name, count in counts.items():
        if count > 1:
            yield Fault(f"{count} resources are called {name}.", DESCRIPTOR, value=name, field="name")


@flags(
    Rule(
        id="package-file-form-is-not-described",
        severity=Severity.WARNING,
        what="The lines of a file end otherwise than RFC 4180 says, and the dialect does not tell.",
        why="The guide asks for it; most readers cope, and its own example is written so.",
        remedy='Write lines that end in CR LF, or "dialect": {"lineTerminator": "\\n"}.',
        source=f"{GUIDE} 3.2 (MUST: a departure from RFC 4180 is described in dialect)",
    )
)
def line_end_check(package: PackageContents) -> Iterator[Fault]:
    """Departures are described."""
    for table in package.tables:
        told = _dialect(table).get("lineTerminator", "\r\n")
        if table.line_end and table.line_end != told:
            shown = {"\n": "LF", "\r\n": "CR LF"}
            message = f"table {table.name}: lines end in {shown[table.line_end]}."
            yield Fault(message, table.file, 1, cause=message)


@flags(
    Rule(
        id="package-dialect-repeats-the-rule",
        severity=Severity.NOTE,
        what="A dialect says what holds anyway.",
        why="It should hold the differences only, so that a reader sees at once what is different.",
        remedy="Leave out what is as in RFC 4180, and the whole dialect if nothing remains.",
        source=f"{GUIDE} 3.2 (SHOULD NOT)",
    )
)
def dialect_check(package: PackageContents) -> Iterator[Fault]:
    """Dialects say what is different."""
    for table in package.tables:
        idle = [key for key, value in _dialect(table).items() if key in RFC_4180 and RFC_4180[key] == value]
        if idle or table.resource.get("dialect") == {}:
            yield _said(table, f"dialect repeats {', '.join(idle) or 'nothing'}.", "dialect")


def _dialect(table: PackageTable) -> Mapping[str, Any]:
    found = table.resource.get("dialect")
    return found if isinstance(found, Mapping) else {}


@flags(
    Rule(
        id="package-file-is-packed-under-another-name",
        severity=Severity.ERROR,
        what="A file is packed with gzip and not called so, or called .gz and not packed.",
        why="Readers go by the name and find gibberish.",
        remedy="Call a packed file by its name plus .gz: event.csv.gz.",
        source=f"{GUIDE} 3 (MUST)",
    )
)
def packed_check(package: PackageContents) -> Iterator[Fault]:
    """Packed files are called so."""
    for table in package.tables:
        if is_misnamed(package, table):
            packed = "not packed" if table.file.endswith(".gz") else "packed"
            yield Fault(f"{table.file} is {packed}.", table.file)


def is_misnamed(package: PackageContents, table: PackageTable) -> bool:
    """True if the name of a file says packed and the file is not, or the other way round."""
    if table.file not in package.files:
        return False
    with (package.folder / table.file).open("rb") as stream:
        return (stream.read(2) == b"\x1f\x8b") != table.file.endswith(".gz")


@flags(
    Rule(
        id="package-fields-differ-from-the-columns",
        severity=Severity.ERROR,
        what="The fields of a schema are not the columns of the file: other names, another number or order.",
        why="Values are read under the wrong name.",
        remedy="List the fields in the order of the columns, with the names of the header.",
        source=f"{GUIDE} 3.3 (MUST: same number and order), 3.4 (SHOULD: same name)",
    )
)
def columns_check(package: PackageContents) -> Iterator[Fault]:
    """Fields are the columns."""
    for table in package.tables:
        names = tuple(str(field.get("name")) for field in table.fields)
        if table.header and table.fields and names != table.header:
            pairs = list(zip(names, table.header, strict=False))
            first = next((number for number, (name, column) in enumerate(pairs) if name != column), len(pairs))
            told = f"{len(names)} fields for {len(table.header)} columns" if len(names) != len(table.header) else ""
            where = f"column {first + 1} is {table.header[first]!r}" if first < len(table.header) else ""
            message = f"table {table.name}: {'; '.join(one for one in (told, where) if one)}."
            yield Fault(message, table.file, 1, cause=message)


@flags(
    Rule(
        id="package-field-lacks-what-it-must-say",
        severity=Severity.ERROR,
        what=f"A field has no {', '.join(NEEDED_OF_A_FIELD[:-1])} or {NEEDED_OF_A_FIELD[-1]}.",
        why="The column has no meaning that a reader could look up.",
        remedy="Copy the description of the field from the published table schema.",
        source=f"{GUIDE} 3.4 (MUST)",
    )
)
def field_check(package: PackageContents) -> Iterator[Fault]:
    """Fields say what they must."""
    for table in package.tables:
        for field in table.fields:
            missing = [key for key in NEEDED_OF_A_FIELD if not isinstance(field.get(key), str) or not field[key]]
            if missing:
                name = str(field.get("name", ""))
                yield _said(table, f"field {name!r} has no {', '.join(missing)}.", name)


@flags(
    Rule(
        id="package-field-is-not-in-its-table",
        severity=Severity.WARNING,
        what="A field is not one of the published table, or is described as another type or term than there.",
        why="Own fields should not be added, and a field that means something else misleads every reader.",
        remedy="Use the published field, or put the value into an assertion or remark.",
        source=f"{GUIDE} 3.3 (SHOULD NOT; MUST NOT be misrepresented); compared with the {DRAFT}",
    )
)
def published_check(package: PackageContents) -> Iterator[Fault]:
    """Fields are published ones."""
    for table in package.tables:
        known = published_tables()[table.name]
        for field in table.fields:
            name = str(field.get("name", ""))
            if name not in known:
                yield _said(table, f"field {name!r} is not published for it.", name)
                continue
            told = {"type": known[name].type, "dcterms:isVersionOf": known[name].term}
            for key, value in told.items():
                if field.get(key) not in (None, value):
                    yield _said(table, f"field {name!r} has {key} {field[key]!r}, published is {value!r}.", name)


@flags(
    Rule(
        id="package-required-field-is-missing",
        severity=Severity.WARNING,
        what="A table lacks a field that is required there.",
        why="Rows cannot be tied together, or say nothing of what they are.",
        remedy="Add the field.",
        source=f"compared with the {DRAFT}; earlier schemas, also those of the guide's example, have other keys",
    )
)
def required_check(package: PackageContents) -> Iterator[Fault]:
    """Required fields are there."""
    for table in package.tables:
        names = {str(field.get("name")) for field in table.fields}
        missing = [name for name, field in published_tables()[table.name].items() if field.is_required]
        missing = [name for name in missing if name not in names]
        if missing and table.fields:
            yield _said(table, f"there is no {', '.join(missing)}.", missing[0])


@flags(
    Rule(
        id="package-key-is-not-declared",
        severity=Severity.WARNING,
        what="A table has the field of a key, and its schema does not declare the key, or declares another.",
        why="Validators and readers join tables by the declared keys only.",
        remedy="Declare primaryKey and foreignKeys as the published schema has them.",
        source=f"{GUIDE} 3.3 (primaryKey SHOULD, and REQUIRED if another table refers to it; foreignKeys SHOULD); "
        f"compared with the {DRAFT}",
    )
)
def key_check(package: PackageContents) -> Iterator[Fault]:
    """Keys are declared."""
    for table in package.tables:
        published = published_tables()[table.name]
        names = {str(field.get("name")) for field in table.fields}
        own = _names(table.schema.get("primaryKey"))
        strong = [name for name, field in published.items() if field.role == "primary key" and name in names]
        if strong and own != tuple(strong):
            yield _said(
                table, f"primaryKey is {', '.join(own) or 'missing'}, published is {strong[0]}.", "primaryKey"
            )
        declared = {column for key in _keys(table) for column in _names(key.get("fields"))}
        for name, field in published.items():
            target = package.table(field.references[0] or table.name)
            if field.role == "foreign key" and name in names and target and name not in declared:
                yield _said(table, f"the key {name} to {target.name} is not declared.", name)


def _names(value: object) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else tuple(map(str, value)) if isinstance(value, list) else ()


def _keys(table: PackageTable) -> list[Mapping[str, Any]]:
    keys = table.schema.get("foreignKeys")
    return [key for key in keys if isinstance(key, Mapping)] if isinstance(keys, list) else []


RESOURCE_CHECKS: tuple[Check[PackageContents], ...] = (
    resource_check, format_check, names_check, line_end_check, dialect_check, packed_check, columns_check,
    field_check, published_check, required_check, key_check,
)  # fmt: skip
