# SPDX-License-Identifier: GPL-3.0-or-later
"""Arcs, spacing, smoothness and restlessness of every followed point, and what to look at."""

import numpy as np
from numpy.typing import NDArray

from .arcs import (
    arc_height,
    curvature,
    motion_of,
    moving_samples,
    moving_strokes,
    power_exponent,
    reversals,
)
from .basis import Basis
from .evidence import Look
from .lags import lag_s
from .memory import Memory, recalled
from .parts import split_part
from .smoothness import sparc

Floats = NDArray[np.float64]

# Of the height: a stroke, and a turn back, that is large enough to be seen as one.
STROKE_SHARE, REVERSAL_SHARE = 0.05, 0.005
# Parts whose end is followed; of all others it is their joint (elbow, knee, wrist, ankle).
AT_THE_TIP = ("head", "toe", "prop")
TIP = 1
# The most restless part is worth a look from so many turns a second on, and when it turns back
# so much more often than the usual part. (Heads nod with every step: four turns a second.)
RESTLESS_PER_S, RESTLESS_TIMES = 5.0, 2.0

PointMeasures = dict[str, float]


def point_measures(basis: Basis) -> dict[str, PointMeasures]:
    """For each part, or joint name where there are none, and `com`; metres are the story's.

    spacing_m, spacing_max_m   median and largest way from frame to frame
    arc_height_pct             median over strokes: height over the chord, per cent of it
    curvature_per_m            median where the point moves
    power_exponent             of speed against radius, see `arcs.power_exponent`
    smoothness                 median spectral arc length of the strokes, see `smoothness`
    reversals_per_s            turns back along its main direction, seen from the pelvis
    lag_s                      how long it trails what it follows, see `lags`
    What cannot be told of a point that hardly moves is left out.
    """
    found = {}
    for body, each in enumerate(basis.bodies):
        if each.judged and basis.valid[:, body].all():
            found[each.title] = _measures(basis, _path(basis, body), _against_pelvis(basis, body))
            lag = lag_s(basis, body)
            if lag is not None:
                found[each.title]["lag_s"] = lag
    com = basis.com
    if com is not None and np.isfinite(com).all():
        found["com"] = _measures(basis, com, None)
    return found


def restless_look(basis: Basis, points: dict[str, PointMeasures]) -> list[Look]:
    """The part that turns back most often, where it does so clearly more than the others."""
    rates = {
        body: points[each.title]["reversals_per_s"]
        for body, each in enumerate(basis.bodies)
        if "reversals_per_s" in points.get(each.title, {})
    }
    if len(rates) < 2:
        return []
    body = max(rates, key=lambda n: rates[n])
    usual = float(np.median(list(rates.values())))
    if rates[body] < max(RESTLESS_PER_S, RESTLESS_TIMES * usual):
        return []
    says = (
        f"The {{who}} turns back {rates[body]:.1f} times a second, seen from the pelvis: the most "
        "restless part."
    )
    last = len(basis.frames) - 1
    return [Look("restlessness", body, 0, last, rates[body], says)]


def _path(basis: Basis, body: int) -> Floats:
    kind = split_part(basis.bodies[body].part or "")[0]
    return basis.marks[:, body, TIP if kind in AT_THE_TIP else 0]


def _against_pelvis(basis: Basis, body: int) -> Floats | None:
    """(T,3) the path seen from the pelvis, turned to where the figure faces."""
    pelvis = basis.body("pelvis")
    pelvis = basis.body("root") if pelvis is None else pelvis
    if pelvis is None or body == pelvis or not basis.valid[:, pelvis].all():
        return None
    way = _path(basis, body) - basis.positions[:, pelvis]
    ahead = basis.forward
    left = np.stack((-ahead[:, 1], ahead[:, 0], np.zeros(len(ahead))), axis=-1)
    parts = [np.einsum("ij,ij->i", way, axis) for axis in (ahead, left)]
    return np.stack((*parts, way[:, 2]), axis=-1)


def _measures(basis: Basis, path: Floats, seen_from_pelvis: Floats | None) -> PointMeasures:
    height, to_story, dt_s = basis.height.scene_m, basis.height.to_story, basis.dt_s
    named = recalled(basis.memory, _of_path, path, height, to_story, dt_s, basis.memory)
    found: PointMeasures = dict(named[:2])
    if seen_from_pelvis is not None:
        least = REVERSAL_SHARE * height
        turns = recalled(basis.memory, reversals, seen_from_pelvis, least)
        found["reversals_per_s"] = turns / (dt_s * (len(path) - 1))
    return found | dict(named[2:])


def _of_path(
    path: Floats, height: float, to_story: float, dt_s: float, memory: Memory | None
) -> tuple[tuple[str, float], ...]:
    """What is measured of a path (T,3) alone, by name."""
    steps = np.linalg.norm(np.diff(path, axis=0), axis=-1) * to_story
    found: PointMeasures = {
        "spacing_m": float(np.median(steps)),
        "spacing_max_m": float(steps.max()),
    }
    motion = motion_of(path, dt_s)
    strokes = moving_strokes(motion, STROKE_SHARE * height)
    if strokes:
        moving = moving_samples(motion, strokes)
        of_strokes = [
            recalled(memory, _of_stroke, path[each.span], motion.speed[each.span], dt_s)
            for each in strokes
        ]
        bend = curvature(motion)
        exponent = power_exponent(motion, bend, moving)
        heights, smooth = zip(*of_strokes, strict=True)
        found["arc_height_pct"] = 100.0 * float(np.median(heights))
        found["curvature_per_m"] = float(np.median(bend[moving])) / to_story
        found["smoothness"] = float(np.median(smooth))
        if exponent is not None:
            found["power_exponent"] = exponent
    return tuple(found.items())


def _of_stroke(path: Floats, speed: Floats, dt_s: float) -> tuple[float, float]:
    """How high a stroke (N,3) rises off its chord, and how smooth its speed (N,) is."""
    return arc_height(path), sparc(speed, 1.0 / dt_s)
