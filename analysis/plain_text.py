# SPDX-License-Identifier: GPL-3.0-or-later
"""Names and numbers as a terminal may get them and people read them."""

import re

# Control characters, line and paragraph separators, and marks that turn the reading direction:
# a name that holds them could clear the screen or print a line that nobody wrote.
_UNSAFE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")

# The space between a number and its unit, and a space at which no line is broken.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|(?:[cm]?m|in|ft)(?:/s2?)?|kg|lb|degrees)(?![\w/]))")
# The space between an axis and its value, which people type into a field of that name.
_AXIS = re.compile(r"(?<=(?<!\w)[wxyzWXYZ]) (?=-?\d)")
TIE = "\N{NO-BREAK SPACE}"


def one_line(text: str) -> str:
    """The text with characters that steer a terminal written as escapes such as `\\x1b`."""
    return _UNSAFE.sub(lambda found: found[0].encode("unicode_escape").decode("ascii"), text)


def tied(text: str) -> str:
    """The text with each number tied by `TIE` to its unit and its axis, to stay on one line."""
    return _AXIS.sub(TIE, _UNIT.sub(TIE, text))


def number_text(value: float) -> str:
    """A number without a power of ten, as far as it can be read: 0.01, 24, 100000000."""
    if 1e-6 <= abs(value) < 1e15:
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return f"{value:g}"
