# SPDX-License-Identifier: GPL-3.0-or-later
"""What a ball is asked, and what it is called."""

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
NOT_OF_BALL = "only asked of a whole figure"
