"""Codes of PIT tags: ISO 11784 numbers in decimal and in hexadecimal with a dot, and older 125 kHz codes.

Source: ISO 11784 as a slide of ICAR gives its bit layout: 10 bits country or manufacturer code, 38 bits
national code, at most 274,877,906,943. Reader display with a dot: hexadecimal of the same two parts.
Manufacturer codes 900 to 998, and 10 hexadecimal digits or 9 decimal digits for older tags: from memory.

>>> hexadecimal_form("985141000123456"), decimal_form("3D9.1BF1A2B3C4")
('3D9.20D4432440', '985120018088900')
"""

from __future__ import annotations

import re

#: the largest national code, 38 bits (ISO 11784)
LARGEST_NATIONAL_CODE = 2**38 - 1
#: the largest country or manufacturer code that 10 bits hold and three decimal digits show
LARGEST_COUNTRY_CODE = 999
NATIONAL_DIGITS = 12
ISO_DIGITS = 15
#: lengths of tag codes without a dot: ISO decimal, older hexadecimal, older decimal
USUAL_LENGTHS = frozenset({15, 10, 9})
#: letters that people type for the digits they look like; tried only to suggest
LETTER_FOR_DIGIT = {"O": "0", "Q": "0", "I": "1", "L": "1", "S": "5", "Z": "2"}
#: so many zeros at the end of a long number are what a spreadsheet leaves of digits that it dropped
ZEROS_OF_LOSS = 7


def decimal_form(tag: str) -> str:
    """The 15 decimal digits of a tag shown as three hexadecimal digits, a dot and up to ten.

    Raises ValueError if either part is too large or the form is another.
    """
    parts = re.fullmatch(r"([0-9A-F]{3})\.?([0-9A-F]{10})", tag.upper())
    if not parts:
        raise ValueError(f"{tag} is not three hexadecimal digits, a dot and ten more")
    country, national = int(parts[1], 16), int(parts[2], 16)
    if country > LARGEST_COUNTRY_CODE or national > LARGEST_NATIONAL_CODE:
        raise ValueError(f"{tag} is over the 10 and 38 bits of ISO 11784")
    return f"{country:03d}{national:0{NATIONAL_DIGITS}d}"


def hexadecimal_form(tag: str) -> str:
    """The form with a dot of a tag of 15 decimal digits. Raises ValueError if it is over 38 bits."""
    fault = iso_fault(tag)
    if fault:
        raise ValueError(f"{tag} {fault}")
    return f"{int(tag[:3]):03X}.{int(tag[3:]):010X}"


def iso_fault(digits: str) -> str:
    """Why 15 decimal digits cannot be an ISO 11784 code; "" if they can."""
    if not re.fullmatch(rf"\d{{{ISO_DIGITS}}}", digits):
        return f"has {len(digits)} digits, not {ISO_DIGITS}."
    if not int(digits[:3]):
        return "cannot be: no country or manufacturer has the code 000."
    if int(digits[3:]) > LARGEST_NATIONAL_CODE:
        return (
            f"cannot be: the last 12 digits are over {LARGEST_NATIONAL_CODE} (38 bits, ISO 11784); a digit is wrong."
        )
    return ""


def digits_were_lost(text: str) -> bool:
    """True for a code in powers of ten, infinite, or ending in many zeros: a spreadsheet has cut it.

    >>> digits_were_lost("9.85141E+14"), digits_were_lost("153000000000000"), digits_were_lost("4E12345678")
    (True, True, False)
    """
    powers_of_ten = r"\d+(?:[.,]\d+)?E\+\d{1,3}|\d[.,]\d+E\d{1,3}|[+-]?INF(?:INITY)?|#NUM!|#+"
    return bool(re.fullmatch(rf"{powers_of_ten}|[1-9]\d{{2,}}0{{{ZEROS_OF_LOSS},}}", text.upper()))


def with_digits_for_letters(text: str) -> str:
    """The code with letters beyond F replaced by the digits they look like.

    >>> with_digits_for_letters("98514100O12345I")
    '985141000123451'
    """
    return "".join(LETTER_FOR_DIGIT.get(letter, letter) for letter in text.upper())
