# SPDX-License-Identifier: GPL-3.0-or-later
"""A keyed rig without Blender: the puppet, which answers trials, and faults put into its keys.

What plays is what the clip's curves say, so that a fault in a key is one in the motion.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from types import MappingProxyType

import numpy as np

from analysis import Clip, keys
from analysis import quaternions as quat
from analysis.causes.asking import plan_trials
from analysis.causes.rank import find_causes
from analysis.channel_turns import from_euler, to_euler
from analysis.curves import Curve
from analysis.finding import Shot
from analysis.pipeline import Examination, examine
from analysis.trials import Posed, Trial
from demo_scenes.captured import resample
from tests.quality.captured import motions
from tests.quality.key_data import controlled, curves_of
from tests.quality.keying import Manner, key_motion
from tests.quality.posing import clip_of
from tests.quality.puppet import Puppet, puppet_of

FPS = 24.0
TARGETS = MappingProxyType({f"foot.{side}": f"foot.{side}" for side in "LR"})
# A property of the chest that bends it forward by so much, radians at 1.
LEAN = 'chest|["lean"]'
LEANS = 0.35
Edit = Callable[[Curve, int], Curve]


@cache
def rig(name: str = "jump") -> tuple[Puppet, Clip]:
    """A captured motion keyed on the puppet: the figure, and the clip that its keys play."""
    motion = resample({each.name: each for each in motions()}[name], FPS)
    keyed = key_motion(motion, Manner())
    puppet = puppet_of(motion)
    curves = tuple(keys.recomputed(each) for each in curves_of(puppet, keyed.splines))
    clip = clip_of(puppet, keyed.tracks, FPS, name=name, curves=curves)
    return puppet, played(puppet, replace(clip, meta=replace(clip.meta, targets=TARGETS)))


def played(puppet: Puppet, clip: Clip) -> Clip:
    """The clip with what its curves play on its frames, each as much as arrives of it."""
    names = tuple(dict.fromkeys(f"{c.control}|{c.channel}" for c in clip.meta.curves))
    values = np.zeros((len(clip.frames), len(names)))
    for curve in clip.meta.curves:
        column = names.index(f"{curve.control}|{curve.channel}")
        share = keys.weights_at(curve, clip.frames)
        values[:, column] += share * keys.values_at(curve, clip.frames)
    clip = replace(clip, channels=names, channel_values=values)
    return posed(puppet, clip, values)


def posed(puppet: Puppet, clip: Clip, values: np.ndarray) -> Clip:
    """The clip with the puppet as other channel values (T,K) pose it."""
    tracks: dict[str, np.ndarray] = {}
    for control, prop, axes in (
        *(("hips", *each) for each in (("location", "xyz"), ("rotation_quaternion", "wxyz"))),
        *((f"foot.{s}", "location", "xyz") for s in "LR"),
        *((f"foot.{s}", "rotation_quaternion", "wxyz") for s in "LR"),
        *((c, "rotation_quaternion", "wxyz") for c in ("chest", "neck")),
        *((f"{p}.{s}", "rotation_quaternion", "wxyz") for p in ("upper_arm", "hand") for s in "LR"),
        *((f"forearm.{s}", "rotation_euler", "x") for s in "LR"),
        *((f"knee.{s}", "rotation_euler", "y") for s in "LR"),
    ):
        track = f"{control}.{_TRACKS[prop + axes]}"
        if f"{control}|{prop}.{axes[0]}" in clip.channels:
            columns = [clip.channels.index(f"{control}|{prop}.{axis}") for axis in axes]
            tracks[track] = values[:, columns]
        else:  # turned by angles
            columns = [clip.channels.index(f"{control}|rotation_euler.{axis}") for axis in "xyz"]
            tracks[track] = from_euler(values[:, columns])
    if LEAN in clip.channels:
        half = 0.5 * LEANS * values[:, clip.channels.index(LEAN)]
        bend = np.stack((np.cos(half), np.sin(half), 0.0 * half, 0.0 * half), axis=-1)
        tracks["chest.turn"] = quat.multiply(bend, quat.normalise(tracks["chest.turn"]))
    made = controlled(clip_of(puppet, tracks, clip.fps, name=""), puppet, tracks)
    moved = replace(clip, positions=made.positions, rotations=made.rotations)
    controls = replace(clip.meta, controls=made.meta.controls)
    return replace(moved, control_matrices=made.control_matrices, meta=controls)


_TRACKS = {
    "locationxyz": "place",
    "rotation_quaternionwxyz": "turn",
    "rotation_eulerx": "bend",
    "rotation_eulery": "swivel",
}


def answer(puppet: Puppet, clip: Clip, trial: Trial) -> Posed | None:
    """How the puppet stands where a trial asks, or None where a leg does not reach."""
    values = clip.channel_values.copy()
    columns = [clip.channels.index(channel) for channel in trial.channels]
    values[np.ix_(trial.samples, columns)] = trial.values
    try:
        there = posed(puppet, clip, values)
    except ValueError:
        return None
    return Posed(
        samples=trial.samples,
        joints=np.arange(len(puppet.joints)),
        positions=there.positions[trial.samples][:, : len(puppet.joints)],
        rotations=there.rotations[trial.samples][:, : len(puppet.joints)],
        controls=there.control_matrices[trial.samples],
    )


def with_curves(puppet: Puppet, clip: Clip, curves: Sequence[Curve]) -> Clip:
    """The clip with other curves, and what these play."""
    return played(puppet, replace(clip, meta=replace(clip.meta, curves=tuple(curves))))


def edited(clip: Clip, control: str, prop: str, frame: float, edit: Edit) -> tuple[Curve, ...]:
    """The clip's curves, those of a control's property edited at their key on a frame."""
    found = []
    for curve in clip.meta.curves:
        if curve.control == control and curve.channel.rpartition(".")[0] == prop:
            (at,) = np.flatnonzero(np.abs(np.subtract(curve.frames, frame)) < 0.01)
            curve = edit(curve, int(at))
        found.append(curve)
    return tuple(found)


def key_frames(clip: Clip, control: str, prop: str) -> tuple[float, ...]:
    """Frames on which a control's property is keyed."""
    return next(
        curve.frames
        for curve in clip.meta.curves
        if curve.control == control and curve.channel.startswith(f"{prop}.")
    )


def with_angles(puppet: Puppet, clip: Clip, control: str) -> Clip:
    """The clip with a control turned by Euler angles in place of its quaternion."""
    quats = [c for c in clip.meta.curves if (c.control, c.channel[:-2]) == (control, _QUATERNION)]
    turns = quat.normalise(np.array([c.values for c in quats]).T)
    near, angles = np.zeros(3), []
    for turn in turns:
        near = to_euler(turn, near)
        angles.append(near)
    made = [
        keys.recomputed(
            replace(
                quats[0],
                channel=f"rotation_euler.{axis}",
                index=n,
                values=tuple(each),
                rotation_mode="XYZ",
            )
        )
        for n, (axis, each) in enumerate(zip("xyz", np.transpose(angles).tolist(), strict=True))
    ]
    return with_curves(puppet, clip, [*(c for c in clip.meta.curves if c not in quats), *made])


_QUATERNION = "rotation_quaternion"


def with_lean(puppet: Puppet, clip: Clip, frames: Sequence[float], values: Sequence[float]) -> Clip:
    """The clip with a keyed property that bends the chest forward."""
    one = next(curve for curve in clip.meta.curves if curve.control == "chest")
    count = len(frames)
    pairs = tuple(zip(frames, values, strict=True))
    lean = replace(
        one,
        channel=LEAN.partition("|")[2],
        index=0,
        rotation_mode="",
        frames=tuple(frames),
        action_frames=tuple(frames),
        values=tuple(values),
        interpolation=("BEZIER",) * count,
        handle_left=tuple((frame - 1.0, value) for frame, value in pairs),
        handle_right=tuple((frame + 1.0, value) for frame, value in pairs),
        handle_types=(("AUTO_CLAMPED", "AUTO_CLAMPED"),) * count,
        key_types=("KEYFRAME",) * count,
    )
    return with_curves(puppet, clip, [*clip.meta.curves, keys.recomputed(lean)])


def explained(
    puppet: Puppet, clip: Clip, shown: Clip | None = None, off: np.ndarray | None = None
) -> tuple[Examination, Shot]:
    """A clip as it is examined, and its findings with their causes, the puppet asked.

    shown     what is examined in its place: the same rig with more joints
    off (T,J,3)   how the rig's joints lie beside what its keys say, in the clip and in any answer
    """
    examination = examine(clip if shown is None else shown)
    plan = plan_trials(examination)
    answers = [answer(puppet, clip, trial) for trial in plan.trials]
    if off is not None:
        answers = [
            replace(each, positions=each.positions + off[each.samples]) for each in answers if each
        ]
    return examination, find_causes(examination, plan, answers)
