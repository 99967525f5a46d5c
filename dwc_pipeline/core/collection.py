"""Python's search for cycles of objects, put off while millions of objects are made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collection_put_off() -> Iterator[None]:
    """No search for cycles while the block runs, if there would have been one.

    A sheet of a million rows is a million lists without a cycle among them, and looking through them again and again
    takes longer than reading them.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
