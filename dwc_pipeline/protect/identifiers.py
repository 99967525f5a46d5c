"""Identifiers of a public copy: keyed, so that nobody without the key can tie them to ours.

Source: HMAC, RFC 2104, with SHA-256.
"""

from __future__ import annotations

import hashlib
import hmac

import pandas as pd

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
