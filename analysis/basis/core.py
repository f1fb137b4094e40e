# SPDX-License-Identifier: GPL-3.0-or-later
"""The basis: a clip seen as followed bodies, with gaps filled and signs made continuous."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..clip import Clip
from ..memory import Memory
from ..parts import SIDES
from ..roles import Roles
from ..settings import Settings
from ..smoothing import smooth
from ..words import size_text
from .bodies import Body
from .body_marks import mark_name, mark_offsets
from .contacts import Plant, Soles, find_plants, join_slipped, over_ground
from .facing import facing
from .flights import Flight, find_flights
from .ground import Ground, find_ground
from .hand_slips import find_hand_slips
from .height import Height
from .holding import held
from .level import level_steps
from .mass import centre_of_mass, com_rate
from .shifts import shifted_steps
from .slips import Slip, find_slips
from .soles import find_sole
from .strikes import leg_lenience
from .touch_points import TouchPoints, find_touch_points
from .tremble import tremble_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
# Motion is differentiated over this window, so that one frame's jump is no speed: a cubic over
# .2 s passes 5 to 6 Hz, which is what body motion holds.
SPEED_WINDOW_S = 0.2


@dataclass(frozen=True, eq=False)
class Basis:
    """T frames, B bodies. What costs something is computed at first use.

    positions (T,B,3)   metres, world; rotations (T,B,4) with continuous signs
    valid (T,B)         False in gaps, bridged straight; reach (B,): metres from joint to tip
    memory              of what the examination before this one worked out, where there is one
    """

    clip: Clip
    settings: Settings
    roles: Roles
    bodies: tuple[Body, ...]
    height: Height
    positions: Floats
    rotations: Floats
    valid: Bools
    reach: Floats
    memory: Memory | None = field(default=None, kw_only=True)

    @property
    def dt_s(self) -> float:
        """Seconds from one sample to the next."""
        return self.clip.dt_s

    @property
    def frames(self) -> Floats:
        """(T,) frame numbers."""
        return self.clip.frames

    @property
    def space(self) -> str:
        """`world` or `camera`: where the points are followed, as in a finding."""
        return "world"

    @property
    def unit(self) -> str:
        """The unit of `amount`."""
        return "cm"

    def amount(self, size: float) -> float:
        """A size among the points (scene metres) as findings tell it: at the story's height."""
        return size * self.height.to_story * 100.0

    def size_text(self, size: float) -> str:
        """The same in words."""
        return size_text(size * self.height.to_story)

    @property
    def lead(self) -> int:
        """Index of the first judged body: what leads the figure."""
        return next(n for n, body in enumerate(self.bodies) if body.judged)

    def body(self, part: str) -> int | None:
        """Index of the body that plays `part`, or None."""
        return next((n for n, body in enumerate(self.bodies) if body.part == part), None)

    def has_part(self, part: str) -> bool:
        """Whether the figure has a part."""
        return self.body(part) is not None

    def ancestors(self, body: int) -> list[int]:
        """Bodies that carry `body`, the nearest first."""
        found = []
        while self.bodies[body].parent >= 0:
            body = self.bodies[body].parent
            found.append(body)
        return found

    @cached_property
    def marks(self) -> Floats:
        """(T,B,3,3) three points of each body, world: joint, tip, and a point to its side (nose).

        Together they show translation, swing and twist, each in metres as the eye sees it.
        """
        return self.positions[:, :, None] + quat.rotate(
            self.rotations[:, :, None], self.offsets[None]
        )

    @cached_property
    def own_marks(self) -> Floats:
        """(T,B,3,3) the same points in the axes of the body's parent; world for roots."""
        own = self.marks.copy()
        for n, body in enumerate(self.bodies):
            if body.parent >= 0:
                back = quat.conjugate(self.rotations[:, body.parent])
                gap = self.marks[:, n] - self.positions[:, body.parent, None]
                own[:, n] = quat.rotate(back[:, None], gap)
        return own

    @cached_property
    def own_rotations(self) -> Floats:
        """(T,B,4) orientation against the parent's; world for roots."""
        own = self.rotations.copy()
        for n, body in enumerate(self.bodies):
            if body.parent >= 0:
                back = quat.conjugate(self.rotations[:, body.parent])
                own[:, n] = quat.multiply(back, self.rotations[:, n])
        return quat.continuous(own)

    @cached_property
    def forward(self) -> Floats:
        """(T,3) unit vectors, level: where the figure faces."""
        return facing(self)

    @cached_property
    def leg_lenience(self) -> Floats:
        """(T,B) what limits are multiplied by where legs meet the floor: 1, 2, or infinity."""
        return leg_lenience(self)

    def loop_lenience(self, length: int) -> Floats:
        """(L,B) the same for the first `length` samples as a loop."""
        return leg_lenience(self, length)

    @cached_property
    def com(self) -> Floats | None:
        """(T,3) centre of mass, metres, world; None where too little of the figure is known."""
        return centre_of_mass(self)

    @cached_property
    def velocities(self) -> Floats:
        """(T,B,3) m/s of every joint, smoothed over a fifth of a second."""
        return self._derived(self.positions, 1)

    @cached_property
    def com_velocity(self) -> Floats | None:
        """(T,3) m/s of the centre of mass, smoothed alike."""
        return com_rate(self, self._derived, 1)

    @cached_property
    def com_acceleration(self) -> Floats | None:
        """(T,3) m/s2 of the centre of mass, smoothed alike."""
        return com_rate(self, self._derived, 2)

    def _derived(self, path: Floats, n: int) -> Floats:
        return smooth(path, self.dt_s, window_s=SPEED_WINDOW_S, derivative=n)

    @cached_property
    def _feet(self) -> tuple[tuple[Soles, ...], Ground]:
        found = [sole for side in SIDES if (sole := find_sole(self, side)) is not None]
        ground = find_ground(self, tuple(found))
        return tuple(over_ground(self, sole, ground) for sole in found), ground

    @property
    def soles(self) -> tuple[Soles, ...]:
        """The soles of the feet that are known, left first, over what bears them."""
        return self._feet[0]

    @property
    def ground(self) -> Ground:
        """Floor, boxes that bear weight, and the ground that a cycle in place walks on."""
        return self._feet[1]

    @cached_property
    def tremble(self) -> float:
        """Standard deviation of the noise in the height of soles, metres, see `tremble`."""
        return tremble_of(self.soles, self.height.scene_m)

    @cached_property
    def level(self) -> tuple[Bools, ...]:
        """For each of `soles` (T-1,) steps on which it touches beyond doubt, see `level`."""
        return tuple(level_steps(self, soles) for soles in self.soles)

    @cached_property
    def shifted(self) -> tuple[tuple[Bools, Bools], ...]:
        """For each of `soles` (T-1,) steps on which it is shifted, and surely so, see `shifts`."""
        return tuple(shifted_steps(self, soles) for soles in self.soles)

    @cached_property
    def plants(self) -> tuple[Plant, ...]:
        """All plants of both feet, left first, each foot's in time's order."""
        feet = zip(self.soles, self.level, self.shifted, strict=True)
        found = [p for soles, at, (by, _) in feet for p in find_plants(self, soles, at | by)]
        return join_slipped(self, self.soles, found)

    @cached_property
    def slips(self) -> tuple[Slip, ...]:
        """How far the foot of each plant slips, in the order of `plants`."""
        return find_slips(self, self.soles, self.plants)

    @cached_property
    def hand_slips(self) -> tuple[Slip, ...]:
        """How far each hand slips in each of its stays on a declared support."""
        return find_hand_slips(self)

    @cached_property
    def held(self) -> Bools:
        """(T,B,2) whether a joint or tip of hand or foot rests on a box's face, see `holding`."""
        return held(self)

    @cached_property
    def touch_points(self) -> TouchPoints:
        """Which points of the figure touch floor or supports."""
        return find_touch_points(self)

    @cached_property
    def flights(self) -> tuple[Flight, ...]:
        """All flights, in time's order."""
        return find_flights(self, self.soles)

    @cached_property
    def offsets(self) -> Floats:
        """(B,3,3) the three marks in the joint's axes, see `body_marks`."""
        return mark_offsets(self)

    def mark_name(self, body: int, mark: int) -> str:
        """What a mark is called; empty for a joint that has no name of its own."""
        return mark_name(self, body, mark)
