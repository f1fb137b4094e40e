# SPDX-License-Identifier: GPL-3.0-or-later
"""How a body of points, rigid links and springy joints falls onto a floor, seen from the side.

Every step moves the points by gravity and by the joints' springs, then puts links back to their
lengths and what went under the floor back onto it (position based dynamics: Mueller, Heidelberger,
Hennix & Ratcliff 2007, J Vis Commun Image Represent 18:109-118, from memory). Links and springs
push their ends alike and apart, so the centre of mass feels gravity and the floor alone.
"""

from math import atan2, hypot, pi

import numpy as np

from .joints import JOINTS, SKIN, Joint, Skin
from .points import AT, LINKS, NAMES, REST, Floats, masses

GRAVITY = 9.80665
LIMIT = 6.0  # how much stiffer than in a stand a joint is beyond its limits
ROUNDS = 6
Pair = list[float]


def fall(
    points: Floats,
    speeds: Floats,
    *,
    seconds: float,
    fps: float,
    steps: int,
    fades: float,
    targets: dict[str, float],
) -> Floats:
    """(T,P,2) metres on every frame, from points (P,2) and their speeds (P,2), metres a second.

    steps     steps in a frame
    fades     seconds in which a joint gives way
    targets   joint -> radians that its spring wants, where that is not the rest pose
    """
    dt = 1.0 / (fps * steps)
    body = _Body(points, speeds, targets, fades)
    frames = [np.array(body.place)]
    for frame in range(round(seconds * fps)):
        for step in range(steps):
            body.step(dt, (frame + step / steps) / fps)
        frames.append(np.array(body.place))
    return np.array(frames)


class _Body:
    """Points that move; lists of floats, as single numbers are quicker so."""

    def __init__(
        self, points: Floats, speeds: Floats, targets: dict[str, float], fades: float
    ) -> None:
        self.place: list[Pair] = points.tolist()
        self.speed: list[Pair] = speeds.tolist()
        self.light = (1.0 / masses()).tolist()
        self.links = [(AT[a], AT[b], _length(a, b)) for a, b in LINKS]
        self.joints = [_Spring(joint, targets.get(joint.name, 0.0), fades) for joint in JOINTS]
        self.skin = [_Touch(skin) for skin in SKIN]

    def step(self, dt: float, seconds: float) -> None:
        """Move on by one step."""
        push = [[0.0, -GRAVITY / light] for light in self.light]
        for joint in self.joints:
            joint.turn(self.place, self.speed, push, seconds)
        before = [list(each) for each in self.place]
        for i, (ahead, up) in enumerate(push):
            speed, place = self.speed[i], self.place[i]
            speed[0] += ahead * self.light[i] * dt
            speed[1] += up * self.light[i] * dt
            place[0] += speed[0] * dt
            place[1] += speed[1] * dt
        for _ in range(ROUNDS):
            self._keep_lengths()
            for skin in self.skin:
                skin.keep_up(self.place, before, self.light)
        for i, place in enumerate(self.place):
            self.speed[i] = [(place[k] - before[i][k]) / dt for k in (0, 1)]

    def _keep_lengths(self) -> None:
        for a, b, length in self.links:
            one, two = self.place[a], self.place[b]
            ahead, up = two[0] - one[0], two[1] - one[1]
            now = hypot(ahead, up)
            off = (now - length) / (now * (self.light[a] + self.light[b]))
            one[0] += self.light[a] * off * ahead
            one[1] += self.light[a] * off * up
            two[0] -= self.light[b] * off * ahead
            two[1] -= self.light[b] * off * up


def _length(a: str, b: str) -> float:
    return hypot(REST[b][0] - REST[a][0], REST[b][1] - REST[a][1])


def angle(one: Pair, two: Pair) -> float:
    """Radians by which the way from one point to another leans forward of upright."""
    return atan2(two[0] - one[0], two[1] - one[1])


def wrapped(turn: float) -> float:
    """The same turn between half a turn back and half a turn forward."""
    return (turn + pi) % (2.0 * pi) - pi


class _Spring:
    """A joint's spring and damper between two segments, which turn it against each other."""

    def __init__(self, joint: Joint, target: float, fades: float) -> None:
        self.joint, self.target, self.fades = joint, target, fades
        self.ends = [AT[name] for name in (*joint.first, *joint.second)]
        a, b, c, d = (list(REST[NAMES[i]]) for i in self.ends)
        self.rest = angle(c, d) - angle(a, b)

    def turn(self, place: list[Pair], speed: list[Pair], push: list[Pair], seconds: float) -> None:
        """Add the forces of the spring to what pushes each point."""
        a, b, c, d = self.ends
        joint = self.joint
        now = wrapped(angle(place[c], place[d]) - angle(place[a], place[b]) - self.rest)
        fast = _turning(place, speed, c, d) - _turning(place, speed, a, b)
        tone = 1.0 - min(1.0, max(0.0, (seconds - joint.gives_s) / self.fades))
        torque = -tone * joint.stiff * (now - self.target)
        torque -= (1.0 - tone) * joint.limp * (now - joint.slack)
        torque -= joint.damping * (0.5 + 1.5 * tone) * fast
        torque -= LIMIT * joint.stiff * (min(0.0, now - joint.low) + max(0.0, now - joint.high))
        if not joint.low < now < joint.high:
            torque -= 3.0 * joint.damping * fast
        _twist(place, push, c, d, torque)
        _twist(place, push, a, b, -torque)


def _turning(place: list[Pair], speed: list[Pair], a: int, b: int) -> float:
    """Radians a second by which a segment turns forward."""
    ahead, up = place[b][0] - place[a][0], place[b][1] - place[a][1]
    faster = speed[b][0] - speed[a][0], speed[b][1] - speed[a][1]
    return (faster[0] * up - faster[1] * ahead) / (ahead * ahead + up * up)


def _twist(place: list[Pair], push: list[Pair], a: int, b: int, torque: float) -> None:
    """Turn a segment forward by a pair of equal and opposite forces at its ends."""
    ahead, up = place[b][0] - place[a][0], place[b][1] - place[a][1]
    share = torque / (ahead * ahead + up * up)
    push[b][0] += share * up
    push[b][1] -= share * ahead
    push[a][0] -= share * up
    push[a][1] += share * ahead


class _Touch:
    """A point of the skin that the floor keeps up, and holds by friction while it presses."""

    def __init__(self, skin: Skin) -> None:
        self.one, self.two, self.rough = AT[skin.one], AT[skin.two], skin.rough
        start, end = REST[skin.one], REST[skin.two]
        along = (end[0] - start[0], end[1] - start[1])
        off = (skin.place[0] - start[0], skin.place[1] - start[1])
        square = along[0] ** 2 + along[1] ** 2
        self.along = (off[0] * along[0] + off[1] * along[1]) / square
        self.aside = (off[0] * along[1] - off[1] * along[0]) / square

    def where(self, place: list[Pair]) -> tuple[float, float]:
        """Where the point of the skin is."""
        one, two = place[self.one], place[self.two]
        ahead, up = two[0] - one[0], two[1] - one[1]
        return (
            one[0] + self.along * ahead + self.aside * up,
            one[1] + self.along * up - self.aside * ahead,
        )

    def keep_up(self, place: list[Pair], before: list[Pair], light: list[float]) -> None:
        """Back onto the floor, and back along it as far as friction holds."""
        now = self.where(place)
        if now[1] >= 0.0:
            return
        was = self.where(before)
        self._move(place, light, 0.0, -now[1])
        slid = now[0] - was[0]
        most = -self.rough * now[1]
        self._move(place, light, -max(-most, min(most, slid)), 0.0)

    def _move(self, place: list[Pair], light: list[float], ahead: float, up: float) -> None:
        """Move the point by moving the two ends that carry it, the heavier one less."""
        p, q = self.along, self.aside
        # how the point gives way, ahead or up, to each end that goes ahead and up
        first, second = ((1.0 - p, -q), (p, q)) if ahead else ((q, 1.0 - p), (-q, p))
        ends = ((self.one, first), (self.two, second))
        gives = sum(light[end] * (x * x + z * z) for end, (x, z) in ends)
        share = (ahead + up) / gives
        for end, (x, z) in ends:
            place[end][0] += light[end] * share * x
            place[end][1] += light[end] * share * z
