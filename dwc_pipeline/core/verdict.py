"""What a normaliser says of one distinct value.

A verdict never guesses: a value with one reading is `kept` or `changed`; a value with two readings is
`ambiguous` and lists them; a value with none is `unreadable` and may list what could have been meant.
Only `kept` and `changed` carry a standard value.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

NOTHING_ELSE: Mapping[str, str] = MappingProxyType({})


class Status(StrEnum):
    """How a value was met."""

    KEPT = "kept"
    CHANGED = "changed"
    AMBIGUOUS = "ambiguous"
    UNREADABLE = "unreadable"
    EMPTY = "empty"


class Flag(NamedTuple):
    """One more thing to tell a person about a value that could be read.

    rule: identifier of a declared rule. note: what is wrong, in the reader's words.
    readings: what could be put instead, best first; never applied.
    """

    rule: str
    note: str
    readings: tuple[str, ...] = ()


class Verdict(NamedTuple):
    """The reading of one distinct value.

    value: the standard value as text; "" unless the status is `kept` or `changed`.
    rule: for `changed`, the name of the reading that was used; for `ambiguous` and `unreadable`, the
    identifier of the declared rule that the finding quotes.
    note: the evidence, or what is wrong, in one sentence for a biologist.
    readings: standard values that the text could stand for, best first.
    also: further terms that the same cell fills, such as lifeStage from "juv racer".
    flags: findings about a value that could be read all the same.
    """

    status: Status
    value: str = ""
    rule: str = ""
    note: str = ""
    readings: tuple[str, ...] = ()
    also: Mapping[str, str] = NOTHING_ELSE
    flags: tuple[Flag, ...] = ()

    @property
    def is_read(self) -> bool:
        """True if there is a standard value to use."""
        return self.status in (Status.KEPT, Status.CHANGED)


EMPTY = Verdict(Status.EMPTY)


def kept_or_changed(verbatim: str, value: str, rule: str, note: str = "", **more: object) -> Verdict:
    """A readable value: `kept` if it was typed exactly so, else `changed` by the rule.

    >>> kept_or_changed("male", "male", "word-list").status
    <Status.KEPT: 'kept'>
    >>> kept_or_changed("M", "male", "word-list", "M stands for male").rule
    'word-list'
    """
    if verbatim == value:
        return Verdict(Status.KEPT, value, note=note, **more)  # type: ignore[arg-type]  # forwarded fields
    return Verdict(Status.CHANGED, value, rule, note, **more)  # type: ignore[arg-type]  # forwarded fields


def ambiguous(rule: str, note: str, readings: tuple[str, ...], **more: object) -> Verdict:
    """A value with more than one reading: a question, never a choice."""
    return Verdict(Status.AMBIGUOUS, "", rule, note, readings, **more)  # type: ignore[arg-type]


def unreadable(rule: str, note: str, readings: tuple[str, ...] = (), **more: object) -> Verdict:
    """A value with no reading; `readings` are offered to the person and never applied."""
    return Verdict(Status.UNREADABLE, "", rule, note, readings, **more)  # type: ignore[arg-type]
