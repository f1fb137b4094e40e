# SPDX-License-Identifier: GPL-3.0-or-later
"""The channels of every control, on every frame, that bring the rig onto its targets.

A control can only be told once its parent's motion is known, and Rigify's parents are helper
bones under constraints. So the rig itself is asked: key what is known, sample, go outwards.
"""

from dataclasses import dataclass

import bpy
import numpy as np

from ..captured.motions import CapturedMotion
from ..captured.rotations import Floats, conjugate, continuous, from_matrix, multiply, rotate
from .controls import (
    SIDES,
    Track,
    key_every_frame,
    reset_pose,
    rest_matrix,
    set_plain,
    to_channels,
)
from .feet import Foot, retarget_foot
from .reach import within_reach
from .retarget import Arm, Body, Figure, measure_figure, retarget_arm, retarget_body, wrists
from .sampling import sample_bones

FIRST_FRAME = 1
_TRUNK_ROUNDS = 3  # hips and chest pull at each other through the spine between them


@dataclass(frozen=True, eq=False)
class Match:
    """A rig keyed on every frame: the controls' tracks, and the targets they were made for."""

    tracks: dict[str, Track]
    body: Body
    feet: dict[str, Foot]
    figure: Figure


def match(rig: bpy.types.Object, motion: CapturedMotion, arms: str) -> Match:
    """Key the rig on every frame from 1 so that it moves as captured; arms by "ik" or "fk"."""
    reset_pose(rig)
    set_plain(rig, arms)
    figure = measure_figure(rig)
    feet = {side: retarget_foot(figure, motion, side) for side in SIDES}
    body, feet = within_reach(figure, retarget_body(figure, motion), feet)
    solver = _Solver(rig, motion.frame_count)
    _match_trunk(solver, figure, body)
    for side in SIDES:
        _match_leg(solver, figure, feet[side], side)
        arm = retarget_arm(figure, motion, side)
        (_match_arm_ik if arms == "ik" else _match_arm_fk)(solver, figure, arm, side)
    for control, turn in (("neck", body.neck), ("head", body.head)):
        solver.turn(control, turn)
    return Match(solver.tracks, body, feet, figure)


class _Solver:
    """Keys controls of one rig, each by its world turn since rest and its place."""

    def __init__(self, rig: bpy.types.Object, count: int) -> None:
        self.rig = rig
        self.frames = np.arange(FIRST_FRAME, FIRST_FRAME + count)
        self.tracks: dict[str, Track] = {}

    def sample(self, *bones: str) -> Floats:
        """World matrices (T,B,4,4) as keyed so far."""
        return sample_bones(self.rig, self.frames, bones)

    def turned(self, bone: str) -> Floats:
        """(T,4) a bone's turn since rest, as keyed so far."""
        rest = from_matrix(rest_matrix(self.rig, bone)[:3, :3])
        now = from_matrix(_unscaled(self.sample(bone)[:, 0, :3, :3]))
        return continuous(multiply(now, conjugate(rest)))

    def place(self, control: str, place: Floats, turn: Floats | None = None) -> None:
        """Key a control's location, and its rotation where a turn (T,4) is given."""
        still = np.tile([1.0, 0.0, 0.0, 0.0], (len(self.frames), 1))
        location, rotation = self._solve(control, place, still if turn is None else turn)
        self._key(control, Track(location, None if turn is None else rotation))

    def turn(self, control: str, turn: Floats) -> None:
        """Key a control's rotation alone."""
        place = np.zeros((len(self.frames), 3))
        self._key(control, Track(rotation=self._solve(control, place, turn)[1]))

    def _solve(self, control: str, place: Floats, turn: Floats) -> tuple[Floats, Floats]:
        wanted = np.tile(np.eye(4), (len(self.frames), 1, 1))
        rest = rest_matrix(self.rig, control)[:3, :3]
        wanted[:, :3, :3] = np.stack([rotate(turn, axis) for axis in rest.T], axis=-1)
        wanted[:, :3, 3] = place
        above = self.rig.data.bones[control].parent
        parent = self.sample(above.name)[:, 0] if above else None
        return to_channels(self.rig, control, wanted, parent)

    def _key(self, control: str, track: Track) -> None:
        self.tracks[control] = track
        key_every_frame(self.rig, {control: track}, FIRST_FRAME)


def _match_trunk(solver: _Solver, figure: Figure, body: Body) -> None:
    """Torso, hips and chest: the spine between shares out what they ask for, so ask again for
    what is missing until pelvis and chest are turned as wanted; then carry the hips into place."""
    torso = body.torso
    rest = rest_matrix(solver.rig, "torso")[:3, 3]
    place = body.hips + rotate(torso, rest - figure.hips)
    solver.place("torso", place, torso)
    asked = {"hips": body.pelvis, "chest": body.chest}
    for _ in range(_TRUNK_ROUNDS):
        for control, turn in asked.items():
            solver.turn(control, turn)
        for control, bone, wanted in (
            ("hips", "ORG-spine", body.pelvis),
            ("chest", "ORG-spine.003", body.chest),
        ):
            missing = multiply(wanted, conjugate(solver.turned(bone)))
            asked[control] = continuous(multiply(missing, asked[control]))
    thighs = solver.sample("DEF-thigh.L", "DEF-thigh.R")[:, :, :3, 3]
    solver.place("torso", place + body.hips - thighs.mean(axis=1), torso)


def _match_leg(solver: _Solver, figure: Figure, foot: Foot, side: str) -> None:
    solver.place(f"foot_ik.{side}", foot.ankle, foot.turn)
    hip = solver.sample(f"DEF-thigh.{side}")[:, 0, :3, 3]
    pole = 0.5 * (hip + foot.ankle) + figure.leg * foot.knee
    solver.place(f"thigh_ik_target.{side}", pole)


def _match_arm_ik(solver: _Solver, figure: Figure, arm: Arm, side: str) -> None:
    shoulder = solver.sample(f"ORG-upper_arm.{side}")[:, 0, :3, 3]
    wrist = wrists(figure, arm, side, shoulder)
    solver.place(f"hand_ik.{side}", wrist, arm.fore)
    reach = float(np.sum(np.linalg.norm(np.diff(figure.arms[side], axis=0), axis=1)))
    pole = 0.5 * (shoulder + wrist) + reach * arm.elbow
    solver.place(f"upper_arm_ik_target.{side}", pole)


def _match_arm_fk(solver: _Solver, figure: Figure, arm: Arm, side: str) -> None:
    for bone, turn in (("upper_arm", arm.upper), ("forearm", arm.fore), ("hand", arm.fore)):
        solver.turn(f"{bone}_fk.{side}", turn)


def _unscaled(matrices: Floats) -> Floats:
    return matrices / np.linalg.norm(matrices, axis=-2, keepdims=True)
