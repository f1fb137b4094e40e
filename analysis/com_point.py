# SPDX-License-Identifier: GPL-3.0-or-later
"""The centre of mass as a followed point, asked by the point checks.

It moves with everything, so what it does some part does larger: an event of its own is
told only where no part has one at that moment.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .basis import Basis, Body
from .basis.contacts import Plant, Soles
from .basis.flights import Flight
from .basis.ground import Ground
from .basis.loads import counted_loads
from .basis.mass import body_centre, mass_known
from .basis.slips import Slip
from .basis.touch_points import TouchPoints
from .checks import REGISTRY, Check
from .evidence import RawEvent
from .loop import Cycle
from .merge import moments
from .merge_flights import take_bends
from .merged import NEAR, Merged

Floats = NDArray[np.float64]
COM = "centre of mass"


@dataclass(frozen=True, eq=False)
class ComBasis(Basis):
    """One body: the centre of mass, a point without a turn. Feet and flights are the world's."""

    world: Basis

    @cached_property
    def offsets(self) -> Floats:
        """(1,3,3) all marks are the point itself."""
        return np.zeros((1, 3, 3))

    def mark_name(self, body: int, mark: int) -> str:
        """Always the centre of mass."""
        return COM

    @cached_property
    def forward(self) -> Floats:
        """The figure's."""
        return self.world.forward

    @property
    def soles(self) -> tuple[Soles, ...]:
        """The figure's."""
        return self.world.soles

    @property
    def ground(self) -> Ground:
        """The figure's."""
        return self.world.ground

    def has_part(self, part: str) -> bool:
        """The figure has it."""
        return self.world.has_part(part)

    @cached_property
    def plants(self) -> tuple[Plant, ...]:
        """The figure's."""
        return self.world.plants

    @cached_property
    def slips(self) -> tuple[Slip, ...]:
        """The figure's."""
        return self.world.slips

    @cached_property
    def touch_points(self) -> TouchPoints:
        """The figure's."""
        return self.world.touch_points

    @cached_property
    def flights(self) -> tuple[Flight, ...]:
        """The figure's."""
        return self.world.flights

    @cached_property
    def com(self) -> Floats | None:
        """The figure's."""
        return self.world.com


def com_basis(world: Basis) -> ComBasis | None:
    """The centre of mass of a basis in the world as its only body; None where it is not known."""
    # Of the body alone: what is let go does not make it jump.
    path = body_centre(world) if counted_loads(world) else world.com
    if world.space != "world" or path is None:
        return None
    lead = world.bodies[world.lead]
    count = len(world.frames)
    turns = np.zeros((count, 1, 4))
    turns[..., 0] = 1.0
    return ComBasis(
        clip=world.clip,
        settings=world.settings,
        roles=world.roles,
        bodies=(Body(None, COM, lead.joint, -1),),
        height=world.height,
        positions=path[:, None],
        rotations=turns,
        valid=mass_known(world)[:, None],
        reach=np.array([0.05 * world.height.scene_m]),
        memory=world.memory,
        world=world,
    )


def com_alone(
    basis: Basis, cycle: Cycle, checks: Sequence[Check], others: Sequence[Merged]
) -> list[Merged]:
    """What the point checks see the centre of mass do where they see no part do anything.

    Each moment is one event, of what leads the figure; what a flight's shape does to it, that
    flight tells. Only where the whole figure is asked at once: of parts on twos the rest moves it
    as well; and only by checks that hold for any body (a round may bring some that are made for
    its own).
    """
    if basis.clip.is_ball:  # its place is the centre of mass: it has told all
        return []
    whole = all(body.judged for body in basis.bodies if body.part != "mover")
    asked = [check for check in checks if check in REGISTRY and check.info.asked_of == "points"]
    point = com_basis(basis) if whole and asked else None
    if point is None:
        return []
    names = {check.info.name for check in asked}
    told = [member for other in others for member in other.members if member.check in names]
    alone = []
    for moment in moments([event for each in asked for event in each.find(point, cycle).events]):
        if not any(_near(event, other) for event in moment for other in told):
            seen = [_of_lead(basis, event) for event in moment]
            lead = max(seen, key=lambda event: event.visible_m)
            alone.append(Merged(basis.lead, lead, seen))
    for other in others:
        take_bends(basis, alone, other, 0)
    return alone


def _of_lead(basis: Basis, event: RawEvent) -> RawEvent:
    says = event.says.replace("{who}", COM)
    return replace(event, body=basis.lead, point=COM, says=says)


def _near(event: RawEvent, other: RawEvent) -> bool:
    return other.first - NEAR <= event.last and event.first <= other.last + NEAR
