# SPDX-License-Identifier: GPL-3.0-or-later
"""What a ball is asked, and what it is called."""

from ..meta_ball import Ball

BALL = "ball"

# The checks that ask how one body goes. What two feet, limbs, a trunk, props or all parts together
# do, no ball shows; nor does it stand dead while limbs go on (`frozen`), as it carries them.
OF_BALL = (
    "double_frame",
    "loop_seam",
    "pop",
    "hitch",
    "hard_stop",
    "hard_start",
    "straight_run",
    "off_arc",
    "hang_time",
    "gravity",
    "carry",
    "sway",
)
# They ask how a body falls, or strides: a hand does neither.
OF_BODY = ("gravity", "carry", "sway")
NOT_OF_HAND = "only asked of a ball that stands for the body"
NOT_OF_BALL = "only asked of a whole figure"


def why_not(ball: Ball | None, check: str) -> str:
    """Why a ball is not asked a check; empty where it is, or there is none."""
    if ball is None:
        return ""
    if not ball.falls and check in OF_BODY:
        return NOT_OF_HAND
    return "" if check in OF_BALL else NOT_OF_BALL
