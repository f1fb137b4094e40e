# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of hops that are keyed: splines through chosen keys of a body that flies freely.

Keys stand on each hop's poses (where it goes down, is lowest, leaves, is highest, lands, is lowest
again, stands), on what a channel has of turning points, and on breakdowns where the spline misses.
The hips are keyed closer in the air than elsewhere. Feet leave from a key and land on one. Hips are
a little lower than in `hops` as feet leave and land, so that no steered leg is stretched and the
keys need not be pulled down.
"""

from functools import cache

import numpy as np

from analysis import Clip

from .authored import puppet
from .case import Case
from .hop_poses import Shot, free_shot
from .key_data import curves_of
from .keyed import sized
from .keying import Keyed, Manner, closeness, within_reach
from .plan import CONTACT, EXTREME, PAUSE, extremes, moved, runs, thinned, with_breakdowns
from .plants import Stands
from .posing import clip_of
from .puppet import SIDES
from .splines import Spline

COUNT = 48
# Tries to draw hops within reach of legs that are keyed.
TRIES = 20
LOWER_M = 0.04
# In the air the hips are keyed this much closer than elsewhere: an arc shows.
CLOSER = 0.4
_MANNERS = (
    Manner(),
    Manner(tolerance=0.6, offsets=(2, 3, 2), gap_s=0.1, handles="auto"),
    Manner(tolerance=1.5, offsets=(1, 1, 2)),
    Manner(handles="auto", offsets=(0, 1, 1)),
    Manner(tolerance=0.8, handles="plain", offsets=(1, 2, 2)),
)


def keyed_hops_24() -> list[Case]:
    """Keyed at 24 frames a second."""
    return list(_cases(24.0))


def keyed_hops_30() -> list[Case]:
    """Keyed at 30 frames a second."""
    return list(_cases(30.0))


@cache
def _cases(fps: float) -> tuple[Case, ...]:
    which, found = f"keyed_hops_{fps:g}", []
    for n in range(COUNT):
        rng = np.random.default_rng([41, int(fps), n])
        name = f"{which}/{n:02}"
        clip = keyed_shot(rng, fps, _MANNERS[n // 2 % len(_MANNERS)], name, varied=n % 4 > 1)
        found.append(Case(name, "hops", which, "AB"[n % 2], clip))
    return tuple(found)


def keyed_shot(
    rng: np.random.Generator, fps: float, manner: Manner, name: str, *, varied: bool
) -> Clip:
    """Three to five keyed hops; those that the legs cannot reach are drawn again."""
    for _ in range(TRIES):
        shot = free_shot(rng, fps, varied=varied, lower_m=LOWER_M)
        try:
            keyed = _key(shot, manner, fps)
        except ValueError:
            continue
        splines = {each: sized(each, curve, shot.size) for each, curve in keyed.splines.items()}
        figure = puppet().scaled(shot.size)
        keyed = Keyed(splines, keyed.frame_count)
        curves = curves_of(figure, splines) if rng.integers(2) else ()
        return clip_of(figure, keyed.tracks, fps, name=name, curves=curves, cycle=False)
    raise ValueError(f"none of {TRIES} keyed shots is within reach of the legs: draw lower hops.")


def _key(shot: Shot, manner: Manner, fps: float) -> Keyed:
    last, gap = len(shot.air) - 1, max(3, round(manner.gap_s * fps))
    stands = runs(~shot.air)
    splines: dict[str, Spline] = {}
    for name, values in shot.tracks.items():
        keys = _key_frames(name, shot, stands, manner, last, gap)
        arm, metres = closeness(name)
        kind = "clamped" if name.startswith("foot") else manner.handles
        near = metres * manner.tolerance * (CLOSER if name == "hips.place" else 1.0)
        splines[name] = with_breakdowns(values, keys, kind, near, arm=arm)[1]
    both = {side: Stands(ball=stands, flat=stands) for side in SIDES}
    return within_reach(puppet(), Keyed(splines, last + 1), both)


def _key_frames(
    name: str, shot: Shot, stands: list[tuple[int, int]], manner: Manner, last: int, gap: int
) -> list[int]:
    """A channel's keys before breakdowns are added."""
    part, *side, channel = name.split(".")
    borders = [(t, CONTACT) for stand in stands for t in stand]
    tops = [(round(t), EXTREME) for t in shot.poses[:, 3]]
    if part == "foot" and channel == "place":
        return thinned(borders + tops, last, gap)
    poses = [(round(t), EXTREME) for t in shot.poses[:, [0, 1, 5, 6]].ravel()]
    if part in ("hips", "foot"):
        return thinned(borders + tops + poses, last, gap)
    late = dict(zip(("neck", "L", "R"), manner.offsets, strict=True))
    by = late["neck"] if part == "neck" else late[side[0]] if side else 0
    base = [(t, PAUSE) for t in moved((t for t, _ in borders + tops + poses), by, last)]
    own = [(t, EXTREME) for t in extremes(shot.tracks[name], 0.1)]
    return thinned(base + own, last, gap)
