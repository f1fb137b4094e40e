# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings to and fro that do not slow at their turns: even spacing from one extreme to the next.

The body's control is rocked to the side over feet that stay where they are; an arm is held and
swung from the shoulder, or a prop from the wrist. It is led into the first extreme, and out of
the last, with ease; the turns between are the fault.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.smoothing import smooth
from analysis.strokes import turning_points

from ..case import Case
from ..figure import channels_of, posed, rebuild
from ..moves import Target, about, any_side, ends_of, height_of, keep_feet, target, with_staff
from ..planted import Kind, Planted
from ..resting import lies_on_something, sole_of
from ..timing import blend, chain_of, smooth_step, without_curves
from ..walks import aside_and_down
from . import STORY_M

Floats = NDArray[np.float64]
Spacing = Callable[[Floats], Floats]

SETS = ("captured_24", "captured_30", "keyed_24", "keyed_30")
# Ways from extreme to extreme; seconds that each takes; seconds that lead in and out.
WAYS, WAY_S, LEAD_S = (2, 4), (0.21, 0.6), 0.25
# An arm is led into the pose that it is held in, and out of it, in so many times of that; so much
# of its own motion it loses.
HELD_TIMES, HELD = 1.2, 0.99
# Where the body is rocked, what it does by itself to the side is taken out but for what is faster
# than so much, and no more than this share of the way.
SLOW_S, CALM = 0.4, 1.0
# A walk's own ways are so many times as far as those that are planted into it.
LIKE = (0.5, 1.6)
# Hips this high, of the height, stand; a figure that turns by less faces one way.
STANDS, TURNS_RAD = 0.4, np.radians(30.0)
# Feet stay where they are to this share of the height.
STAYS = 0.002


@dataclass(frozen=True)
class Rock:
    """Samples of the extremes of a swing, and the samples that lead in and out."""

    extremes: tuple[int, ...]
    lead: int

    @property
    def span(self) -> slice:
        """All samples that are touched."""
        return slice(self.extremes[0] - self.lead, self.extremes[-1] + self.lead + 1)

    def share(self, count: int) -> Floats:
        """(T,) 1 from the first extreme to the last, eased to 0 outside."""
        return smooth_step(1.0 - self._outside(count) / self.lead)

    def held(self, count: int) -> Floats:
        """(T,) 1 for as long as it swings, or is led in and out, eased to 0 outside."""
        away = np.maximum(self._outside(count) - self.lead, 0.0)
        return HELD * smooth_step(1.0 - away / (HELD_TIMES * self.lead))

    def _outside(self, count: int) -> Floats:
        at = np.arange(count, dtype=np.float64)
        return np.maximum(np.maximum(self.extremes[0] - at, at - self.extremes[-1]), 0.0)

    def path(self, count: int, spacing: Spacing) -> Floats:
        """(T,) from -.5 to .5 and back between the extremes."""
        at = np.arange(count, dtype=np.float64)
        values = -0.5 * self.share(count)
        sign = 1.0
        for a, b in zip(self.extremes, self.extremes[1:], strict=False):
            inside = (at > a) & (at <= b)
            values[inside] = sign * (spacing((at[inside] - a) / (b - a)) - 0.5)
            sign = -sign
        after = at > self.extremes[-1]
        values[after] = -0.5 * sign * self.share(count)[after]
        return values


def even(u: Floats) -> Floats:
    """The same way on each frame."""
    return u


def plant_even(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """Two to four ways of `size` cm, told at 1.7 m, evenly spaced."""
    return plant_swing(case, size, part, rng, even)


def plant_swing(
    case: Case, size: float, part: str, rng: np.random.Generator, spacing: Spacing
) -> Planted | None:
    """The same with any spacing."""
    clip = case.clip
    if part == "prop" and not clip.meta.props:
        clip = with_staff(clip, str(rng.choice(["L", "R"])))
    shown = any_side(clip, part, rng)
    rock = _rock(clip, rng)
    if shown is None or rock is None:
        return None
    way_m = size / 100.0 * height_of(clip) / STORY_M
    if part == "root":
        made = rocked(clip, shown, rock, way_m, spacing)
    else:
        made = _swung(clip, shown, rock, way_m, spacing, rng)
    if made is None:
        return None
    return _planted(made, shown, rock, size)


def _planted(made: Clip, shown: Target, rock: Rock, size: float) -> Planted:
    first, last = rock.extremes[0], rock.extremes[-1]
    return Planted(
        clip=without_curves(made),
        check="hang_time",
        part=shown.part,
        carriers=_carriers(made, shown),
        frames=(float(made.frames[first]), float(made.frames[last])),
        size=size,
        where=f"{len(rock.extremes) - 1} ways of {rock.extremes[1] - first} frames",
    )


def plant_walk(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A walk's own sway over two to four of its ways, evenly spaced and `size` cm far."""
    clip = case.clip
    way_m = size / 100.0 * height_of(clip) / STORY_M
    aside = aside_and_down(clip)[:, 0]
    turns = turning_points(smooth(aside[:, None], clip.dt_s, window_s=SLOW_S)[:, 0])[1:-1]
    count, lead = int(rng.integers(WAYS[0], WAYS[1] + 1)), round(LEAD_S / clip.dt_s)
    fits = [
        turns[n : n + count + 1]
        for n in range(len(turns) - count)
        if turns[n] > lead
        and turns[n + count] < len(aside) - lead - 1
        and _goes_so_far(clip, aside, turns[n : n + count + 1], way_m)
    ]
    if not fits:
        return None
    extremes = fits[int(rng.integers(len(fits)))]
    side = np.sign(aside[extremes[0]] - aside[extremes[1]])
    rock = Rock(tuple(extremes), lead)
    wanted = aside[extremes].mean() - side * way_m * rock.path(len(aside), even)
    shift = rock.share(len(aside)) * (wanted - aside)
    for end, outside in (
        (extremes[0], slice(0, extremes[0])),
        (extremes[-1], slice(extremes[-1], None)),
    ):
        shift[outside] = rock.share(len(aside))[outside] * (wanted - aside)[end]
    root = target(clip, "root")
    assert root is not None
    moved = rebuild(clip, root.joint, shift=shift[:, None] * [1.0, 0.0, 0.0])
    made = keep_feet(clip, moved)
    if not _feet_stay(clip, made):
        return None
    return _planted(made, root, rock, size)


def _goes_so_far(clip: Clip, aside: Floats, extremes: list[int], way_m: float) -> bool:
    """Whether a walk's own ways are like those that are wanted."""
    ways = np.abs(np.diff(aside[extremes]))
    times = np.diff(extremes) * clip.dt_s
    low, high = LIKE[0] * way_m, LIKE[1] * way_m
    return bool(low < ways.min() and ways.max() < high and times.min() >= WAY_S[0])


def _rock(clip: Clip, rng: np.random.Generator) -> Rock | None:
    lead = round(LEAD_S / clip.dt_s)
    way = round(rng.uniform(*WAY_S) / clip.dt_s)
    count = int(rng.integers(WAYS[0], WAYS[1] + 1))
    room = len(clip.frames) - count * way - 2 * lead - 2
    if room < 1:
        return None
    first = lead + 1 + int(rng.integers(room))
    return Rock(tuple(first + n * way for n in range(count + 1)), lead)


def rocked(clip: Clip, root: Target, rock: Rock, way_m: float, spacing: Spacing) -> Clip | None:
    """The hips' control rocked to the side, the feet where they were; None where it moves aside
    by itself, or the legs do not reach."""
    count, middle = len(clip.frames), (rock.extremes[0] + rock.extremes[-1]) // 2
    faces = build_basis(clip, Settings()).forward
    if (faces[rock.span] @ faces[middle]).min() < np.cos(TURNS_RAD):
        return None
    left = np.array([-faces[middle, 1], faces[middle, 0], 0.0])
    aside = smooth(clip.positions[:, [root.joint]] @ left, clip.dt_s, window_s=SLOW_S)[:, 0]
    if clip.positions[rock.span, root.joint, 2].min() < STANDS * height_of(clip):
        return None
    ends = [rock.span.start, rock.span.stop - 1]
    line = np.interp(np.arange(count), ends, aside[ends])
    if np.ptp((aside - line)[rock.span]) > CALM * way_m:
        return None
    along = way_m * rock.path(count, spacing) - rock.share(count) * (aside - line)
    shift = along[:, None] * left
    moved = keep_feet(clip, rebuild(clip, root.joint, shift=shift))
    return moved if _feet_stay(clip, moved) else None


def _feet_stay(clip: Clip, moved: Clip) -> bool:
    """Whether the legs reach to where the feet were."""
    feet = [foot for side in "LR" if (foot := target(clip, f"foot.{side}")) is not None]
    off = [np.linalg.norm(sole_of(moved, each) - sole_of(clip, each), axis=-1) for each in feet]
    return bool(len(feet) == 2 and max(each.max() for each in off) <= STAYS * height_of(clip))


def _swung(
    clip: Clip,
    shown: Target,
    rock: Rock,
    way_m: float,
    spacing: Spacing,
    rng: np.random.Generator,
) -> Clip | None:
    """An arm held in its pose and turned at the shoulder, or a prop turned with the hand; None
    where hand or prop would lie on something."""
    count = len(clip.frames)
    hand = _hand(clip, shown)
    chain = chain_of(clip, hand)
    own, middle = channels_of(clip), (rock.extremes[0] + rock.extremes[-1]) // 2
    turns = own.turns.copy()
    for joint in chain:
        there = np.broadcast_to(turns[middle, joint], turns[:, joint].shape)
        turns[:, joint] = blend(turns[:, joint], there, rock.held(count))
    keeps = rock.held(count) == 0.0
    turns[keeps] = own.turns[keeps]
    held = posed(clip, type(own)(own.places, turns))
    joint = hand.joint if shown != hand else chain[0]
    end = ends_of(held, shown.joint)[:, 1 if shown != hand else 0]
    base = held.rotations[:, clip.parents[chain[0]]]
    arm = quat.rotate(quat.conjugate(base[middle]), end[middle] - held.positions[middle, joint])
    axis = np.cross(arm, rng.normal(size=3))
    axis /= max(float(np.linalg.norm(axis)), 1e-9)
    angle = way_m / max(float(np.linalg.norm(arm)), 1e-9) * rock.path(count, spacing)
    turn = quat.multiply(quat.multiply(base, about(axis, angle)), quat.conjugate(base))
    turn[angle == 0.0] = [1.0, 0.0, 0.0, 0.0]
    made = rebuild(held, joint, turn=turn)
    if not _turns_back(made, chain[0], shown, rock):
        return None
    lies = [lies_on_something(made, each)[rock.span].any() for each in {hand, shown}]
    return None if any(lies) else made


def _turns_back(clip: Clip, first: int, shown: Target, rock: Rock) -> bool:
    """Whether a part that hangs on a joint's parent comes back from its first extreme and its
    last, as it is led in and out."""
    by = clip.parents[first]
    ends = ends_of(clip, shown.joint)[:, 0 if shown.side else 1]
    path = quat.rotate(quat.conjugate(clip.rotations[:, by]), ends - clip.positions[:, by])
    a, b, near = rock.extremes[0], rock.extremes[-1], rock.lead // 2
    inner = (rock.extremes[1], rock.extremes[-2])
    far = [np.linalg.norm(path - path[at], axis=1) for at in inner]
    return bool(
        far[0][a] >= far[0][a - near : a].max() and far[1][b] >= far[1][b + 1 : b + 1 + near].max()
    )


def _hand(clip: Clip, shown: Target) -> Target:
    """The hand itself, or the one that holds the prop."""
    if shown.side:
        return shown
    held_by = clip.meta.props[0].held_by or "hand.R"
    found = target(clip, held_by)
    assert found is not None
    return found


def _carriers(clip: Clip, shown: Target) -> tuple[str | None, ...]:
    if shown.part == "root":
        return ("root", "pelvis")
    side = _hand(clip, shown).side
    arm = tuple(f"{name}.{side}" for name in ("hand", "forearm", "upper_arm"))
    return arm if shown.side else (shown.part, arm[0])


KINDS = (
    Kind(
        name="even_swing",
        check="hang_time",
        says="two to four ways to and fro, evenly spaced, of an arm or a prop",
        unit="cm",
        sizes=dict.fromkeys(("hand", "prop"), (12.0, 20.0)),
        promised=dict.fromkeys(("hand", "prop"), (20.0, 20.0)),
        sets=SETS,
        plant=plant_even,
    ),
    Kind(
        name="even_rock",
        check="hang_time",
        says="two to four ways of the body from side to side over its feet, evenly spaced",
        unit="cm",
        sizes={"root": (8.0, 12.0)},
        promised={"root": (12.0, 12.0)},
        sets=("holds",),
        plant=plant_even,
    ),
    Kind(
        name="even_sway",
        check="hang_time",
        says="two to four ways of a walk's own sway, evenly spaced; feet stay where they are",
        unit="cm",
        sizes={"root": (8.0, 12.0)},
        promised={"root": (12.0, 12.0)},
        sets=("walks_24", "walks_30"),
        plant=plant_walk,
    ),
)
