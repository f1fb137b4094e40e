# SPDX-License-Identifier: GPL-3.0-or-later
"""Legs and arms as two bones that bend: how far they reach, how much knee and elbow bend."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .once import once
from .parts import SIDES

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEG, ARM = ("thigh", "shin", "foot"), ("upper_arm", "forearm", "hand")
# Bones and reaches shorter than this share of the height say nothing about a bend.
LEAST_SHARE = 0.01


@dataclass(frozen=True, eq=False)
class Limb:
    """A leg or an arm over T frames.

    upper, lower, end   bodies: thigh, shin, foot; or upper arm, forearm, hand
    joint               `knee` or `elbow`; side `L` or `R`
    paths (T,3,3)       hip, knee and ankle (shoulder, elbow, wrist), metres, world
    known (T,)          False where one of the three is a gap
    rest (2,)           metres of both bones at rest; of the clip's median where none is known
    hinges (T,2,3)      a knee's axis, to the figure's left at rest, as thigh and shin carry it,
                        unit vectors; None where that is not known
    """

    joint: str
    side: str
    upper: int
    lower: int
    end: int
    paths: Floats
    known: Bools
    rest: Floats
    hinges: Floats | None

    @property
    def name(self) -> str:
        """`left knee`, `right elbow`."""
        return f"{'left' if self.side == 'L' else 'right'} {self.joint}"

    @property
    def whole(self) -> str:
        """`left leg`, `right arm`."""
        return self.name.replace("knee", "leg").replace("elbow", "arm")

    @property
    def end_name(self) -> str:
        """`left foot`, `right hand`."""
        return self.name.replace("knee", "foot").replace("elbow", "hand")

    @cached_property
    def bones(self) -> Floats:
        """(T,2) metres of both bones as they are."""
        return np.asarray(np.linalg.norm(np.diff(self.paths, axis=1), axis=-1))

    @cached_property
    def reach(self) -> Floats:
        """(T,) metres from hip to ankle."""
        return np.asarray(np.linalg.norm(self.paths[:, 2] - self.paths[:, 0], axis=-1))

    @cached_property
    def bend(self) -> Floats:
        """(T,) radians between both bones: 0 straight."""
        upper, lower = self.paths[:, 1] - self.paths[:, 0], self.paths[:, 2] - self.paths[:, 1]
        across = np.linalg.norm(np.cross(upper, lower), axis=-1)
        return np.asarray(np.arctan2(across, np.sum(upper * lower, axis=-1)))

    @cached_property
    def slack(self) -> Floats:
        """(T,) metres that the reach lacks of both bones' length: 0 straight."""
        return np.asarray(np.maximum(self.bones.sum(axis=1) - self.reach, 0.0))

    @cached_property
    def off_line(self) -> Floats:
        """(T,3) metres from the line between hip and ankle to the knee, square to it."""
        hip, knee, ankle = self.paths.transpose(1, 0, 2)
        line = ankle - hip
        line = line / np.maximum(np.linalg.norm(line, axis=-1, keepdims=True), 1e-12)
        away = knee - hip
        return np.asarray(away - np.sum(away * line, axis=-1, keepdims=True) * line)

    @cached_property
    def flexion_deg(self) -> Floats:
        """(T,) degrees that a knee or elbow bends; a knee bent the wrong way is below 0.

        0 is straight, bending is positive: Grood & Suntay 1983, J. Biomech. Eng. 105:136-144.
        Of thigh and shin that one tells the way whose hinge lies nearer to the axis of the bend:
        the bones of a rig may twist against the limb that they show.
        """
        degrees = np.degrees(self.bend)
        if self.hinges is None:
            return np.asarray(degrees)
        upper, lower = self.paths[:, 1] - self.paths[:, 0], self.paths[:, 2] - self.paths[:, 1]
        along = np.einsum("ti,tki->tk", np.cross(upper, lower), self.hinges)
        nearer = np.abs(along).argmax(axis=1)
        wrong = along[np.arange(len(along)), nearer] < 0.0
        return np.asarray(np.where(wrong, -degrees, degrees))


@once
def find_limbs(basis: Basis) -> tuple[Limb, ...]:
    """Both legs, then both arms, of those of which all three joints are known."""
    found = [_limb(basis, chain, side) for chain in (LEG, ARM) for side in SIDES]
    return tuple(limb for limb in found if limb is not None)


def _limb(basis: Basis, chain: tuple[str, ...], side: str) -> Limb | None:
    bodies = [basis.body(f"{kind}.{side}") for kind in chain]
    upper, lower, end = bodies
    if upper is None or lower is None or end is None:
        return None
    chosen = [upper, lower, end]
    paths = basis.positions[:, chosen]
    rest = _rest(basis, chosen, paths)
    if rest.min() < LEAST_SHARE * basis.height.scene_m:
        return None
    return Limb(
        joint="knee" if chain is LEG else "elbow",
        side=side,
        upper=upper,
        lower=lower,
        end=end,
        paths=paths,
        known=np.asarray(basis.valid[:, chosen].all(axis=1)),
        rest=rest,
        hinges=_hinges(basis, chosen) if chain is LEG else None,
    )


def _rest(basis: Basis, chosen: list[int], paths: Floats) -> Floats:
    """(2,) metres of both bones at rest."""
    joints = [basis.bodies[n].joint for n in chosen]
    if basis.clip.rest_positions is not None:
        apart = np.diff(basis.clip.rest_positions[joints], axis=0)
        return np.asarray(np.linalg.norm(apart, axis=-1))
    return np.asarray(np.median(np.linalg.norm(np.diff(paths, axis=1), axis=-1), axis=0))


def _hinges(basis: Basis, chosen: list[int]) -> Floats | None:
    """(T,2,3) a knee's axis as thigh and shin carry it: to the figure's left at rest.

    It is square to the leg, along the hips' line from right to left.
    """
    clip = basis.clip
    hips = [basis.body(f"thigh.{side}") for side in SIDES]
    if clip.rest_positions is None or clip.rest_rotations is None or None in hips:
        return None
    left, right = (clip.rest_positions[basis.bodies[n].joint] for n in hips if n is not None)
    hip, _knee, ankle = (clip.rest_positions[basis.bodies[n].joint] for n in chosen)
    leg = hip - ankle
    ahead = np.cross(left - right, leg)
    if float(np.linalg.norm(ahead)) < LEAST_SHARE * LEAST_SHARE * basis.height.scene_m**2:
        return None
    hinge = np.cross(leg, ahead)
    bones = chosen[:2]
    at_rest = clip.rest_rotations[[basis.bodies[n].joint for n in bones]]
    own = quat.rotate(quat.conjugate(at_rest), hinge / np.linalg.norm(hinge))
    return np.asarray(quat.rotate(basis.rotations[:, bones], own))
