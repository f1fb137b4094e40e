# SPDX-License-Identifier: GPL-3.0-or-later
"""Which heights a character of a story may have: the same wherever one is told."""

from .plain_text import number_text

# From an insect to a giant, metres. Whoever is half a metre tall or more and is told in
# centimetres by mistake is beyond it: gravity would be asked of a figure of a hundred times.
LEAST_HEIGHT_M, MOST_HEIGHT_M = 0.01, 50.0
# What stands where a height is asked for.
EXAMPLE = "expected metres, such as 1.75"


def why_no_height(height_m: float) -> str:
    """Why no character is so tall in metres: `... m, expected metres, ...`; empty where one is."""
    if LEAST_HEIGHT_M <= height_m < MOST_HEIGHT_M:
        return ""
    mend = "give the height that the character has in the story"
    if MOST_HEIGHT_M <= height_m < 100.0 * MOST_HEIGHT_M:
        mend = f"if centimetres are meant, say {number_text(height_m / 100.0)}"
    return (
        f"{number_text(height_m)} m, expected metres, from {LEAST_HEIGHT_M:g} to "
        f"{MOST_HEIGHT_M:g}: {mend}"
    )
