# SPDX-License-Identifier: GPL-3.0-or-later
"""One event, one finding: what a body only carries, or only gives way to, is not its fault.

Events of one check at one moment are sorted by four rules, in this order:

carried     a body whose own motion (against its parent) is calm is carried by an ancestor:
            the one whose own motion throws it furthest takes the event, else the uppermost
            that is off as well
everywhere  when half of all bodies break at once, it is one event of the whole figure
gives way   a leg or arm between a moving trunk and an end that stays (an IK foot on the
            floor) bends because the trunk moved
limb        several joints of one limb at once are one event: of its end where the end turns
            against the limb as well (it is steered), else of the uppermost joint
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import Evidence, RawEvent
from .parts import limb_of

Floats = NDArray[np.float64]

# Events whose peaks are this many samples apart are one moment.
MOMENT = 1
# A body's own motion must be at least this share of what is seen, else it is carried.
OWN_SHARE = 0.5
# An ancestor's throw must explain at least this share of what is seen.
THROW_SHARE = 0.4
# A limb's end that is off by more than this times its trunk has an event of its own.
FREE_END = 1.5
# What is carried tells the event when it shows it this many times larger.
SHOWN_BETTER = 1.5


@dataclass(eq=False)
class Merged:
    """One event after merging: who is to mend it, the clearest view of it, and the rest."""

    owner: int | None
    lead: RawEvent
    members: list[RawEvent] = field(default_factory=list)


def merge(basis: Basis, evidence: Sequence[Evidence]) -> list[Merged]:
    """Merge the events of each check, then those of different checks that are one event."""
    merged: list[Merged] = []
    for found in evidence:
        for moment in _moments(found.events):
            for each in _merge_moment(basis, found, moment):
                if not _absorbed(basis, merged, each):
                    merged.append(each)
    return merged


def _moments(events: Sequence[RawEvent]) -> list[list[RawEvent]]:
    moments: list[list[RawEvent]] = []
    for event in sorted(events, key=lambda e: e.peak):
        if moments and event.peak - moments[-1][-1].peak <= MOMENT:
            moments[-1].append(event)
        else:
            moments.append([event])
    return moments


def _merge_moment(basis: Basis, found: Evidence, moment: list[RawEvent]) -> list[Merged]:
    if found.own_m is None or found.own_turn is None:
        return [Merged(event.body, event, [event]) for event in moment]
    view = _Moment(basis, found.own_m, found.own_turn, moment)
    owners = {event: view.owner(event) for event in moment}
    if view.everywhere():
        owners = dict.fromkeys(moment, view.first_judged)
    else:
        owners = view.gives_way(owners)
        owners = view.one_per_limb(owners)
    groups: dict[int, list[RawEvent]] = {}
    for event, owner in owners.items():
        groups.setdefault(owner, []).append(event)
    return [Merged(owner, view.lead(owner, group), group) for owner, group in groups.items()]


class _Moment:
    """The bodies at one moment, as one check sees them: all its events are on bodies."""

    def __init__(
        self, basis: Basis, own_m: Floats, own_turn: Floats, moment: list[RawEvent]
    ) -> None:
        first = min(event.first for event in moment)
        last = max(event.last for event in moment)
        self.basis = basis
        self.own = own_m[first : last + 1].max(axis=0)
        self.turn = own_turn[first : last + 1].max(axis=0)
        self.place = basis.positions[moment[0].peak]
        self.seen: dict[int, float] = {}
        for event in moment:
            body = _body(event)
            self.seen[body] = max(self.seen.get(body, 0.0), event.visible_m)
        self.first_judged = next(n for n, body in enumerate(basis.bodies) if body.judged)

    def owner(self, event: RawEvent) -> int:
        """Rule `carried`: the body itself, or the ancestor that throws it furthest."""
        body = _body(event)
        if self.own[body] >= OWN_SHARE * event.visible_m or not self.basis.ancestors(body):
            return body
        throws = {a: self._throw(a, body) for a in self.basis.ancestors(body)}
        best = max(throws, key=lambda a: throws[a])
        if throws[best] >= THROW_SHARE * event.visible_m:
            return best
        # Nothing on the way down breaks clearly by itself: the uppermost that is seen to.
        seen = [a for a in self.basis.ancestors(body) if a in self.seen]
        return seen[-1] if seen and self.own[body] == 0.0 else body

    def lead(self, owner: int, group: list[RawEvent]) -> RawEvent:
        """The owner's own event, unless something that it carries shows it much better.

        What only gives way (a bent elbow between body and hand) does not speak for it.
        """
        own = [event for event in group if event.body == owner]
        carried = [event for event in group if self.own[_body(event)] == 0.0]
        best = max(own + carried or group, key=lambda event: event.visible_m)
        if not own:
            return best
        clearest = max(own, key=lambda event: event.visible_m)
        return best if best.visible_m > SHOWN_BETTER * clearest.visible_m else clearest

    def _throw(self, ancestor: int, body: int) -> float:
        arm = float(np.linalg.norm(self.place[body] - self.place[ancestor]))
        reach = float(self.basis.reach[body])
        return max(float(self.own[ancestor]), float(self.turn[ancestor]) * (arm + 0.5 * reach))

    def everywhere(self) -> bool:
        judged = [n for n, body in enumerate(self.basis.bodies) if body.judged]
        broken = sum(1 for n in judged if self.own[n] > 0.0)
        return len(judged) >= 4 and broken >= 0.5 * len(judged)

    def gives_way(self, owners: dict[RawEvent, int]) -> dict[RawEvent, int]:
        """Rule `gives way`: limbs between a moving trunk and an end that stays."""
        return {
            event: self._moved_by(owner, set(owners.values())) for event, owner in owners.items()
        }

    def _moved_by(self, owner: int, owners: set[int]) -> int:
        limb = limb_of(self.basis.bodies[owner].part or "")
        if not limb:
            return owner
        trunk = [
            a
            for a in self.basis.ancestors(owner)
            if a in owners and self.basis.bodies[a].part not in limb
        ]
        if not trunk:
            return owner
        end = self._end(limb)
        end_seen = self.seen.get(end, 0.0) if end is not None else 0.0
        trunk_seen = max(max(self.seen.get(a, 0.0), float(self.own[a])) for a in trunk)
        return owner if end_seen > FREE_END * trunk_seen else trunk[0]

    def one_per_limb(self, owners: dict[RawEvent, int]) -> dict[RawEvent, int]:
        """Rule `limb`: several joints of one limb that break at once are one event."""
        return {event: self._speaker(owner) for event, owner in owners.items()}

    def _speaker(self, owner: int) -> int:
        """A limb's end that turns against it is steered, so the limb follows it."""
        limb = limb_of(self.basis.bodies[owner].part or "")
        mates = [
            body
            for part in limb
            if (body := self.basis.body(part)) is not None and self.own[body] > 0.0
        ]
        if owner not in mates or len(mates) < 2:
            return owner
        end = self._end(limb)
        return end if end is not None and end in mates else mates[0]

    def _end(self, limb: tuple[str, ...]) -> int | None:
        """The foot of a leg, the hand of an arm."""
        return self.basis.body(limb[2] if limb[0].startswith("thigh") else limb[3])


def _body(event: RawEvent) -> int:
    return -1 if event.body is None else event.body


def _absorbed(basis: Basis, merged: list[Merged], new: Merged) -> bool:
    """Join an event that another check has already told: same moment, same or carried body."""
    if new.owner is None:
        return False
    family = {new.owner, *basis.ancestors(new.owner)}
    for old in merged:
        near = old.lead.first - 2 <= new.lead.peak <= old.lead.last + 2
        if near and old.lead.check != new.lead.check and old.owner in family:
            old.members += new.members
            return True
    return False
