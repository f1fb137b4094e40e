# SPDX-License-Identifier: GPL-3.0-or-later
"""The basis as the audience sees it: points on the picture instead of points in the world."""

import itertools
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.build import fill_gaps
from .basis.contacts import Plant, Soles
from .basis.flights import Flight
from .basis.ground import Ground
from .basis.height import Height
from .basis.slips import Slip
from .basis.touch_points import TouchPoints
from .clip import Clip
from .picture import Picture

Floats = NDArray[np.float64]

# What a figure's height is to its points in the world, the picture's height is on the picture.
PICTURE_HEIGHT = 100.0
# Shorter stretches between cuts hold nothing that could be judged.
SHORTEST = 3


@dataclass(frozen=True, eq=False)
class ScreenBasis(Basis):
    """Points are (right, 0, up) in per cent of the picture's height, from its centre.

    Depth does not exist: what moves along the line of sight stands still. A body that leaves
    the picture by more than a quarter of its size, or is behind the camera, has a gap there.
    What is no matter of the picture (feet, plants, flights, the centre of mass, orientations)
    is the world's; how far a body moves by itself is the world's at its usual size on the
    picture, so that who is to blame is found as in the world.
    """

    world: Basis
    marks_seen: Floats
    scale: Floats

    @property
    def space(self) -> str:
        """`camera`."""
        return "camera"

    @property
    def unit(self) -> str:
        """Per cent of the picture's height."""
        return "%"

    def amount(self, size: float) -> float:
        """Per cent of the picture's height, as it is."""
        return size

    def size_text(self, size: float) -> str:
        """The same in words."""
        return f"{size:.1f} % of the picture's height"

    @cached_property
    def marks(self) -> Floats:
        """(T,B,3,3) joint, tip and a point to the side, on the picture."""
        return self.marks_seen

    @cached_property
    def own_marks(self) -> Floats:
        """(T,B,3,3) the world's, at the usual size of each body on the picture; of what nothing
        carries, the marks on the picture: there the camera moves it as well."""
        own = self.world.own_marks * self.usual_scale[:, None, None]
        free = np.array([body.parent < 0 for body in self.bodies])
        own[:, free] = self.marks[:, free]
        return own

    @cached_property
    def usual_scale(self) -> Floats:
        """(B,) per cent of the picture's height for a metre of each body, over its frames."""
        shown = np.where(self.valid, self.scale, np.nan)
        known = self.valid.any(axis=0)
        usual = np.ones(len(self.bodies))
        usual[known] = np.nanmedian(shown[:, known], axis=0)
        return usual

    @cached_property
    def own_rotations(self) -> Floats:
        """The world's."""
        return self.world.own_rotations

    @cached_property
    def forward(self) -> Floats:
        """(T,3) into the picture, so that left and right are the picture's."""
        return np.broadcast_to([0.0, 1.0, 0.0], (len(self.frames), 3))

    @cached_property
    def leg_lenience(self) -> Floats:
        """The world's."""
        return self.world.leg_lenience

    def loop_lenience(self, length: int) -> Floats:
        """The world's."""
        return self.world.loop_lenience(length)

    @cached_property
    def offsets(self) -> Floats:
        """(B,3,3) the world's three marks, at the usual size of each body on the picture."""
        return self.world.offsets * self.usual_scale[:, None, None]

    def mark_name(self, body: int, mark: int) -> str:
        """The world's."""
        return self.world.mark_name(body, mark)

    @cached_property
    def com(self) -> Floats | None:
        """The world's."""
        return self.world.com

    @property
    def soles(self) -> tuple[Soles, ...]:
        """The world's."""
        return self.world.soles

    @property
    def ground(self) -> Ground:
        """The world's."""
        return self.world.ground

    @cached_property
    def touch_points(self) -> TouchPoints:
        """The world's."""
        return self.world.touch_points

    @cached_property
    def plants(self) -> tuple[Plant, ...]:
        """The world's."""
        return self.world.plants

    @cached_property
    def slips(self) -> tuple[Slip, ...]:
        """The world's."""
        return self.world.slips

    @cached_property
    def flights(self) -> tuple[Flight, ...]:
        """The world's."""
        return self.world.flights

    def to_world(self, offset: Floats, sample: int, body: int) -> Floats:
        """A way on the picture (3,) as a way in the world, square to the line of sight, metres."""
        picture = picture_of(self.clip)
        right, up = picture.axes[sample, 0], picture.axes[sample, 1]
        return np.asarray((offset[0] * right + offset[2] * up) / self.scale[sample, body])


def picture_of(clip: Clip) -> Picture:
    """The clip's camera; the clip must have one."""
    assert clip.camera_pose is not None and clip.camera_projection is not None
    return Picture(clip.camera_pose, clip.camera_projection)


def has_camera(clip: Clip) -> bool:
    """Whether the clip carries a camera with its lens."""
    return clip.camera_pose is not None and clip.camera_projection is not None


def between_cuts(clip: Clip) -> list[Clip]:
    """The clip in pieces, broken where the camera cuts; pieces of a frame or two are left out."""
    if clip.camera_cut is None or not clip.camera_cut[1:].any():
        return [clip]
    starts = [0, *(np.flatnonzero(clip.camera_cut[1:]) + 1), len(clip.frames)]
    return [
        clip.cut(float(clip.frames[first]), float(clip.frames[last - 1]))
        for first, last in itertools.pairwise(starts)
        if last - first >= SHORTEST
    ]


def on_picture(world: Basis) -> ScreenBasis:
    """The same bodies as the camera of the basis' clip sees them; the clip must have one."""
    places, scale, shows = picture_of(world.clip).seen(world.marks)
    marks = np.zeros((*places.shape[:-1], 3))
    marks[..., 0], marks[..., 2] = places[..., 0], places[..., 1]
    valid = world.valid & shows.all(axis=-1)
    marks = fill_gaps(marks.reshape(*valid.shape, -1), valid).reshape(marks.shape)
    joint_scale = scale[:, :, 0]
    usual = np.where(valid.any(axis=0), np.median(joint_scale, axis=0), 1.0)
    return ScreenBasis(
        clip=world.clip,
        settings=world.settings,
        roles=world.roles,
        bodies=world.bodies,
        height=Height(PICTURE_HEIGHT, None),
        positions=marks[:, :, 0],
        rotations=world.rotations,
        valid=valid,
        reach=world.reach * usual,
        memory=world.memory,
        world=world,
        marks_seen=marks,
        scale=joint_scale,
    )
