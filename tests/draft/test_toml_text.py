"""The text of a draft: TOML that tomllib reads back, whatever stands on the sheets.

Source: TOML 1.0.0, sections Keys and String; tomllib is the reference reader of the standard library.
"""

from __future__ import annotations

import datetime as dt
import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.draft.proposal import Setting
from dwc_pipeline.draft.toml_text import comment, setting_lines, toml_value

TEXTS = st.text(st.characters(exclude_categories=("Cs",)), max_size=30)


@given(st.one_of(TEXTS, st.booleans(), st.integers(), st.dates(dt.date(1, 1, 1)), st.lists(TEXTS, max_size=4)))
def test_a_value_is_read_back_as_it_was(value):
    assert tomllib.loads(f"key = {toml_value(value)}")["key"] == value


@given(key=TEXTS, value=TEXTS, note=TEXTS, active=st.booleans())
@settings(max_examples=200)
def test_a_line_holds_its_setting_and_no_note_breaks_it(key, value, note, active):
    lines = setting_lines([Setting(key, value, note, active)], quoted=True)
    read = tomllib.loads("\n".join(lines))
    assert read == ({key: value} if active else {})


@given(TEXTS)
def test_a_comment_is_one_line_without_control_signs(text):
    assert len(comment(text).splitlines()) <= 1
    assert comment(text).isprintable()
