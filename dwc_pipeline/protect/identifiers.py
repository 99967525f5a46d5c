"""Identifiers of a public copy: keyed, so that nobody without the key can tie them to ours.

Source: HMAC, RFC 2104, with SHA-256.
"""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass

import pandas as pd

from dwc_pipeline.core.columns import mapped

#: 64 bits: two of a hundred thousand identifiers fall together once in a billion data sets
DIGITS = 16


def public_identifier(identifier: str, kind: str, code: str, key: str) -> str:
    """The public identifier of one of ours; the same key gives the same identifier in every version."""
    digest = hmac.new(key.encode(), f"{kind}\0{identifier}".encode(), hashlib.sha256).hexdigest()
    return f"{code}-{kind}-{digest[:DIGITS]}"


def public_identifiers(identifiers: pd.Series, kind: str, code: str, key: str) -> pd.Series:
    """The same for a column; "" stays ""."""
    words = {one: public_identifier(one, kind, code, key) if one else "" for one in identifiers.unique()}
    return identifiers.map(words).astype(object)


@dataclass(frozen=True)
class Names:
    """New names for all that hangs on events.

    shown: our eventID -> how its place is shown, which goes into the name: an event that becomes coarser in a later
    copy gets another name, so that the older copy cannot be laid beside it.
    """

    code: str
    key: str
    shown: pd.Series

    def of_events(self, identifiers: pd.Series) -> pd.Series:
        """Names of events; "" stays ""."""
        return self._salted(identifiers, identifiers, "event")

    def of_animals(self, identifiers: pd.Series, events: pd.Series, kind: str) -> pd.Series:
        """Names of animals or measurements. events: our eventID of each."""
        return self._salted(identifiers, events, kind)

    def _salted(self, identifiers: pd.Series, events: pd.Series, kind: str) -> pd.Series:
        salted = identifiers + "\x1f" + mapped(events, self.shown)
        return public_identifiers(salted.where(identifiers != "", ""), kind, self.code, self.key)
