# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of a blade in one hand: glued to the forearm, cutting into the body, seen edge-on."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import quaternions as quat

from ..case import Case
from ..figure import rebuild
from ..moves import target
from ..planted import Kind, Planted
from ..timing import blend, without_curves
from .armed_clips import EDGE, LED_IN, PROP, frames, side_of, unit, weights
from .prop_cuts import plant_cut
from .prop_edges import plant_edge

Floats = NDArray[np.float64]

# A swing of a size is one of that to so many times more, in so many seconds; the wrist gives this
# much in it before it is locked, degrees.
BAND, SWING_S, GIVES_DEG = 1.4, (0.12, 0.7), 8.0


def plant_stiff(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The wrist is locked while forearm and blade swing by `size` degrees."""
    clip = case.clip
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


EDGED = ("armed_24/captured", "armed_30/captured", "armed_24/keyed", "armed_30/keyed")
SETS = (*EDGED, "swings")
CURVE = ("armed_24/keyed",)


def _kind(name: str, unit: str, says: str, sizes: dict[str, float], sets, plant) -> Kind:
    """A kind whose sizes are all promised."""
    return Kind(
        name=name,
        check=name,
        says=says,
        unit=unit,
        sizes={part: (size,) for part, size in sizes.items()},
        promised={part: (size, size) for part, size in sizes.items()},
        sets=sets,
        plant=plant,
    )


def _curve(of: Kind, name: str, sizes: dict[str, tuple[float, ...]]) -> Kind:
    """The same in other sizes and parts, of which nothing is promised."""
    return replace(of, name=name, sizes=sizes, promised={}, sets=CURVE)


_STIFF = _kind(
    "stiff_prop",
    "deg",
    "a blade's wrist locked while the forearm swings",
    {"prop": 90.0},
    SETS,
    plant_stiff,
)
_CUT = _kind(
    "prop_clash",
    "cm",
    "a blade turned into the body for some frames",
    {"hand": 2.0, "head": 2.0},
    SETS,
    plant_cut,
)
_EDGE = _kind(
    "edge_on",
    "fr",
    "a blade's edge or end turned to the camera",
    {"width": 6.0, "length": 6.0},
    EDGED,
    plant_edge,
)
KINDS = (
    _STIFF,
    _curve(_STIFF, "stiff_prop_deg", {"prop": (60.0, 75.0, 120.0)}),
    _CUT,
    _curve(
        _CUT,
        "prop_clash_cm",
        {"hand": (1.0,), "head": (1.0, 1.5, 4.0), "torso": (2.0, 4.0), "leg": (1.0, 2.0)},
    ),
    _EDGE,
    _curve(_EDGE, "edge_on_fr", {"width": (4.0, 5.0, 10.0), "length": (4.0,)}),
)
