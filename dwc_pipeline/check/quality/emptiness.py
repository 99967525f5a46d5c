"""When a value is Empty in the sense of the data-quality tests.

Source: draft Biodiversity Data Quality standard (2026-06-03), Implementer's Guide 2.2: null, or nothing but the
characters U+0000 to U+0020. A no-break space, "NA", "null" and "unknown" are not empty; they are wrong values,
which is the business of other tests.

>>> is_empty(" \\x00\\t"), is_empty("\\u00a0"), is_empty("null")
(True, False, False)
"""

from __future__ import annotations

CONTROLS_AND_SPACE = "".join(map(chr, range(0x21)))


def is_empty(text: str) -> bool:
    """True if the text holds nothing but U+0000 to U+0020."""
    return not text.strip(CONTROLS_AND_SPACE)


def trimmed(text: str) -> str:
    """The text without leading and trailing U+0000 to U+0020, as an amendment may propose it."""
    return text.strip(CONTROLS_AND_SPACE)
