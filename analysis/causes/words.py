# SPDX-License-Identifier: GPL-3.0-or-later
"""What is odd about a key, in words, and the values to type."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..cause import NO_JOINT, NO_KEY, Cause
from ..channel_turns import turn_channels, turns_from
from ..curves import Curve
from ..keys import to_action
from ..words import count_text, frame_text
from .candidates import Candidate
from .effect import world_changes
from .groups import Group, groups_of
from .key_edits import edits_of
from .places import Place
from .pose_keys import PoseKeys
from .repairs import (
    AS_AFTER,
    AS_BEFORE,
    HOLD,
    RETIME,
    SMOOTH,
    SPREAD,
    SUGGESTED,
    UNWIND,
    VALUE,
    Repair,
)
from .values import held_side

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What to do about a repair's kind, as a cause's `mend` tells it.
_MENDS = {
    SMOOTH: "smooth",
    UNWIND: "unwind",
    SPREAD: "spread",
    RETIME: "retime",
    VALUE: "move",
    SUGGESTED: "move",
    AS_BEFORE: "move",
    AS_AFTER: "move",
    HOLD: "move",
}


def no_single_key(share: float) -> Cause:
    """What no single key explains."""
    return Cause(control=None, channel=None, share=share, why=NO_KEY)


def no_single_joint(share: float) -> Cause:
    """What no single joint explains, where no curve drives any."""
    return Cause(control=None, channel=None, share=share, why=NO_JOINT)


def cause_of(basis: Basis, place: Place, candidate: Candidate, share: float) -> Cause:
    """A suspect as it is told."""
    repair = candidate.repair
    group = repair.group
    curve = _blamed(group, repair.frame)
    return Cause(
        control=group.control,
        channel=group.name,
        share=share,
        why=_why(basis, place, repair, candidate),
        data_path=curve.data_path,
        action=group.action,
        strip=group.strip,
        frame=repair.frame,
        action_frame=float(to_action(curve, repair.frame)),
        mend=_MENDS[repair.kind],
        edits=edits_of(repair),
        to_frame=repair.to_frame,
        misses=repair.misses,
    )


def joint_cause(basis: Basis, place: Place, body: int, channel: str, share: float) -> Cause:
    """A joint whose own motion breaks, in a clip whose curves do not tell the key."""
    what = "turn" if channel == "rotation" else "path"
    return Cause(
        control=basis.bodies[body].name,
        channel=channel,
        share=share,
        why=f"its own {what} breaks there",
        frame=place.peak_frame(basis),
    )


def _blamed(group: Group, frame: float) -> Curve:
    keyed = [curve for curve in group.curves if group.key_at(curve, frame) is not None]
    return (keyed or list(group.curves))[0]


def _why(basis: Basis, place: Place, repair: Repair, candidate: Candidate) -> str:
    if repair.kind == SMOOTH:
        return _corner_words(basis, place, repair)
    if repair.kind == UNWIND:
        quaternion = repair.group.name == "rotation_quaternion"
        what = "the quaternion changes its sign" if quaternion else "goes round a whole turn"
        return f"{what} at this key"
    if repair.kind == SPREAD:
        (curve,) = repair.group.curves
        n = repair.group.key_at(curve, repair.frame) or 1
        before, after = curve.values[n - 1], curve.values[n]
        return f"goes from {before:.2g} to {after:.2g} at once"
    if repair.kind == HOLD:
        return _stand_words(basis, repair, candidate)
    if repair.kind == RETIME:
        return _time_words(basis, repair)
    return _value_words(basis, repair, candidate)


def _corner_words(basis: Basis, place: Place, repair: Repair) -> str:
    """`linear key: enters at 3.1 cm a frame, leaves at 0.4`: the speeds of the part's joint."""
    group = repair.group
    kinds = group.kinds_at(repair.frame)
    kind = "linear key" if "LINEAR" in kinds else "held key" if "CONSTANT" in kinds else "a corner"
    body = place.body if place.body is not None else basis.lead
    at = int(np.argmin(np.abs(basis.frames - repair.frame)))
    if not 0 < at < len(basis.frames) - 1:
        return kind
    steps = np.linalg.norm(np.diff(basis.positions[at - 1 : at + 2, body], axis=0), axis=-1)
    into, out = (basis.height.to_story * 100.0 * float(step) for step in steps)
    return f"{kind}: enters at {into:.1f} cm a frame, leaves at {out:.1f}"


def _stand_words(basis: Basis, repair: Repair, candidate: Candidate) -> str:
    """`moves by up to 6.2 cm on 3 keys while it should stand`."""
    count = len({edit.frame for edit in edits_of(repair)})
    moved = float(np.abs(candidate.change).max())
    if repair.group.name == "location":
        what = f"moves by up to {basis.height.to_story * 100.0 * moved:.1f} cm"
    else:
        what = f"turns by up to {np.degrees(moved):.1f} degrees"
    return f"{what} on {count_text(count, 'key')} while it should stand"


def _time_words(basis: Basis, repair: Repair) -> str:
    """How many other controls are keyed where this key belongs."""
    assert repair.to_frame is not None
    there = PoseKeys(groups_of(basis.clip)).others_on(repair.group.control, repair.to_frame)
    when = "late" if repair.to_frame < repair.frame else "early"
    frames = count_text(round(abs(repair.to_frame - repair.frame)), "frame")
    if there:
        others = count_text(len(there), "other control")
        verb = "is" if len(there) == 1 else "are"
        return f"{frames} {when}: {others} {verb} keyed on {frame_text(repair.to_frame)}"
    return f"{frames} {when} for the path of its neighbours"


def _value_words(basis: Basis, repair: Repair, candidate: Candidate) -> str:
    """How far the key is off, and whether it repeats its neighbour."""
    group = repair.group
    off = off_text(basis, group, candidate.samples, candidate.change)
    side = held_side(group, repair.frame)
    if side:
        other = "before" if side < 0 else "after"
        return f"repeats the key {other} it, {off} off the path of its neighbours"
    return f"{off} off the path of its neighbours"


def off_text(basis: Basis, group: Group, samples: Ints, change: Floats) -> str:
    """The most by which a group's channels (N,K) move or turn their control: `3.1 cm`."""
    clip = basis.clip
    if group.name == "scale":
        return f"{100.0 * float(np.abs(change).max()):.0f} %"
    if group.name == "location":
        moves = world_changes(clip, group, samples, change)[:, :3, 3]
        size = float(np.linalg.norm(moves, axis=-1).max())
        return f"{basis.height.to_story * 100.0 * size:.1f} cm"
    order = group.curves[0].rotation_mode or "XYZ"
    now = turn_channels(clip, group.control, group.name, samples)
    then = now.copy()
    then[:, [curve.index for curve in group.curves]] += change
    one, other = (turns_from(group.name, parts, order) for parts in (now, then))
    alike = np.clip(np.abs(np.sum(one * other, axis=-1)), 0.0, 1.0)
    return f"{np.degrees(2.0 * np.arccos(alike)).max():.1f} degrees"
