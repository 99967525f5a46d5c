"""The columns that a metafile points to: do they exist, are they all named, do they tie the rows together?

Source: Darwin Core text guide (2023-09-13); the section stands with each rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.check.metafile.field_rules import GUIDE, part_name
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import identifier_term, short_name


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
    """The id column is a field too, or the identifier stands in a column of its own once more."""
    core = contents.core
    own = core and identifier_term(core.row_type)
    if (
        core
        and core.id_index is not None
        and all(one.index != core.id_index and one.term != own for one in core.fields)
    ):
        yield Fault(f"{part_name(core)} identifies its rows by column {core.id_index}, which has no field.")


COLUMN_CHECKS: tuple[Check[ArchiveContents], ...] = (
    shared_column_check, index_check, unmapped_check, core_id_check, core_link_check, id_term_check,
)  # fmt: skip
