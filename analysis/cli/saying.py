# SPDX-License-Identifier: GPL-3.0-or-later
"""Lines on standard error."""

import sys

from ..plain_text import one_line


def say(prog: str, text: str) -> None:
    """One line on standard error, where that is open."""
    if sys.stderr is not None:  # printing to None would go to standard output
        print(f"{prog}: {one_line(text)}", file=sys.stderr)
