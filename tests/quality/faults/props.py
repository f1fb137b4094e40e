# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of a blade in one hand: glued to the forearm, cutting into the body, seen edge-on."""

import numpy as np
from numpy.typing import NDArray

from analysis import quaternions as quat

from ..case import Case
from ..figure import rebuild
from ..moves import target
from ..planted import Kind, Planted
from ..timing import blend, without_curves
from . import KEYED, MOTION
from .armed_clips import EDGE, LED_IN, PROP, armed, frames, side_of, unit, weights
from .prop_cuts import plant_cut
from .prop_edges import plant_edge

Floats = NDArray[np.float64]

# A swing of a size is one of that to so many times more, in so many seconds; the wrist gives this
# much in it before it is locked, degrees.
BAND, SWING_S, GIVES_DEG = 1.4, (0.12, 0.7), 8.0


def plant_stiff(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The wrist is locked while forearm and blade swing by `size` degrees."""
    clip = armed(case, rng)
    if clip is None:
        return None
    side = side_of(clip)
    forearm, hand = (target(clip, f"{kind}.{side}").joint for kind in ("forearm", "hand"))
    arm = unit(clip.positions[:, hand] - clip.positions[:, forearm])
    own = quat.multiply(quat.conjugate(clip.rotations[:, forearm]), clip.rotations[:, hand])
    spans = _swings(arm, size, clip.dt_s)
    spans = [each for each in _some(spans, rng) if _gives(own[each[0] : each[1] + 1]) >= GIVES_DEG]
    if not spans:
        return None
    first, last = spans[0]
    weight = weights(len(arm), first, last, LED_IN)
    locked = np.broadcast_to(own[(first + last) // 2], own.shape)
    wanted = quat.multiply(clip.rotations[:, forearm], blend(own, locked, weight))
    turn = quat.multiply(wanted, quat.conjugate(clip.rotations[:, hand]))
    turn[weight == 0.0] = [1.0, 0.0, 0.0, 0.0]
    return Planted(
        clip=without_curves(rebuild(clip, hand, turn=turn)),
        check="stiff_prop",
        part=PROP,
        carriers=(PROP, f"hand.{side}"),
        frames=frames(clip, first - LED_IN + 1, last + LED_IN - 1),
        size=_deg(arm[first], arm[last]),
        where=f"{last - first} frames locked",
    )


def _swings(arm: Floats, size: float, dt_s: float) -> list[tuple[int, int]]:
    """First and last samples of swings of a forearm (T,3)."""
    found = []
    for lag in range(*(max(round(seconds / dt_s), 2) for seconds in SWING_S)):
        turned = np.degrees(np.arccos(np.clip(np.sum(arm[:-lag] * arm[lag:], axis=-1), -1.0, 1.0)))
        fits = np.flatnonzero((turned >= size) & (turned < BAND * size))
        lead = EDGE + LED_IN
        found += [(int(n), int(n) + lag) for n in fits if lead <= n < len(arm) - lead - lag]
    return found


def _some(spans: list[tuple[int, int]], rng: np.random.Generator) -> list[tuple[int, int]]:
    """A dozen of them, in any order."""
    return [spans[n] for n in rng.permutation(len(spans))[:12]]


def _gives(own: Floats) -> float:
    """Degrees that turns (N,4) depart from the first."""
    apart = np.clip(np.abs(own @ own[0]), 0.0, 1.0)
    return float(np.degrees(2.0 * np.arccos(apart)).max())


def _deg(a: Floats, b: Floats) -> float:
    return float(np.degrees(np.arccos(np.clip(a @ b, -1.0, 1.0))))


KINDS = (
    Kind(
        name="stiff_prop",
        check="stiff_prop",
        says="a blade's wrist locked while the forearm swings",
        unit="deg",
        sizes={"prop": (60.0, 90.0, 120.0)},
        promised={"prop": (90.0, 90.0)},
        sets=MOTION,
        plant=plant_stiff,
    ),
    Kind(
        name="prop_clash",
        check="prop_clash",
        says="a blade turned into the body for some frames",
        unit="cm",
        sizes={"hand": (1.0, 2.0), "head": (1.0, 2.0, 4.0), "torso": (2.0, 4.0), "leg": (2.0, 4.0)},
        promised={"hand": (2.0, 2.0), "head": (2.0, 2.0)},
        sets=MOTION,
        plant=plant_cut,
    ),
    Kind(
        name="edge_on",
        check="edge_on",
        says="a blade's edge or end turned to the camera",
        unit="fr",
        sizes={"width": (4.0, 6.0, 10.0), "length": (6.0, 10.0)},
        promised={"width": (6.0, 6.0), "length": (6.0, 6.0)},
        sets=("captured_24", "captured_30", *KEYED),
        plant=plant_edge,
    ),
)
