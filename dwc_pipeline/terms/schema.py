"""The schemas folder: the single declaration of every column."""

from __future__ import annotations

from functools import cache
from pathlib import Path


@cache
def schemas_folder() -> Path:
    """The folder of schemas and word lists, installed or in a checkout.

    A wheel carries it inside the package; in a checkout it stands beside the package.
    """
    package = Path(__file__).resolve().parents[1]
    inside = package / "schemas"
    return inside if inside.is_dir() else package.parent / "schemas"
