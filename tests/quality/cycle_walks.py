# SPDX-License-Identifier: GPL-3.0-or-later
"""Rounds of walking in many styles, made of smooth curves, with feet that stand still.

The trunk and the arms swing as few harmonics of the stride; the legs reach by IK for feet that
stand, roll over heel and toe, and swing forward on a minimum-jerk curve. Proportions of a stride
(stance about 60 %, vertical 3 to 5 cm, lateral 4 to 7 cm) are those of walking people (Perry &
Burnfield 2010, Gait Analysis, 2nd ed.; Orendurff et al. 2004, JRRD 41:829; from memory), the
styles are drawn around them. With `jitter`, joints tremble as those of a capture do.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .cycle_round import Round
from .figure import channels_of, parents_first
from .moves import Target, reach, target

Floats = NDArray[np.float64]
Waves = Callable[..., Floats]

# A capture's tremble: .03 degrees at every joint leave half a millimetre at a hand.
JITTER_RAD = np.radians(0.03)
# A leg is never longer than this share of its two bones.
STRAIGHTEST = 0.985
_X, _Y, _Z = np.eye(3)


@dataclass(frozen=True)
class _Style:
    """What is drawn for one walk: seconds, metres, radians, shares of a stride."""

    stride_s: float
    speed: float
    stance: float
    lift: float
    bob: float
    sway: float
    lean: float
    hips: float
    arms: float
    elbows: float
    slouch: float


def draw_style(rng: np.random.Generator) -> _Style:
    """A walk of its own."""
    speed = rng.uniform(0.6, 1.6)
    return _Style(
        stride_s=1.35 - 0.28 * speed + rng.uniform(-0.06, 0.1),
        speed=speed,
        stance=rng.uniform(0.56, 0.66),
        lift=rng.uniform(0.06, 0.16),
        bob=rng.uniform(0.010, 0.025),
        sway=rng.uniform(0.015, 0.035),
        lean=rng.uniform(-0.02, 0.25),
        hips=rng.uniform(0.03, 0.15),
        arms=rng.uniform(0.1, 0.6),
        elbows=rng.uniform(0.2, 1.2),
        slouch=rng.uniform(0.0, 0.15),
    )


def walk_round(form: Clip, rng: np.random.Generator, *, jitter: bool) -> Round:
    """One stride of a style, as many samples long as it takes at the form's rate."""
    style = draw_style(rng)
    count = round(style.stride_s * form.fps)
    phase = 2.0 * np.pi * np.arange(count) / count

    def waves(size: float, lowest: int = 1) -> Floats:
        """A curve of one, two and three times the lowest harmonic, the higher ones small."""
        sizes = size * np.array([1.0, 0.15, 0.05]) * rng.uniform(0.7, 1.3, 3)
        late = rng.uniform(0.0, 2.0 * np.pi, 3)
        angles = np.outer(phase, lowest * np.arange(1, 4)) + late
        return np.asarray(np.cos(angles) @ sizes)

    turns = _trunk(style, phase, waves) | _arms(style, phase, waves)
    crouch = 0.055 + 0.5 * style.bob
    assert form.rest_positions is not None
    hips = form.joints.index(form.meta.roles["root"][0])
    root = np.stack(
        (
            style.sway * np.sin(phase) + waves(0.003),
            waves(0.01, 2),
            form.rest_positions[hips, 2] - crouch + style.bob * np.cos(2.0 * phase - 1.6),
        ),
        axis=-1,
    )
    bent = {f"thigh.{s}": _about(_X, np.full(count, -0.4)) for s in "LR"}
    bent |= {f"shin.{s}": _about(_X, np.full(count, 0.8)) for s in "LR"}
    clip = _posed(form, root, turns | bent)
    part = {
        side: (np.arange(count) / count + late) % 1.0 for side, late in (("L", 0.0), ("R", 0.5))
    }
    goals = {side: _ankle(clip, style, side, part[side]) for side in "LR"}
    root[:, 2] -= max(_out_of_reach(clip, side, goals[side]) for side in "LR")
    clip = _posed(form, root, turns | bent)
    for side in "LR":
        clip = _stepping(clip, style, side, part[side], goals[side])
    each = Round(form, channels_of(clip), 0.0, (0.0, -style.speed * style.stride_s))
    return _trembling(each, rng) if jitter else each


def _trunk(style: _Style, phase: Floats, waves: Waves) -> dict[str, Floats]:
    yaw = style.hips * np.cos(phase) + waves(0.01)
    hips = _then(_about(_Z, yaw), _about(_Y, waves(0.04)), _about(_X, waves(0.02, 2)))
    lean = _about(_X, style.lean + waves(0.03, 2))
    chest = _then(_about(_Z, -1.7 * yaw + waves(0.02)), lean, _about(_Y, waves(0.04)))
    neck = _then(_about(_X, style.slouch + waves(0.03, 2)), _about(_Z, 0.5 * yaw))
    return {"root": hips, "chest": chest, "neck": neck, "head": _about(_X, waves(0.02, 2))}


def _arms(style: _Style, phase: Floats, waves: Waves) -> dict[str, Floats]:
    found = {}
    for side, sign in (("L", 1.0), ("R", -1.0)):
        swing = -sign * style.arms * np.cos(phase) + waves(0.08)
        out = _about(_Y, -sign * (0.12 + waves(0.04)))
        found[f"upper_arm.{side}"] = _then(_about(_X, swing), out)
        bend = style.elbows * (0.6 + 0.3 * sign * np.cos(phase - 0.5)) + waves(0.06)
        found[f"forearm.{side}"] = _then(_about(_X, -bend), _about(_Z, waves(0.1)))
        found[f"hand.{side}"] = _about(_X, waves(0.15))
    return found


def _ankle(clip: Clip, style: _Style, side: str, part: Floats) -> Floats:
    """(T,3) an ankle that stands from part 0 on, then swings; the body stays, so it slides back.

    It turns about the heel while the toes come down, and about the toes while the heel rises.
    """
    foot = target(clip, f"foot.{side}")
    assert foot is not None
    assert clip.rest_positions is not None
    u = np.clip((part - style.stance) / (1.0 - style.stance), 0.0, 1.0)
    eased = u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    length = style.speed * style.stride_s
    along = -length * (0.5 * style.stance - part + eased)
    x, _y, z = clip.rest_positions[foot.joint]
    flat = np.stack((np.full_like(part, x), along, z + style.lift * np.sin(np.pi * u) ** 2), -1)
    pitch = _pitch(style, part)
    for name, turn in (("toe", np.maximum(pitch, 0.0)), ("heel", np.minimum(pitch, 0.0))):
        arm = -_point(clip, f"{name}.{side}", foot.joint)
        flat = flat + quat.rotate(_about(_X, turn), arm) - arm
    return flat


def _point(clip: Clip, name: str, joint: int) -> Floats:
    """(3,) from a joint at rest to a named point of it, world."""
    assert clip.point_offset is not None
    assert clip.rest_rotations is not None
    offset = clip.point_offset[clip.points.index(name)]
    return quat.rotate(clip.rest_rotations[joint], offset)


def _pitch(style: _Style, part: Floats) -> Floats:
    """(T,) how far the heel is up against the toes, radians: below 0 as the foot lands."""
    return 0.7 * _bump(part, style.stance, 0.2) - 0.3 * _bump(part, 0.98, 0.12)


def _out_of_reach(clip: Clip, side: str, goal: Floats) -> float:
    """How far the body must come down for a leg to reach its goals (T,3) without locking."""
    thigh, foot = target(clip, f"thigh.{side}"), target(clip, f"foot.{side}")
    assert thigh is not None
    assert foot is not None
    assert clip.lengths is not None
    longest = STRAIGHTEST * clip.lengths[[thigh.joint, thigh.joint + 1]].sum()
    away = clip.positions[:, thigh.joint] - goal
    level = np.hypot(away[:, 0], away[:, 1])
    return float(max((away[:, 2] - np.sqrt(longest**2 - level**2)).max(), 0.0))


def _stepping(clip: Clip, style: _Style, side: str, part: Floats, goal: Floats) -> Clip:
    foot = target(clip, f"foot.{side}")
    assert foot is not None
    bent = reach(clip, foot, goal - clip.positions[:, foot.joint])
    return _footed(bent, foot, part, style)


def _footed(clip: Clip, foot: Target, part: Floats, style: _Style) -> Clip:
    """The foot's turn in the world: toes up as it lands, flat, heel up as it leaves."""
    assert clip.rest_rotations is not None
    wanted = quat.multiply(_about(_X, _pitch(style, part)), clip.rest_rotations[foot.joint])
    rotations = clip.rotations.copy()
    rotations[:, foot.joint] = wanted
    return replace(clip, rotations=quat.continuous(rotations))


def _bump(part: Floats, at: float, width: float) -> Floats:
    """A smooth bump of height 1 around a place in the round, 0 from `width` on."""
    away = np.abs((part - at + 0.5) % 1.0 - 0.5) / width
    u = np.clip(1.0 - away, 0.0, 1.0)
    return np.asarray(u**3 * (10.0 - 15.0 * u + 6.0 * u**2))


def _trembling(each: Round, rng: np.random.Generator) -> Round:
    """Every joint turned at random, a little, on each sample by itself."""
    channels = each.channels
    vector = rng.normal(size=(*channels.turns.shape[:2], 3)) * JITTER_RAD / 2.0
    small = quat.normalise(np.concatenate((np.ones_like(vector[..., :1]), vector), axis=-1))
    return replace(each, channels=replace(channels, turns=quat.multiply(channels.turns, small)))


def _posed(form: Clip, root: Floats, turns: dict[str, Floats]) -> Clip:
    """The figure with its root's path (T,3) and turns (T,4) against each parent, as at rest."""
    assert form.rest_positions is not None
    assert form.rest_rotations is not None
    count, joints = len(root), len(form.joints)
    by_joint = {form.joints.index(form.meta.roles[part][0]): q for part, q in turns.items()}
    since, places = np.zeros((count, joints, 4)), np.zeros((count, joints, 3))
    still = np.tile([1.0, 0.0, 0.0, 0.0], (count, 1))
    for joint in parents_first(form):
        turn, parent = by_joint.get(joint, still), form.parents[joint]
        if parent < 0:
            places[:, joint], since[:, joint] = root, turn
            continue
        away = form.rest_positions[joint] - form.rest_positions[parent]
        places[:, joint] = places[:, parent] + quat.rotate(since[:, parent], away)
        since[:, joint] = quat.multiply(since[:, parent], turn)
    rotations = quat.continuous(quat.multiply(since, form.rest_rotations))
    frames = np.arange(1.0, count + 1.0)
    return replace(form, frames=frames, positions=places, rotations=rotations)


def _about(axis: Floats, angle: Floats) -> Floats:
    half = 0.5 * np.asarray(angle)[:, None]
    return np.concatenate((np.cos(half), np.sin(half) * axis), axis=-1)


def _then(*turns: Floats) -> Floats:
    """The turns one after the other, the first one outermost."""
    found = turns[0]
    for turn in turns[1:]:
        found = quat.multiply(found, turn)
    return found
