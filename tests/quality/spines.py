# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of figures with a whole spine: captured and keyed motion, its bend spread over three.

The captured figure bends at one joint between hips and chest. Here two more stand between them
and share that bend: the lower ones lean, the upper ones twist (as real backs do, from memory of
anatomy), each with its own small lag, as a spine that is keyed joint by joint has it, and with a
slow difference of its own of a degree or two.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat
from demo_scenes.captured import resample
from demo_scenes.captured.clip import to_clip

from .captured import motions, source_of
from .case import HALVES, Case
from .figure import Channels, channels_of, posed
from .keyed import SHORTEST_S, keyed_clip

Floats = NDArray[np.float64]

# The new joints, from the hips up, and where they stand on the way from hips to chest.
NEW, PLACES = ("spine.1", "spine.2"), (0.3, 0.65)
# What each of the three takes of a lean, a bend to the side and a twist.
SHARES = np.array([[0.38, 0.36, 0.2], [0.34, 0.36, 0.35], [0.28, 0.28, 0.45]])
# These differ from figure to figure by so much (a factor), and joints lag by so many seconds.
SPREAD, LAG_S = 1.4, 0.08
# Each joint wanders by itself, in degrees, over so many seconds.
WANDER_DEG, WANDER_S = 1.5, 0.8
VARIANTS = (0, 3, 8, 13)


def spines_24() -> list[Case]:
    """At 24 frames a second: captured clips, and each keyed in four manners."""
    return _cases(24.0)


def spines_30() -> list[Case]:
    """At 30 frames a second."""
    return _cases(30.0)


def _cases(fps: float) -> list[Case]:
    which = f"spines_{fps:g}"
    found = []
    for number, motion in enumerate(motions()):
        source = source_of(motion)
        clips = [("captured", to_clip(resample(motion, fps)))]
        if (motion.frame_count - 1) / motion.fps >= SHORTEST_S:
            clips += [(f"{v:02}", keyed_clip(motion, fps, v, motion.name)) for v in VARIANTS]
        for variant, (name, clip) in enumerate(clips):
            rng = np.random.default_rng([15, round(fps), number, variant])
            made = with_spine(clip, rng, lags=name != "captured")
            found.append(Case(f"{which}/{motion.name}.{name}", source, which, HALVES[source], made))
    return found


def with_spine(clip: Clip, rng: np.random.Generator, *, lags: bool) -> Clip:
    """The clip with two joints more between hips and chest, which share the chest's bend."""
    bends = _shared(chest_bend(clip), rng, clip.dt_s, lags=lags)
    chest = clip.joint(clip.meta.roles["chest"][0])
    wider = _with_joints(clip, chest)
    channels = channels_of(wider)
    rest = wider.rest_rotations
    for bend, joint in zip(
        np.moveaxis(bends, 1, 0), [*range(len(clip.joints), len(wider.joints)), chest], strict=True
    ):
        below = rest[wider.parents[joint]]
        # The bend is told in the world's axes at rest; a channel in the axes of what is below.
        at_rest = quat.multiply(quat.conjugate(below), rest[joint])
        turn = quat.multiply(quat.multiply(quat.conjugate(below), turned_by(bend)), below)
        channels.turns[:, joint] = quat.multiply(turn, np.broadcast_to(at_rest, turn.shape))
    return posed(wider, Channels(channels.places, quat.continuous(channels.turns)))


def turned_by(vector: Floats) -> Floats:
    """Quaternions (...,4) of turns told as axis times degrees (...,3)."""
    half = 0.5 * np.radians(np.linalg.norm(vector, axis=-1, keepdims=True))
    scale = 0.5 * np.radians(1.0) * np.sinc(half / np.pi)
    return np.concatenate((np.cos(half), scale * vector), axis=-1)


def chest_bend(clip: Clip) -> Floats:
    """(T,3) the chest against the hips since rest, axis times degrees, in the axes at rest."""
    chest = clip.joint(clip.meta.roles["chest"][0])
    below = int(clip.parents[chest])
    since = quat.multiply(clip.rotations, quat.conjugate(clip.rest_rotations)[None])
    turn = quat.continuous(quat.multiply(quat.conjugate(since[:, below]), since[:, chest]))
    turn = turn if turn[:, 0].mean() > 0.0 else -turn
    sine = np.linalg.norm(turn[:, 1:], axis=-1, keepdims=True)
    angle = 2.0 * np.arctan2(sine, turn[:, :1])
    return np.degrees(turn[:, 1:] / np.maximum(sine, 1e-12) * angle)


def _shared(bend: Floats, rng: np.random.Generator, dt_s: float, *, lags: bool) -> Floats:
    """(T,3,3) what each joint takes of a bend (T,3), with its lag and what it does by itself."""
    shares = SHARES * SPREAD ** rng.uniform(-1.0, 1.0, size=SHARES.shape)
    shares = shares / shares.sum(axis=0)
    time = np.arange(len(bend)) * dt_s
    found = np.zeros((len(bend), 3, 3))
    for joint in range(3):
        late = joint * LAG_S * rng.uniform(0.0, 0.5) if lags else 0.0
        for axis in range(3):
            found[:, joint, axis] = shares[joint, axis] * np.interp(
                time - late, time, bend[:, axis]
            )
        found[:, joint] += _wander(time, rng)
    return found


def _wander(time: Floats, rng: np.random.Generator) -> Floats:
    """(T,3) degrees that a joint wanders: two slow waves of random phase on each axis."""
    waves = np.zeros((len(time), 3))
    for _ in range(2):
        period = WANDER_S * rng.uniform(1.0, 3.0, size=3)
        phase = rng.uniform(0.0, 2.0 * np.pi, size=3)
        waves += np.sin(2.0 * np.pi * time[:, None] / period + phase)
    return WANDER_DEG * rng.uniform(0.3, 1.0) * waves / np.sqrt(2.0)


def _with_joints(clip: Clip, chest: int) -> Clip:
    """The clip with the new joints on the hips, unbent, and the chest on the last of them."""
    hips = int(clip.parents[chest])
    way = clip.rest_positions[chest] - clip.rest_positions[hips]
    count, new = len(clip.joints), len(NEW)
    since = quat.multiply(clip.rotations[:, hips], quat.conjugate(clip.rest_rotations[hips]))
    places = [clip.positions[:, hips] + quat.rotate(since, share * way) for share in PLACES]
    turn = clip.rest_rotations[chest]
    turns = quat.multiply(since, np.broadcast_to(turn, since.shape))
    parents = np.concatenate((clip.parents, [hips, *range(count, count + new - 1)]))
    parents[chest] = count + new - 1
    steps = np.linalg.norm(way) * np.diff([*PLACES, 1.0])
    rest_places = clip.rest_positions[hips] + np.outer(PLACES, way)
    roles = {**clip.meta.roles, **{name: (name,) for name in NEW}}
    return replace(
        clip,
        joints=(*clip.joints, *NEW),
        parents=parents,
        positions=np.concatenate((clip.positions, np.stack(places, axis=1)), axis=1),
        rotations=np.concatenate((clip.rotations, np.repeat(turns[:, None], new, axis=1)), axis=1),
        rest_positions=np.concatenate((clip.rest_positions, rest_places)),
        rest_rotations=np.concatenate((clip.rest_rotations, np.tile(turn, (new, 1)))),
        lengths=np.concatenate((clip.lengths, steps)),
        valid=None,
        channels=(),
        channel_values=None,
        control_matrices=None,
        meta=replace(clip.meta, roles=roles, curves=(), controls=()),
    )
