"""Licences that data can be shared under, by their SPDX identifiers; schemas/licences.csv lists them.

>>> licence("CC-BY-4.0").name
'Creative Commons Attribution 4.0 International'
>>> nearest("cc by 4.0")
'CC-BY-4.0'
"""

from __future__ import annotations

import csv
import difflib
import re
from functools import cache
from typing import NamedTuple

from dwc_pipeline.terms.schema import schemas_folder


class KnownLicence(NamedTuple):
    """is_common: registries of biodiversity data commonly take it."""

    identifier: str
    name: str
    url: str
    is_common: bool


@cache
def known_licences() -> dict[str, KnownLicence]:
    """All licences of the list, by identifier."""
    lines = (schemas_folder() / "licences.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return {
        row["identifier"]: KnownLicence(
            row["identifier"], row["name"], row["url"], row["taken_by_registries"] == "yes"
        )
        for row in rows
    }


def licence(identifier: str) -> KnownLicence | None:
    """The licence of an identifier, spelt exactly as SPDX does; None if it is not in the list."""
    return known_licences().get(identifier)


def nearest(text: str) -> str:
    """The identifier that a text most probably means, such as a name or an address; "" if none is near."""
    plain = _plain(text)
    for one in known_licences().values():
        if plain in (_plain(one.identifier), _plain(one.name), _plain(one.url), _plain(one.url.rpartition("/")[0])):
            return one.identifier
    close = difflib.get_close_matches(plain, [_plain(one) for one in known_licences()], 1)
    return next((one for one in known_licences() if close and _plain(one) == close[0]), "")


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "", re.sub(r"^https?://(www\.)?", "", text.strip().casefold()))
