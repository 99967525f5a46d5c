"""A data package in the shape of an archive's tables, so that versions of both kinds can be compared.

Strong keys are followed and left out; identifiers, terms and counts stand as an archive has them.
Source: Darwin Core Data Package guide (2026-05-26), table schemas 1.0_DEV.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.core.package_contents import PackageContents
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.terms.data_package import ASSERTION_TERMS, INDIVIDUALS, published_tables

#: tables that become part of a compared table
USED = ("event", "occurrence", "identification", "survey", "event-assertion", "occurrence-assertion")
#: tables that only link others or name what identifiers stand for
LINKS = ("protocol", "agent")


def package_version_tables(package: PackageContents) -> tuple[dict[str, pd.DataFrame], tuple[str, ...]]:
    """Tables event, occurrence, measurement and humboldt as far as the package has them; and its other tables.

    Raises UnreadableFile if there are neither events nor occurrences.
    """
    held = {table.name: table.rows for table in package.tables if len(table.header)}
    if not {"event", "occurrence"} & set(held):
        raise UnreadableFile(
            f"{package.name} is a data package without events and occurrences: there is nothing to compare."
        )
    made = {}
    events = _identifiers(held.get("event"), "event")
    if "event" in held:
        made["event"] = _terms("event", held["event"])
        if "parentEvent_fk" in held["event"]:
            made["event"]["parentEventID"] = _followed(held["event"]["parentEvent_fk"], events)
    occurrences = _identifiers(held.get("occurrence"), "occurrence")
    if "occurrence" in held:
        made["occurrence"] = _occurrences(held, occurrences, events)
    measured = [
        _assertions(held[name], occurrences, events, about)
        for name, about in (("event-assertion", "event"), ("occurrence-assertion", "occurrence"))
        if name in held
    ]
    if measured:
        made["measurement"] = pd.concat(measured, ignore_index=True).fillna("")
        _add_events(made)
    if "survey" in held:
        made["humboldt"] = _terms("survey", held["survey"])
        made["humboldt"]["eventID"] = _followed(text_column(held["survey"], "event_fk"), events)
    left_out = [name for name in held if name not in (*USED, *LINKS) and len(held[name])]
    return made, tuple(left_out)


def _terms(table: str, rows: pd.DataFrame) -> pd.DataFrame:
    """The columns of published terms; strong keys are left out."""
    known = published_tables()[table]
    return rows[[name for name in rows if name in known and not known[name].is_strong_key]].copy()


def _identifiers(rows: pd.DataFrame | None, table: str) -> pd.Series:
    """The Darwin Core identifier by strong key; the key itself where there is no identifier."""
    if rows is None:
        return pd.Series(dtype=object)
    key, said = text_column(rows, f"{table}_pk"), text_column(rows, f"{table}ID")
    found = pd.Series(said.where(said != "", key).to_numpy(), index=key.to_numpy(), dtype=object)
    return found[~found.index.duplicated()]


def _followed(keys: pd.Series, identifiers: pd.Series) -> pd.Series:
    """The identifiers that keys lead to; a key that leads nowhere stays."""
    found = mapped(keys, identifiers)
    return found.where(found != "", keys)


def _occurrences(held: dict[str, pd.DataFrame], identifiers: pd.Series, events: pd.Series) -> pd.DataFrame:
    """Occurrences with their event, their count and their accepted name."""
    rows = held["occurrence"]
    made = _terms("occurrence", rows)
    made["occurrenceID"] = _followed(text_column(rows, "occurrence_pk"), identifiers)
    made["eventID"] = _followed(text_column(rows, "event_fk"), events)
    counted = text_column(rows, "organismQuantityType") == INDIVIDUALS
    quantity = text_column(rows, "organismQuantity")
    made["individualCount"] = quantity.where(counted, "")
    for name in ("organismQuantity", "organismQuantityType"):
        if name in made:
            made[name] = made[name].where(~counted, "")
    if "identification" in held and "occurrence_fk" in held["identification"]:
        names = held["identification"]
        accepted = text_column(names, "isAcceptedIdentification").str.casefold() == "true"
        first = names.assign(rank=~accepted).sort_values("rank", kind="stable").drop_duplicates("occurrence_fk")
        by_key = first.set_index("occurrence_fk")
        for name in _terms("identification", names):
            if name not in made and name not in ("identificationID", "isAcceptedIdentification", "occurrenceID"):
                made[name] = mapped(text_column(rows, "occurrence_pk"), by_key[name])
    return made


def _assertions(rows: pd.DataFrame, occurrences: pd.Series, events: pd.Series, about: str) -> pd.DataFrame:
    """Assertions under the names of measurements."""
    made = pd.DataFrame({ours: rows[theirs] for ours, theirs in ASSERTION_TERMS.items() if theirs in rows})
    keys = text_column(rows, f"{about}_fk")
    made[f"{about}ID"] = _followed(keys, events if about == "event" else occurrences)
    return made


def _add_events(made: dict[str, pd.DataFrame]) -> None:
    """The event of what was measured on an animal: the animal's."""
    measured, occurrence = made["measurement"], made.get("occurrence")
    if occurrence is None or "occurrenceID" not in measured:
        return
    at = occurrence.drop_duplicates("occurrenceID").set_index("occurrenceID")["eventID"]
    own = text_column(measured, "eventID")
    measured["eventID"] = own.where(own != "", mapped(measured["occurrenceID"], at))
