# SPDX-License-Identifier: GPL-3.0-or-later
"""Who is to blame when several bodies are off at one moment, as one check sees it.

everywhere  when half of all bodies break at once, half of the trunk or most hands and feet
            among them, it is one event of the whole figure, of its root where that is off as
            far as the rest (limbs alone may only give way)
trunk       root, hips, spine, chest, neck and head have one culprit: of those that are off
            against what carries them, the one that turns most in the world (they share a turn
            among their joints), the innermost where several turn alike
limb        an arm or leg has one culprit: the trunk's, where the limb hangs on it and is only
            carried or gives way (a leg bends between moving hips and a foot that stays); else
            its shin or forearm, where that is off and the end stays (a pole moved its joint),
            unless the shoulder moved; else its end, where the end is steered (it turns
            against the limb or keeps its own way); else its innermost joint that is off
carried     anything else that is calm by itself is carried by the nearest body whose own
            motion throws it far enough
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import OwnMotion, RawEvent
from .parts import TRUNK, limb_of, split_part

Floats = NDArray[np.float64]

# A body's own motion must be at least this share of what is seen, else it is carried.
OWN_SHARE = 0.5
# The nearest ancestor that throws the first share of what is seen takes it, else the second.
ENOUGH_SHARES = (0.6, 0.4)
# A limb's end that is off by more than this times what its trunk does to it is off by itself.
FREE_END = 1.5
# What is carried tells the event when it shows it this many times larger.
SHOWN_BETTER = 1.5
# Turns in the world within this share of the largest are the same turn, carried on.
SAME_TURN = 0.9
# Where no joint of a limb is clearly off by itself, those that are off by this share of what
# is seen of it.
UNCLEAR_SHARE = 0.3
# A foot that turns against its shin by this share of what the leg turns is not carried by it.
LOOSE_SHARE = 0.3
# An end that is off by less than this share of the knee or elbow is not off.
STAYS_SHARE = 0.15
# An end that turns less in the world than this share of its limb keeps its own way.
STEERED_SHARE = 0.5


class Moment:
    """The bodies at one moment; every event of it is on a body."""

    def __init__(self, basis: Basis, own: OwnMotion, events: list[RawEvent]) -> None:
        first = min(event.first for event in events)
        span = self.span = slice(first, max(event.last for event in events) + 1)
        self.basis = basis
        self.events = events
        self.own = own.metres[span].max(axis=0)
        self.any_own = own.any_metres[span].max(axis=0)
        self.turn = own.turn[span].max(axis=0)
        self.world_turn = own.world_turn[span].max(axis=0)
        self.place = basis.positions[events[0].peak]
        self.seen: dict[int, float] = {}
        for event in events:
            body = body_of(event)
            self.seen[body] = max(self.seen.get(body, 0.0), event.visible_m)
        self.trunk = [n for n, body in enumerate(basis.bodies) if _kind(body.part) in TRUNK]

    def owners(self) -> dict[RawEvent, int | None]:
        """For each event the body to mend; None is the whole figure."""
        if self._everywhere():
            return dict.fromkeys(self.events, self._figure())
        culprit = self._trunk_culprit()
        blamed = {body: self._blame(body, culprit) for body in sorted(self.seen)}
        return {event: blamed[body_of(event)] for event in self.events}

    def lead(self, owner: int | None, group: list[RawEvent]) -> RawEvent:
        """The owner's own event, unless something that it carries shows it much better.

        What only gives way (a bent elbow between body and hand) does not speak for it, nor
        does a long prop, whose tip shows everything largest.
        """
        own = [event for event in group if event.body == owner]
        carried = [event for event in group if self._speaks(body_of(event), owner)]
        best = max(own + carried or group, key=lambda event: event.visible_m)
        if not own:
            return best
        clearest = max(own, key=lambda event: event.visible_m)
        return best if best.visible_m > SHOWN_BETTER * clearest.visible_m else clearest

    def _speaks(self, body: int, owner: int | None) -> bool:
        prop = _kind(self.basis.bodies[body].part) == "prop"
        return not prop and (owner is None or self.own[body] == 0.0)

    def _everywhere(self) -> bool:
        bodies = enumerate(self.basis.bodies)
        judged = [n for n, body in bodies if body.judged and not body.added]
        broken = [n for n in judged if self.own[n] > 0.0]
        ends = [n for n in judged if _kind(self.basis.bodies[n].part) in ("hand", "foot")]
        trunk_breaks = 2 * sum(n in self.trunk for n in broken) >= len(self.trunk)
        ends_are_off = 2 * sum(n in self.seen for n in ends) > len(ends)
        half = len(judged) >= 4 and 2 * len(broken) >= len(judged)
        return half and (trunk_breaks or ends_are_off)

    def _figure(self) -> int | None:
        root = self.basis.lead
        furthest = max(self.seen.values())
        return root if self.seen.get(root, 0.0) >= OWN_SHARE * furthest else None

    def _trunk_culprit(self) -> int | None:
        """The joint of the trunk that moved by itself; None where none clearly did."""
        off = [n for n in self.trunk if self.own[n] > 0.0]
        if not off and any(n in self.seen for n in self.trunk):
            off = [n for n in self.trunk if self.any_own[n] > 0.0]
        if not off:
            return None
        furthest = max(self.any_own[n] for n in off)
        off = [n for n in off if self.any_own[n] >= OWN_SHARE * furthest]
        most = max(self.world_turn[n] for n in off)
        return next(n for n in off if self.world_turn[n] >= SAME_TURN * most)

    def _blame(self, body: int, culprit: int | None) -> int:
        limb = limb_of(self.basis.bodies[body].part or "")
        if body in self.trunk and culprit is not None:
            return culprit
        if not limb:
            return self._carrier(body, culprit)
        bodies = [n for part in limb if (n := self.basis.body(part)) is not None]
        carries = culprit in self.basis.ancestors(bodies[0])
        if culprit is not None and carries and self._follows(bodies, limb, culprit):
            return culprit
        return self._limb_culprit(bodies, limb, body)

    def _follows(self, bodies: list[int], limb: tuple[str, ...], culprit: int) -> bool:
        """Whether a limb is only carried by the trunk's culprit, or gives way to it."""
        if all(self.own[n] == 0.0 for n in bodies):
            shown = max((n for n in bodies if n in self.seen), key=lambda n: self.seen[n])
            thrown = self._throw(culprit, shown, self.any_own)
            return thrown >= ENOUGH_SHARES[-1] * self.seen[shown]
        end = self._end(limb)
        if end is None or self.own[culprit] == 0.0:
            return False
        return self.seen.get(end, 0.0) <= FREE_END * self._throw(culprit, end, self.own)

    def _limb_culprit(self, bodies: list[int], limb: tuple[str, ...], body: int) -> int:
        off = [n for n in bodies if self.own[n] > 0.0]
        if not off:
            furthest = max(self.seen.get(n, 0.0) for n in bodies)
            off = [n for n in bodies if self.any_own[n] >= UNCLEAR_SHARE * furthest]
        if not off:
            return self._carrier(body, None)
        end = self._end(limb)
        if end is None or end == off[0]:
            return off[0]
        bent = self._bent(limb, end)
        if bent is not None and _kind(self.basis.bodies[off[0]].part) != "shoulder":
            return bent
        return end if self.own[end] > 0.0 or self._steered(bodies, end) else off[0]

    def _bent(self, limb: tuple[str, ...], end: int) -> int | None:
        """The shin or forearm, where it is off while the limb's end goes on as before."""
        body = self.basis.body(limb[1] if limb[0].startswith("thigh") else limb[2])
        if body is None or body not in self.seen or end in self.seen:
            return None
        return body if self._left_out(end) < STAYS_SHARE * self.seen[body] else None

    def _left_out(self, body: int) -> float:
        """How far a joint is off the cubic through two samples on either side of the moment."""
        first, last = self.span.start, self.span.stop - 1
        around = np.array([first - 2, first - 1, last + 1, last + 2])
        if around[0] < 0 or around[-1] >= len(self.basis.frames):
            return np.inf
        inside = np.arange(first, last + 1)
        time = np.concatenate((around, inside)) - 0.5 * (first + last)
        powers = np.vander(time, 4)
        path = self.basis.positions[:, body]
        meant = powers[4:] @ np.linalg.solve(powers[:4], path[around])
        return float(np.linalg.norm(path[inside] - meant, axis=-1).max())

    def _steered(self, bodies: list[int], end: int) -> bool:
        """Whether a limb's end goes its own way while the limb turns under it.

        A hand that is steered keeps its turn in the world. A swinging foot turns fast enough
        by itself to hide that, and legs are steered more often than not: there it is enough
        that the foot does not simply stay with the shin.
        """
        turned = max(float(self.world_turn[n]) for n in bodies if n != end)
        if _kind(self.basis.bodies[end].part) == "foot":
            return float(self.turn[end]) >= LOOSE_SHARE * turned
        return float(self.world_turn[end]) < STEERED_SHARE * turned

    def _carrier(self, body: int, culprit: int | None) -> int:
        """The body itself, or the nearest above it that throws it far enough."""
        above, seen = self.basis.ancestors(body), self.seen[body]
        if self.own[body] >= OWN_SHARE * seen or not above:
            return body
        for own in (self.own, self.any_own):
            throws = [self._throw(ancestor, body, own) for ancestor in above]
            for share in ENOUGH_SHARES:
                enough = [n for n, t in zip(above, throws, strict=True) if t >= share * seen]
                if enough:
                    of_trunk = enough[0] in self.trunk and culprit in above
                    return culprit if of_trunk and culprit is not None else enough[0]
        return body

    def _throw(self, ancestor: int, body: int, own: Floats) -> float:
        """How far an ancestor's own shift or turn moves a body's points, metres."""
        if own[ancestor] <= 0.0:
            return 0.0
        arm = float(np.linalg.norm(self.place[body] - self.place[ancestor]))
        reach = float(self.basis.reach[body])
        return max(float(own[ancestor]), float(self.turn[ancestor]) * (arm + 0.5 * reach))

    def _end(self, limb: tuple[str, ...]) -> int | None:
        """The foot of a leg, the hand of an arm."""
        return self.basis.body(limb[2] if limb[0].startswith("thigh") else limb[3])


def _kind(part: str | None) -> str:
    return split_part(part or "")[0]


def body_of(event: RawEvent) -> int:
    """The body of an event that is on one."""
    return -1 if event.body is None else event.body
