"""The search for cycles is put off in a block, and goes on as before after it."""

from __future__ import annotations

import gc

import pytest

from dwc_pipeline.core.collection import collection_put_off


def test_the_search_is_off_in_the_block_and_on_after_it_even_after_an_error():
    @collection_put_off()
    def fails() -> None:
        assert not gc.isenabled()
        raise ValueError("inside")

    with pytest.raises(ValueError, match="inside"):
        fails()
    assert gc.isenabled()


def test_a_search_that_was_off_stays_off():
    gc.disable()
    try:
        with collection_put_off():
            assert not gc.isenabled()
        assert not gc.isenabled()
    finally:
        gc.enable()
