"""Texts are held the same way whether or not pyarrow is installed."""

from __future__ import annotations

import pandas as pd

import dwc_pipeline.core  # noqa: F401 - sets the way


def test_texts_are_held_as_python_objects_on_every_machine() -> None:
    assert pd.Series(["a"]).dtype == pd.StringDtype("python", na_value=float("nan"))
