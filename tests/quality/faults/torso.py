# SPDX-License-Identifier: GPL-3.0-or-later
"""Broken trunks: one joint of the spine is bent too far, or the spine is stretched.

What hangs on the joint goes with it, as a control of the spine does it; legs stay. The bend is
there over a pose (eased in and out), for a few frames, or from the first frame to the last.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..figure import rebuild
from ..moves import Target, target
from ..planted import Kind, Planted
from ..spines import NEW, chest_bend, turned_by
from ..timing import smooth_step, without_curves

Floats = NDArray[np.float64]

SETS = ("spines_24", "spines_30")
JOINTS = (*NEW, "chest")
# Frames at 24 a second: of a pose that is held, of a few frames, and of the ease on either side.
HELD, FEW, HELD_EASE, FEW_EASE = (8, 30), (3, 6), (3, 7), (2, 3)
EDGE = 4
# Bends in the figure's axes at rest: forward, to a side, a twist.
AXES = {"forward": (1.0, 0, 0), "to the side": (0, 1.0, 0), "twisted": (0, 0, 1.0)}
# How far a back goes, degrees, one way or the other; see `analysis.spine_breaks`.
BACK = {
    "forward": ((1.0, 0, 0), 85.0),
    "back": ((-1.0, 0, 0), 30.0),
    "to its left": ((0, 1.0, 0), 35.0),
    "to its right": ((0, -1.0, 0), 35.0),
    "twisted to its left": ((0, 0, 1.0), 45.0),
    "twisted to its right": ((0, 0, -1.0), 45.0),
}
# A bend counts as wrong from this share of its size on.
SEEN, FULL = 0.5, 0.99


def plant_bend(
    case: Case, size: float, part: str, rng: np.random.Generator, *, lasts: str
) -> Planted | None:
    """One joint of the spine `size` degrees too far about one axis, for a while or throughout."""
    clip = case.clip
    joint = target(clip, str(rng.choice(JOINTS)))
    name = str(rng.choice(list(AXES)))
    share = share_of(clip, rng, lasts)
    if joint is None or share is None:
        return None
    axis = np.array(AXES[name]) * rng.choice([-1.0, 1.0])
    bent = bend(clip, joint, axis, size * share)
    return _planted(bent, joint, share, size, f"{joint.part} {name}, {lasts}")


def _planted(bent: Clip, joint: Target, share: Floats, size: float, where: str) -> Planted:
    """A joint's fault on the frames on which it is plain; share (T,) is how much there is of it."""
    wrong = np.flatnonzero(share >= SEEN)
    return Planted(
        clip=without_curves(bent),
        check="torso_break",
        part=joint.part,
        carriers=(joint.part,),
        frames=(float(bent.frames[wrong[0]]), float(bent.frames[wrong[-1]])),
        size=size,
        where=f"{where}, {len(wrong)} frames",
    )


def bend(
    clip: Clip, joint: Target, axis: Floats, degrees: Floats, *, below: int | None = None
) -> Clip:
    """A joint bent by degrees (T,) about an axis (3,) that the figure has at rest, as `below`, or
    else what carries the joint, has it now."""
    below = int(clip.parents[joint.joint]) if below is None else below
    since = quat.multiply(
        clip.rotations[:, below], np.broadcast_to(quat.conjugate(clip.rest_rotations[below]), (4,))
    )
    turn = turned_by(degrees[:, None] * quat.rotate(since, axis))
    return rebuild(clip, joint.joint, turn=turn)


def share_of(clip: Clip, rng: np.random.Generator, lasts: str) -> Floats | None:
    """(T,) how much of the fault there is on each frame, 0 to 1; None where it has no room."""
    count = len(clip.frames)
    if lasts == "throughout":
        return np.ones(count)
    per_frame = 1.0 / (24.0 * clip.dt_s)
    low, high = HELD if lasts == "held" else FEW
    eases = HELD_EASE if lasts == "held" else FEW_EASE
    full = round(rng.integers(low, high + 1) * per_frame)
    ease_in, ease_out = (round(rng.integers(eases[0], eases[1] + 1) * per_frame) for _ in range(2))
    room = count - 2 * EDGE - full - ease_in - ease_out
    if room < 0:
        return None
    first = EDGE + ease_in + int(rng.integers(0, room + 1))
    at = np.arange(count, dtype=np.float64)
    up = smooth_step((at - first + ease_in) / ease_in)
    down = smooth_step((first + full - 1 + ease_out - at) / ease_out)
    share = np.minimum(up, down)
    share[share < 1e-9] = 0.0
    return share


def plant_turn(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The chest turned against the hips about one axis, `size` times as far as a back goes."""
    clip = case.clip
    chest, hips = target(clip, part), target(clip, "root")
    share = share_of(clip, rng, "held")
    if chest is None or hips is None or share is None:
        return None
    name = str(rng.choice(list(BACK)))
    way, reach = np.array(BACK[name][0]), BACK[name][1]
    goes = float(chest_bend(clip)[share >= FULL].mean(axis=0) @ way)
    bent = bend(clip, chest, way, (size * reach - goes) * share, below=hips.joint)
    return _planted(bent, chest, share, size, f"{name}, {size * reach:.0f} degrees")


def plant_stretch(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One link of the spine `size` per cent longer or shorter for a while."""
    clip = case.clip
    joint = target(clip, str(rng.choice(JOINTS)))
    share = share_of(clip, rng, str(rng.choice(["held", "a few frames"])))
    if joint is None or share is None:
        return None
    link = clip.positions[:, joint.joint] - clip.positions[:, clip.parents[joint.joint]]
    longer = float(rng.choice([-1.0, 1.0])) * size / 100.0
    wrong = np.flatnonzero(share >= SEEN)
    return Planted(
        clip=without_curves(rebuild(clip, joint.joint, shift=(longer * share)[:, None] * link)),
        check="torso_break",
        part=joint.part,
        carriers=(joint.part,),
        frames=(float(clip.frames[wrong[0]]), float(clip.frames[wrong[-1]])),
        size=size,
        where=f"{joint.part}, {100.0 * longer:+.0f} %, {len(wrong)} frames",
    )


def _bend_kind(name: str, lasts: str, says: str, sizes: tuple[float, ...]) -> Kind:
    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_bend(case, size, part, rng, lasts=lasts)

    return Kind(
        name=name,
        check="torso_break",
        says=says,
        unit="deg",
        sizes={"spine": sizes},
        promised={"spine": (25.0, 25.0)},
        sets=SETS,
        plant=plant,
    )


KINDS = (
    _bend_kind(
        "spine_held", "held", "one joint too far over a pose, eased", (15.0, 20.0, 25.0, 35.0)
    ),
    _bend_kind(
        "spine_few", "a few frames", "one joint too far for 3 to 6 frames", (20.0, 25.0, 35.0)
    ),
    _bend_kind(
        "spine_static", "throughout", "one joint too far in the whole clip", (20.0, 25.0, 35.0)
    ),
    Kind(
        name="spine_stretch",
        check="torso_break",
        says="one link of the spine too long or too short for a while",
        unit="%",
        sizes={"spine": (10.0, 20.0, 30.0)},
        promised={"spine": (20.0, 20.0)},
        sets=SETS,
        plant=plant_stretch,
    ),
    Kind(
        name="chest_turn",
        check="torso_break",
        says="the chest against the hips, times as far as a back goes",
        unit="x",
        sizes={"chest": (1.2, 1.6, 2.0)},
        promised={"chest": (1.6, 1.6)},
        sets=("captured_24", "captured_30", "keyed_24", "keyed_30"),
        plant=plant_turn,
    ),
)
