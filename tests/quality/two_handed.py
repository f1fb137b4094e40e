# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of a long pole held in both hands: swings keyed with ease and arcs.

The pole is the control: it is keyed against the chest, and both arms are steered to it. In the
clip it hangs on the right hand.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from analysis import Clip, Prop
from analysis import quaternions as quat

from .authored import clip, key_poses, turned
from .case import Case
from .figure import add_joint
from .holds import breathing, random_pose
from .keying import STRAIGHTEST
from .puppet import Floats
from .splines import spline

EACH = 20
_RATES = (24.0, 30.0)
# At the figure's own size: half the pole, and how far from its middle each hand holds it.
HALF_M, GRIP_M = 0.85, {"R": 0.13, "L": -0.17}
_ARM = ("upper_arm", "forearm", "hand")


def two_handed() -> list[Case]:
    """Three or four swings a clip, at 24 and 30 fps."""
    found = []
    for number in range(2 * EACH):
        half, fps = "AB"[number % 2], _RATES[number // 2 % 2]
        rng = np.random.default_rng([8, number])
        made = _swings(rng, fps, keys=number % 4 == 0)
        found.append(Case(f"two_handed/{number:02}", "two_handed", "two_handed", half, made))
    return found


def _swings(rng: np.random.Generator, fps: float, *, keys: bool) -> Clip:
    poses, holds, frame, side = {0: _body(rng, 0.0)}, {0: _hold(rng, 0.0)}, 0, 1.0
    for _ in range(int(rng.integers(3, 5))):
        for swung, seconds in (
            (-0.5 * side, rng.uniform(0.4, 0.6)),
            (side, rng.uniform(0.35, 0.6)),
        ):
            frame += round(fps * seconds)
            poses[frame], holds[frame] = _body(rng, swung), _hold(rng, swung)
            held = frame + round(fps * rng.uniform(0.15, 0.4))
            poses[held] = breathing(poses[frame], 0.3)
            holds[held] = holds[frame] + 0.02 * (holds[frame] - _hold(rng, 0.0))
            frame = held
        side = -side
    keyed = key_poses(poses, late={"chest": 1, "neck": 2})
    made = clip(keyed, fps, "two_handed", keys=keys)
    return _with_pole(made, *_pole(made, holds, frame))


def _body(rng: np.random.Generator, swung: float) -> dict:
    """Hips and chest turn with the swing, the head looks ahead."""
    pose = random_pose(rng, much=0.25)
    pose["hips.place"] = np.array([0.04 * swung, 0.0, -0.08])
    pose["hips.turn"] = pose["hips.turn"] + [0.0, 0.0, 16.0 * swung]
    pose["chest.turn"] = pose["chest.turn"] + [0.0, 0.0, 22.0 * swung]
    pose["neck.turn"] = pose["neck.turn"] + [0.0, 0.0, -26.0 * swung]
    return pose


def _hold(rng: np.random.Generator, swung: float) -> Floats:
    """(6,) the pole against the chest: place in metres; tilt, turn, pitch in degrees."""
    place = np.array([0.05 * swung, -0.30, -0.03 - 0.06 * abs(swung)]) + 0.008 * rng.normal(size=3)
    turns = np.array([18.0 * swung, 38.0 * swung, 14.0 * abs(swung)]) + 3.0 * rng.normal(size=3)
    return np.concatenate((place, turns))


def _pole(made: Clip, holds: dict[int, Floats], last: int) -> tuple[Floats, Floats]:
    """Place (T,3) and turn (T,4) of the pole in the world; its own Y runs along it to the right.

    Its keys come a frame after the chest's, so that it drags.
    """
    frames = [f if f in (0, last) else f + 1 for f in sorted(holds)]
    told = np.array([holds[f] for f in sorted(holds)])
    turns = np.array([turned(pitch, tilt, turn) for tilt, turn, pitch in told[:, 3:]])
    at = np.arange(len(made.frames))
    values = np.concatenate((told[:, :3], quat.continuous(turns)), axis=1)
    channels = spline(np.array(frames), values).at(at)
    chest = made.joint("chest")
    rest = np.broadcast_to(made.rest_rotations[chest], (len(at), 4))
    carried = quat.multiply(made.rotations[:, chest], quat.conjugate(rest))
    middle = made.positions[:, chest] + quat.rotate(carried, channels[:, :3] + [0.0, 0.0, 0.18])
    across = np.broadcast_to(turned(0.0, 0.0, 90.0), (len(at), 4))
    turn = quat.multiply(quat.multiply(carried, quat.normalise(channels[:, 3:])), across)
    return middle, turn


def _with_pole(made: Clip, middle: Floats, turn: Floats) -> Clip:
    for side, away in GRIP_M.items():
        made = _arm_to(made, side, middle + quat.rotate(turn, np.array([0.0, away, 0.0])))
    made = add_joint(
        made,
        "pole",
        parent="hand.R",
        place=middle,
        turn=turn,
        length=HALF_M,
        points={"pole_tip": (0.0, HALF_M, 0.0), "pole_butt": (0.0, -HALF_M, 0.0)},
    )
    pole = Prop(name="pole", joint="pole", held_by="hand.R", fixed=True)
    return replace(made, meta=replace(made.meta, props=(pole,)))


def _arm_to(made: Clip, side: str, wrist: Floats) -> Clip:
    """The clip with an arm steered: its wrist at a place, the elbow down and back."""
    shoulder = made.positions[:, made.joint(f"upper_arm.{side}")]
    rest = {part: made.rest_positions[made.joint(f"{part}.{side}")] for part in _ARM}
    a, b = (np.linalg.norm(rest[far] - rest[near]) for near, far in pairwise(_ARM))
    way = wrist - shoulder
    reach = np.linalg.norm(way, axis=-1, keepdims=True)
    if reach.max() > STRAIGHTEST * (a + b):
        short = reach.max() - STRAIGHTEST * (a + b)
        raise ValueError(
            f"the {side} hand misses the pole by {100 * short:.1f} cm: hold it closer."
        )
    along = way / reach
    pole = np.array([0.5 if side == "L" else -0.5, 0.5, -1.0])
    bent = _unit(pole - np.sum(along * pole, axis=-1, keepdims=True) * along)
    cosine = (a * a + reach**2 - b * b) / (2.0 * a * reach)
    elbow = shoulder + a * (cosine * along + np.sqrt(1.0 - cosine**2) * bent)
    places, turns, x = made.positions.copy(), made.rotations.copy(), np.cross(along, bent)
    bones = {"upper_arm": elbow - shoulder, "forearm": wrist - elbow, "hand": wrist - elbow}
    heads = {"upper_arm": shoulder, "forearm": elbow, "hand": wrist}
    for part, bone in bones.items():
        joint, y = made.joint(f"{part}.{side}"), _unit(bone)
        places[:, joint] = heads[part]
        turns[:, joint] = quat.from_axes(x, y, np.cross(x, y))
    return replace(made, positions=places, rotations=quat.continuous(turns))


def _unit(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
