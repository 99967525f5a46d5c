"""Remarks of the trap log that tell the state of a trap, where the column of trap states does not.

Only what can hardly mean anything else: a trap of the row's array with a word for its state beside it.

>>> [tuple(told) for told in told_in("2 toads; F1 was flooded", TrapList(("F1", "F2")))]
[('F1 was flooded', ('F1',), 'out of order')]
>>> [tuple(told) for told in told_in("lids on F1 F2", TrapList(("F1", "F2")))]
[('lids on F1 F2', ('F1', 'F2'), 'closed')]
>>> told_in("snake seen near F2, F1 rebuilt in May", TrapList(("F1", "F2")))
[]
"""

from __future__ import annotations

import json
import re
from collections.abc import Hashable
from functools import cache
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.findings import READINGS_SEPARATOR, findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.normalise.field_readers import Around
from dwc_pipeline.normalise.trap_label import TrapList, find_labels
from dwc_pipeline.terms.vocabulary import load_vocabulary

STATE_IN_REMARKS = declare(
    Rule(
        "trap-state-in-the-remarks",
        Severity.WARNING,
        "A remark of the log tells the state of a trap, and the column of trap states does not.",
        "Remarks are kept but not counted: a trap that was flooded, closed or missing has its full effort.",
        "Write the words in the column of trap states, on this row. Where the log has none, add one and place it as "
        "trap_state in the survey file. Answer `as it is` if the trap caught all the while.",
        asks=True,
    )
)
CLOSED, MISSING, OUT_OF_ORDER = "closed", "missing", "out of order"
CLOSED_FROM, CLOSED_UNTIL = "closed from then on", "closed until then"
#: acts at a visit, and what they say of the trap after it or before it
ACTS = {
    CLOSED_FROM: re.compile(
        r"(?<!\bto )(?<!\bwill )(?<!\bmust )(?<!\bnew )"
        r"(?:lids?\s+(?:(?:was|were|is|are)\s+)?(?:put|placed|set)(?:\s+back)?\s+on(?:to)?|(?:put|placed)\s+(?:(?:the|a|its|their)\s+)?lids?\s+(?:back\s+)?on(?:to)?)",
        re.I,
    ),
    CLOSED_UNTIL: re.compile(r"re[\s-]?opened|opened\s+again|lids?\s+(?:taken|removed|lifted)\s+(?:off|from)", re.I),
}
#: words of the list that remarks use of other things than traps
NOT_ALONE = frozenset({
    "ants", "fire ants", "raccoon", "coon", "cattle", "hogs", "skunk", "coyote", "armadillo", "opossum", "possum",
    "badger", "bear", "hole", "dist", "down", "inactive", "pulled", "flood", "close", "clsd", "ripped", "fence down",
})  # fmt: skip
SHORTEST_WORD = 4
#: words between a trap and its state that leave the state what it is
BETWEEN = (
    "was|were|is|are|been|has|have|had|got|found|still|again|both|also|all|completely|totally|fully|partly|partially|"
    "half|badly|very|trap|traps|pit|bucket|funnel|box|pitfall|lid|cup|and"
)
JOIN = r"[\s:=()–—-]+"
LABEL = (
    r"(?P<label>\b(?:[a-z]{1,9}[\s.#-]?\d{1,3}[a-z]?(?:\s?-\s?[a-z]?\d{1,3})?|all(?:\s+(?:the\s+)?(?:traps|pits|funnels|"
    r"boxes|buckets|pitfalls))?|pits|funnels|buckets|pitfalls)(?![\w])"
    r"(?P<more>(?:\s+(?!at|by|on|in)[a-z]{1,3}-?\d{1,3}[a-z]?(?![\w-])(?!\s+(?:(?:was|is)\s+)?(?:ok|okay|fine|good|open|"
    r"opened|dry|empty|set|working|reset|re)))*))"
)
MONTHS = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|spring|summer|autumn|fall|winter"
#: what was, or will be, at another time than the interval before the row
OTHER_TIME = re.compile(
    rf"\b(?:last\s+(?!night)\w+|ago|previously|tomorrow|next\s+\w+|(?:in|during)\s+(?:(?:{MONTHS})\w*|(?:19|20)\d\d))\b",
    re.I,
)
DENIED = re.compile(
    r"\b(?:no|not|never|nearly|almost|if|near|than|like|once|(?:to|will|must|should)\s+put(?:\s+(?:the|a))?)\s+$",
    re.I,
)
#: said of animals as well, where a noun follows: "F2 missing two toes"
OF_ANIMALS = frozenset({"missing", "gone", "broken", "damaged", "torn", "crushed"})
GOES_ON = re.compile(
    r"\s*(?:$|[(:]|(?:when|at|on|by|since|after|again|this|last|overnight|due|from|because|now|today)\b)", re.I
)
CLAUSE_ENDS = re.compile(r"[;,\n&+]|\.(?:\s|$)|\b(?:and|but)\b", re.I)


class Told(NamedTuple):
    """The words of a remark, the traps that they name and the state that they give them."""

    words: str
    labels: tuple[str, ...]
    state: str


@cache
def state_words() -> dict[str, str]:
    """Words that can only be the state of a trap that does not catch, and that state."""
    found = {}
    for word, entry in load_vocabulary("trap_state").entries.items():
        states = entry.value.split(READINGS_SEPARATOR)
        if len(word) >= SHORTEST_WORD and word not in NOT_ALONE and set(states) <= {CLOSED, MISSING, OUT_OF_ORDER}:
            found[word] = states[0]
    return found


@cache
def patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Trap before state, and state before trap."""
    words = "|".join(re.escape(word).replace(r"\ ", r"\s+") for word in sorted(state_words(), key=len, reverse=True))
    acts = "|".join(act.pattern for act in ACTS.values())
    state = rf"(?P<state>(?<!\w)(?:{acts}|{words})(?!\w))"
    elsewhere = rf"(?:{JOIN}(?:at|of|in)\s+\S+)?"
    forward = rf"{LABEL}{elsewhere}(?:{JOIN}(?:{BETWEEN}))*{JOIN}{state}"
    backward = rf"{state}(?:{JOIN}(?:{BETWEEN}|of|in|at))*{JOIN}{LABEL}"
    return re.compile(forward, re.I), re.compile(backward, re.I)


def told_in(remark: str, traps: TrapList) -> list[Told]:
    """What a remark tells of the states of traps of the array."""
    found: list[Told] = []
    for clause in CLAUSE_ENDS.split(remark):
        for pattern in patterns():
            said = pattern.search(clause)
            if said is None or DENIED.search(clause[: said.start()]):
                continue
            if OTHER_TIME.search(clause[: said.start()] + " " + clause[said.end() :]):
                continue
            word = " ".join(said["state"].casefold().split())
            if word in OF_ANIMALS and not GOES_ON.match(clause[said.end() :]):
                continue
            labels = labels_of(said["label"], said["more"], traps)
            if labels:
                found.append(Told(said[0].strip(), labels, state_of(word)))
                break
    return found


def state_of(words: str) -> str:
    """The state that the words of a remark give a trap."""
    return next((state for state, act in ACTS.items() if act.fullmatch(words)), "") or state_words()[words]


def labels_of(text: str, more: str, traps: TrapList) -> tuple[str, ...]:
    """Traps of a text such as "F1 F2"; none unless each part names traps in one way. more: behind the first."""
    parts = [text[: len(text) - len(more)], *more.split()]
    readings = [find_labels(part, traps) for part in parts]
    if any(len(reading) != 1 for reading in readings):
        return ()
    return tuple(dict.fromkeys(label for reading in readings for label in reading[0]))


def states_in_remarks(tidy: TidyTable, rows: pd.DataFrame, around: Around) -> pd.DataFrame:
    """A finding on each row of the log whose remark tells a state of a trap that its states do not tell.

    rows: standard rows of the trap log, with their moments.
    """
    remark, place = text_column(rows, "eventRemarks"), text_column(rows, "place")
    texts: dict[tuple[str, str], list[Told]] = {
        pair: told_in(pair[1], around.traps[pair[0]])
        for pair in set(zip(place, remark, strict=True))
        if pair[1] and pair[0] in around.traps
    }
    unread = text_column(rows, "trap_state/asked") == "true"
    messages: dict[Hashable, str] = {}
    tells = pd.Series([bool(texts.get(pair)) for pair in zip(place, remark, strict=True)], index=rows.index)
    log = plain_log(rows) if (tells & ~unread).any() else rows
    for row in rows.index[tells & ~unread]:
        of_array = log[log["place"] == place[row]]
        told = [one for one in texts[place[row], remark[row]] if is_news(one, log.loc[row], of_array)]
        if told:
            messages[row] = message_of(told, tidy, row, around)
    message = pd.Series(messages, dtype=object)
    moment = text_column(rows, "when/date") + " " + text_column(rows, "when/time")
    return findings_on_rows(
        STATE_IN_REMARKS,
        "trap_log",
        message.index,
        "eventRemarks",
        value=remark.reindex(message.index),
        cause=(place + " " + moment + "\x1f" + remark).reindex(message.index),
        message=message,
    )


def plain_log(rows: pd.DataFrame) -> pd.DataFrame:
    """What the rows of the log tell of their traps, in order of time."""
    day, clock = text_column(rows, "when/date"), text_column(rows, "when/time")
    told = {name: text_column(rows, name).astype(object) for name in ("place", "trap", "action")}
    states = text_column(rows, "trap_state/states").astype(object)
    return pd.DataFrame({**told, "states": states, "day": day, "at": day + clock}).sort_values("at", kind="stable")


def is_news(told: Told, row: pd.Series, of_array: pd.DataFrame) -> bool:
    """Whether the effort does not know yet what a remark tells.

    It does where the row gives a state of the same traps, or of all; where the state is what the row itself did;
    and where traps were closed, or seen closed or missing, by an earlier row. A fault found at an opening spoils no
    interval; a trap found flooded and then closed is both. of_array: rows of the array, as of `plain_log`.
    """
    until = of_array[of_array["day"] <= row["day"]]
    if told.state in (OUT_OF_ORDER, CLOSED_UNTIL) and "opened" in row["action"]:
        return False
    if told.state in (CLOSED, CLOSED_FROM) and ("closed" in row["action"] or (row["trap"] and row["action"])):
        return False
    if told.state == CLOSED_UNTIL:
        known = opened_on(until[until["day"] == row["day"]]) | labels_of_states(row["states"], told.labels)
    elif told.state == CLOSED_FROM:
        later = of_array[(of_array["at"] > row["at"]) & (of_array["trap"] == "")].head(1)
        known = known_shut(pd.concat([until, later]))
    else:
        shut = known_shut(until) if told.state != OUT_OF_ORDER else frozenset()
        known = shut | labels_of_states(row["states"], told.labels)
    return not set(told.labels) <= known


def opened_on(rows: pd.DataFrame) -> frozenset[str]:
    """Traps that some rows of the log open one by one."""
    opened = rows.loc[rows["action"].str.contains("opened"), "trap"]
    return frozenset(label for trap in opened for label in trap.split(READINGS_SEPARATOR) if label)


def known_shut(rows: pd.DataFrame) -> frozenset[str]:
    """Traps that the last of some rows of one array leave closed or missing. rows: as of `plain_log`."""
    shut: frozenset[str] = frozenset()
    for trap, action, states in zip(rows["trap"], rows["action"], rows["states"], strict=True):
        labels = frozenset(filter(None, trap.split(READINGS_SEPARATOR)))
        if action == "opened":
            shut = shut - labels if labels else frozenset()
        elif action == "closed":
            shut |= labels
        shut |= labels_of_states(states, (), "none")
    return shut


def labels_of_states(states: str, every: tuple[str, ...], effort: str = "") -> frozenset[str]:
    """Traps that the states of a row name, of one effort or of any; `every` where a state names none."""
    told = [state for state in (json.loads(states) if states else []) if effort in ("", state["effort"])]
    return frozenset(label for state in told for label in (state["labels"] or every))


def message_of(told: list[Told], tidy: TidyTable, row: Hashable, around: Around) -> str:
    """What the remark says, where it stands, and where it is to be written."""
    source = around.sources[int(tidy.origin.at[row, "source"])]
    sheet = f" {source.table.sheet}" if source.table.sheet else ""
    cell = f"{source.table.file}{sheet} row {tidy.origin.at[row, 'row']}"
    words = " and ".join(f"'{one.words}' ({', '.join(one.labels)}: {one.state})" for one in told)
    header = source.header(tidy, "trap_state")
    where = f"in the column '{header}'" if header else "in a column placed as trap_state; this log has none"
    if all(one.state == CLOSED_FROM for one in told):
        where += ", on the rows of the checks that follow as long as it stayed closed"
    return f"{words} stands in the remarks of {cell} and is not in the effort: write it {where}"
