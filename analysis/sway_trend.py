# SPDX-License-Identifier: GPL-3.0-or-later
"""How far walkers and runners sway at a speed: a trend, never a border between right and wrong.

Walks: Orendurff et al. 2004, JRRD 41(6A):829-834: the centre of mass of adults goes 2.74 cm up and
down and 6.99 cm from side to side at .7 m/s, 4.83 and 3.85 cm at 1.6 m/s (the citation was looked
up, the numbers are from memory). Straight lines run through these, and end a little beyond.
Runs: a body that is in the air for half of each step and is thrown back up in the other half rises
g t2 / 32 in each, t being the time of a step: mechanics, no norm. To the side there is none.
Step width: about 10 cm between adults' heels (common knowledge, from memory).
"""

import numpy as np

from .free_fall import GRAVITY

# Metres a second, and what goes with them in metres, of a figure GROWN_M tall.
SPEEDS = (0.7, 1.6)
UP_M, SIDE_M = (0.0274, 0.0483), (0.0699, 0.0385)
# The lines are used from this speed to that one.
SLOWEST, FASTEST = 0.4, 2.1
# Adults' heels are about so far apart, metres.
WIDTH_M = 0.10
# Of this height; also what a figure is taken for whose height in the story is not known.
GROWN_M = 1.7


def walk_side_m(speed: float, height_m: float = GROWN_M) -> float | None:
    """Metres from side to side of a walk, or None beyond the speeds that the trend is known for.

    speed in m/s of a figure so tall; other sizes go by Froude's rule: speeds with the root of the
    height, lengths with it.
    """
    return _on_line(SIDE_M, speed, height_m)


def walk_up_m(speed: float, height_m: float = GROWN_M) -> float | None:
    """Metres up and down of a walk, see `walk_side_m`."""
    return _on_line(UP_M, speed, height_m)


def run_up_m(step_s: float) -> float:
    """Metres up and down of a run whose steps take so long, at any size."""
    return GRAVITY * step_s**2 / 16.0


def width_m(height_m: float = GROWN_M) -> float:
    """Metres between the feet of two steps of a walk."""
    return WIDTH_M * height_m / GROWN_M


def _on_line(metres: tuple[float, float], speed: float, height_m: float) -> float | None:
    size = height_m / GROWN_M
    grown = speed / float(np.sqrt(size))
    if not SLOWEST <= grown <= FASTEST:
        return None
    share = (grown - SPEEDS[0]) / (SPEEDS[1] - SPEEDS[0])
    return size * (metres[0] + share * (metres[1] - metres[0]))
