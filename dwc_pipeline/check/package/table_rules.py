"""The rows of a data package: types, keys and references by a Table Schema validator, and the weak keys by ourselves.

The validator is given the descriptor without `profile`, which it would fetch from the network.
Source: Darwin Core Data Package guide (2026-05-26), sections 3.2 and 3.3; weak keys: table schemas 1.0_DEV (draft).
"""

from __future__ import annotations

import gc
import warnings
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from dwc_pipeline.check.archive_fault import MOST_EXAMPLES, Check, Fault, flags
from dwc_pipeline.check.package.resource_rules import is_misnamed
from dwc_pipeline.core.package_contents import DESCRIPTOR, PackageContents
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.data_package import published_tables

GUIDE = "Darwin Core Data Package guide (2026-05-26)"
DRAFT = "table schemas 1.0_DEV (draft)"
#: errors of the validator about the rows; those about header and schema are told by rules of ours
OF_ROWS = frozenset({
    "type-error", "constraint-error", "unique-error", "primary-key", "foreign-key", "missing-cell", "extra-cell",
    "blank-row", "row-error", "cell-error", "encoding-error", "source-error", "scheme-error", "format-error",
})  # fmt: skip
LONGEST_SHOWN = 200
#: errors of one table that are told
MOST_ERRORS = 100


def _opened(package: PackageContents) -> tuple[Any, list[str]]:
    """The package as the validator sees it, or None and why it cannot work with the descriptor."""
    from frictionless import FrictionlessException, Package

    descriptor = deepcopy(dict(package.descriptor))
    descriptor.pop("profile", None)
    try:
        return Package.from_descriptor(descriptor, basepath=str(package.folder)), []
    except FrictionlessException as error:
        return None, [str(reason.message) for reason in error.reasons] or [str(error.error.message)]


@flags(
    Rule(
        id="package-descriptor-breaks-its-specification",
        severity=Severity.ERROR,
        what="The descriptor breaks the Data Package, Data Resource or Table Schema specification.",
        why="General tools refuse the package, or a table of it.",
        remedy="Correct what the message names.",
        source=f"{GUIDE} 3.1 no. 5, 3.2, 3.3 (MUST follow the specifications)",
    )
)
def specification_check(package: PackageContents) -> Iterator[Fault]:
    """The descriptor can be used."""
    for message in _opened(package)[1][:MOST_EXAMPLES] if package.descriptor else ():
        yield Fault(message, DESCRIPTOR, cause=message)


@flags(
    Rule(
        id="package-row-breaks-its-schema",
        severity=Severity.ERROR,
        what="A value has another type than its field, a key is repeated or empty, or a reference leads nowhere.",
        why="The row is refused, or tied to nothing.",
        remedy="Correct the row; the message says what is expected.",
        source=f"{GUIDE} 3.3 (the schema follows Table Schema and describes the data)",
    )
)
def row_check(package: PackageContents) -> Iterator[Fault]:
    """Rows fit their schema."""
    # The validator goes by the name of a file: one that is packed under another name would only break it.
    if package.descriptor and not any(is_misnamed(package, table) for table in package.tables):
        yield from _row_faults(package)


def _row_faults(package: PackageContents) -> list[Fault]:
    """What the validator says of the rows. It leaves packed files open, which are closed here with what held them."""
    faults = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        opened = _opened(package)[0]
        for task in opened.validate(limit_errors=MOST_ERRORS).tasks if opened is not None else ():
            faults += [_row_fault(task.place, error) for error in task.errors if error.type in OF_ROWS]
        del opened
        gc.collect()
    return faults


def _row_fault(file: str, error: Any) -> Fault:
    line = int(getattr(error, "row_number", None) or 0)
    field, cell = (str(getattr(error, name, None) or "") for name in ("field_name", "cell"))
    message = f"{file}, line {line}: {error.message}"[:LONGEST_SHOWN] if line else str(error.message)
    return Fault(message, file, line, "", cell, field, cause=f"{file} {error.type} {field}")


@flags(
    Rule(
        id="package-identifier-is-repeated",
        severity=Severity.WARNING,
        what="An identifier of Darwin Core, such as eventID, stands in more than one row of its own table.",
        why="Aggregators keep it and may replace the key of the package: then the two rows become one.",
        remedy="Give every row an identifier of its own.",
        source=f"weakPrimaryKey of the {DRAFT}",
    )
)
def weak_key_check(package: PackageContents) -> Iterator[Fault]:
    """Identifiers are unique."""
    for table in package.tables:
        for name, field in published_tables()[table.name].items():
            if field.role == "weak primary key" and name in table.rows:
                values = table.rows[name]
                repeated = values.index[values.duplicated() & (values != "")]
                yield from _faults(table.file, name, values, repeated, "stands in an earlier row too")


@flags(
    Rule(
        id="package-identifier-leads-nowhere",
        severity=Severity.NOTE,
        what="An identifier names a row of another table of the package that is not there.",
        why="It may be known elsewhere; if it was meant for this package, the link is lost.",
        remedy="Compare the two tables.",
        source=f"weakForeignKeys of the {DRAFT}",
    )
)
def weak_reference_check(package: PackageContents) -> Iterator[Fault]:
    """Identifiers lead to rows."""
    for table in package.tables:
        for name, field in published_tables()[table.name].items():
            target = package.table(field.references[0]) if field.role == "weak foreign key" else None
            if target is not None and name in table.rows and field.references[1] in target.rows:
                values = table.rows[name]
                lost = values.index[(values != "") & ~values.isin(target.rows[field.references[1]])]
                yield from _faults(table.file, name, values, lost, f"is in no row of {target.name}")


def _faults(file: str, name: str, values: Any, records: Any, what: str) -> Iterator[Fault]:
    for record in records[:MOST_EXAMPLES]:
        value = str(values.loc[record])
        message = f"{file}, line {record + 1}, {name}: {value!r} {what} ({len(records)} such rows)."
        yield Fault(message, file, int(record) + 1, "", value, name, cause=f"{file} {name} {what}")


TABLE_CHECKS: tuple[Check[PackageContents], ...] = (
    specification_check, row_check, weak_key_check, weak_reference_check,
)  # fmt: skip
