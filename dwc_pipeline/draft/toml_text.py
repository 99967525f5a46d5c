"""A draft as the text of a survey file: TOML with the evidence as comments.

Source of the escapes: TOML 1.0.0, section String.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterable, Sequence

from dwc_pipeline.draft.proposal import ColumnPlacing, Confidence, Draft, Setting, TableProposal

BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
#: column at which comments stand, where the line is not longer
COMMENT_AT = 44
WIDTH = 118
MOST_LINES = 40
OPENING = """\
# A survey file proposed from {files}, {today}.
# Lines that start with "# " and look like settings are open: nothing on the sheets decides them. Take the # away
# once you know. Each line tells its evidence; correct whatever is wrong. Paths are relative to this file.
# What takes effect is certain or likely; "likely" is written where a look is worth while."""


def draft_toml(draft: Draft) -> str:
    """The survey file: valid TOML, valid settings, a comment for every piece of evidence."""
    lines = [OPENING.format(files=_files_spoken(draft), today="by dwc-pipeline draft")]
    if draft.questions:
        lines += ["#", "# First of all:", *(f"#   {n}. {one}" for n, one in enumerate(draft.questions, start=1))]
    for name, settings in draft.parts.items():
        lines += ["", f"[{name}]", *setting_lines(settings)]
    lines += ["", *people_lines(draft.initials)]
    if draft.unknown_names:
        lines += ["", *name_lines(draft)]
    for table in sorted(draft.tables, key=lambda one: one.confidence is Confidence.UNSURE):
        lines += ["", *table_lines(table)]
    if draft.not_placed:
        lines += ["", "# --- not read by any table " + "-" * 60]
        lines += [f"# {comment(one)}" for one in draft.not_placed]
    return "\n".join(lines) + "\n"


def _files_spoken(draft: Draft) -> str:
    number = len({file for table in draft.tables for file in table.files})
    return f"{number} file{'s' if number != 1 else ''}"


def toml_value(value: object) -> str:
    """A value as TOML.

    >>> toml_value('say "A"'), toml_value(dt.date(2031, 5, 4)), toml_value(["A1", "A2"]), toml_value(True)
    ('"say \\\\"A\\\\""', '2031-05-04', '["A1", "A2"]', 'true')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(one) for one in value)}]"
    return str(value)


def toml_key(key: str) -> str:
    """A key, quoted where it must be."""
    return key if BARE_KEY.fullmatch(key) else toml_value(key)


def comment(text: str) -> str:
    """A text that can stand in a comment: one line, no control signs."""
    return "".join(sign if sign.isprintable() else " " for sign in " ".join(text.split()))


def setting_lines(settings: Iterable[Setting], quoted: bool = False) -> list[str]:
    """One line a setting; those that do not take effect behind a "# "."""
    return [
        with_comment(
            ("" if one.active else "# ")
            + f"{toml_value(one.key) if quoted else toml_key(one.key)} = {toml_value(one.value)}",
            one.note,
        )
        for one in settings
    ]


def with_comment(line: str, note: str) -> str:
    """A line with its comment behind it."""
    return f"{line:<{COMMENT_AT - 2}}  # {comment(note)}" if note else line


def column_line(column: ColumnPlacing) -> str:
    """One line of [table.columns]."""
    note = column.reason
    if column.confidence is not Confidence.CERTAIN:
        note = f"{column.confidence}: {note}"
    if not column.field and not column.reason.startswith("left aside"):
        return with_comment(f'# {toml_value(column.key)} = ""', f"not placed: {column.reason}")
    is_open = column.confidence is Confidence.UNSURE
    return with_comment(("# " if is_open else "") + f"{toml_value(column.key)} = {toml_value(column.field)}", note)


def table_lines(table: TableProposal) -> list[str]:
    """One [[table]] entry; as comments where nobody can tell what the table holds."""
    title = f"# --- {table.name} "
    head = [title + "-" * max(4, WIDTH - len(title)), *(f"# {comment(one)}" for one in table.remarks), ""]
    lines = [
        "[[table]]",
        f"name = {toml_value(table.name)}",
        with_comment(f"holds = {toml_value(table.holds)}", "" if table.confidence == "certain" else table.confidence),
        f"files = {toml_value(table.files)}",
        *setting_lines(table.settings),
        "[table.columns]",
        *map(column_line, table.columns),
    ]
    for name, settings in table.parts.items():
        header = f"[table.{name}]"
        lines.append(header if any(one.active for one in settings) else f"# {header}")
        lines += setting_lines(settings, quoted=name in ("facts", "fact_patterns", "colours"))
    lines += word_lines(table.columns)
    if table.confidence is Confidence.UNSURE:
        lines = [line if line.startswith("#") else f"# {line}" for line in lines]
        head.insert(-1, f"# What this table holds is not clear: take the # away if it is indeed {table.holds}.")
    return [*head, *lines]


def word_lines(columns: Sequence[ColumnPlacing]) -> list[str]:
    """Words that the header explains, and as comments to be filled in those that nothing does."""
    lines = []
    for column in columns:
        if column.meanings:
            lines.append(f"[table.words.{column.field}]")
            note = f'the header "{column.header.strip()}" says it'
            lines += [with_comment(f"{toml_value(w)} = {toml_value(m)}", note) for w, m in column.meanings]
        elif column.words:
            lines.append(f"# [table.words.{column.field}]  # words that no list has; say what each means")
        if column.words:
            lines += [f'# {toml_value(comment(word)[:60])} = ""' for word in column.words[:MOST_LINES]]
    return lines


def people_lines(initials: Sequence[str]) -> list[str]:
    """Entries for the people whose initials stand on the sheets, to be filled in."""
    if not initials:
        return ["# [[people]]", '# name = "..."', '# roles = ["creator", "contact", "observer"]']
    lines = ["# Who stands behind these initials? Name each; one of them needs the roles creator and contact."]
    for text in initials[:MOST_LINES]:
        lines += ["# [[people]]", '# name = "..."', f"# initials = [{toml_value(comment(text))}]"]
    return lines


def name_lines(draft: Draft) -> list[str]:
    """Names that the checklist does not have, with those that come near."""
    lines = [
        "# Names that the checklist does not have: say what each stands for, or leave it to be asked.",
        "# [names]",
    ]
    for name, near in list(draft.unknown_names.items())[:MOST_LINES]:
        lines.append(with_comment(f'# {toml_value(comment(name))} = ""', f"near: {', '.join(near)}" if near else ""))
    hidden = len(draft.unknown_names) - MOST_LINES
    return [*lines, f"# ... and {hidden} more"] if hidden > 0 else lines
