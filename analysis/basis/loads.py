# SPDX-License-Identifier: GPL-3.0-or-later
"""What is held in the hands and is heavy: its mass belongs to the body while it is held.

A prop whose mass is told (`meta.props`, `mass_kg`) moves the centre of mass by its share of both:
(M c + m p) / (M + m), with M the body's mass and p midway between the prop's ends. M follows from
the height in the story: the middle of what the World Health Organization calls a normal body-mass
index, 18.5 to 24.9 kg/m2 (WHO 2000, Technical Report Series 894; from memory), for the sizes that
people have; whoever is smaller or larger than that is a body of the same shape.

A prop counts while it is held. As it leaves the hand, or is put down, the centre of mass is that
of another system from one sample to the next, though nothing jumps: speed and acceleration are
those of body and prop, each derived by itself and weighed on each sample, so that no jump is in
them, and on both samples the centre of mass counts as not known where the load is a heavy one.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..meta import Prop
from ..rods import between_rods
from ..words import frames_text
from .contacts import runs
from .ground import LOW_SHARE
from .height import TRUE_SIZE_M

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

BODY_MASS_INDEX = 0.5 * (18.5 + 24.9)
# A prop is held where it is no further off the hand than this share of the height (17 cm at
# 1.7 m) beyond the nearest that it gets, and no further than that (51 cm: the middle of a barrel).
FURTHER_SHARE, FURTHEST_SHARE = 0.1, 0.3
# What is slower than this share of the height a second (3.4 cm/s) for so long, with an end as near
# to the ground as a sole that stands, stands on it.
STILL_SHARE, STANDS_S = 0.02, 0.3
# What is off or down for no longer than this is tossed, or set down, no more.
BRIEF_S = 0.1


@dataclass(frozen=True, eq=False)
class Load:
    """A prop of known mass: its body's index, kg, its ends (T,2,3), scene metres, and on which
    samples it is held (T,)."""

    prop: Prop
    body: int
    mass_kg: float
    ends: Floats
    held: Bools

    @property
    def path(self) -> Floats:
        """(T,3) where its middle is."""
        return np.asarray(self.ends.mean(axis=1))

    @property
    def throughout(self) -> bool:
        """Whether it is held from the first sample to the last."""
        return bool(self.held.all())

    @property
    def mass(self) -> Floats:
        """(T,1) kg, where it is held; else 0."""
        return np.where(self.held, self.mass_kg, 0.0)[:, None]


def body_mass_kg(story_m: float) -> float:
    """The mass of a body of a height in the story (metres): 62.7 kg at 1.7 m."""
    low, high = TRUE_SIZE_M
    person = min(max(story_m, low), high)
    return BODY_MASS_INDEX * person**2 * (story_m / person) ** 3


def weighed(basis: "Basis", loads: list[Load], body: Floats, paths: list[Floats]) -> Floats:
    """(T,3) of something of the body and of each load, the mean by mass on each sample."""
    if basis.height.story_m is None or not loads:
        return body
    of_body = body_mass_kg(basis.height.story_m)
    total = of_body * body + sum(load.mass * path for load, path in zip(loads, paths, strict=True))
    return np.asarray(total / (of_body + sum(load.mass for load in loads)))


def rods_with_loads(
    basis: "Basis", share: Floats, at: Floats, ends: Floats
) -> tuple[Floats, Floats, Floats]:
    """The rods that a body is made of (as `mass.segment_rods` has them) and the loads as others.

    Shares (T,R) of the mass of both, which add up to 1 on each sample, where on the way from the
    near to the far end their centres lie (R,), and both ends (R,2,T,3).
    """
    loads = counted_loads(basis)
    of_body = np.broadcast_to(share, (len(basis.frames), len(share)))
    if basis.height.story_m is None or not loads:
        return of_body, at, ends
    held = np.concatenate([load.mass for load in loads], axis=1) / body_mass_kg(
        basis.height.story_m
    )
    shares = np.concatenate((of_body, held), axis=1) / (1.0 + held.sum(axis=1, keepdims=True))
    rods = np.stack([np.moveaxis(load.ends, 0, 1) for load in loads])
    return shares, np.append(at, np.full(len(loads), 0.5)), np.concatenate((ends, rods))


def counted_loads(basis: "Basis") -> list[Load]:
    """The loads that move the centre of mass: held at some time, by a figure of known size."""
    if basis.height.story_m is None:
        return []
    return [load for load in find_loads(basis) if load.held.any()]


def unknown_share(basis: "Basis") -> Floats:
    """(T,) the share of the mass of body and loads that is a load's, and lies in a gap, or is
    taken up or let go between this sample and the next one or the one before."""
    counted = counted_loads(basis)
    found = np.zeros(len(basis.frames))
    if basis.height.story_m is None or not counted:
        return found
    whole = body_mass_kg(basis.height.story_m) + sum(load.mass_kg for load in counted)
    for load in counted:
        change = np.diff(load.held)
        unsure = ~basis.valid[:, load.body] & load.held
        unsure[1:] |= change
        unsure[:-1] |= change
        found += np.where(unsure, load.mass_kg / whole, 0.0)
    return found


def find_loads(basis: "Basis") -> tuple[Load, ...]:
    """All props of known mass that something holds, in their order."""
    found = []
    for n, prop in enumerate(basis.clip.meta.props, start=1):
        body = basis.body(f"prop.{n}")
        if prop.mass_kg is None or body is None or basis.bodies[body].parent < 0:
            continue
        ends = _ends(basis, body)
        found.append(Load(prop, body, prop.mass_kg, ends, _held(basis, body, ends)))
    return tuple(found)


def uncounted(basis: "Basis") -> list[str]:
    """Why masses that were told are not counted, a sentence each."""
    loads = find_loads(basis)
    if basis.height.story_m is None and loads:
        names = ", ".join(repr(load.prop.name) for load in loads)
        return [f"The mass of {names} is not counted: {basis.height.why_no_scale}."]
    return [
        f"{load.prop.name!r} ({load.mass_kg:g} kg) is never in the hand, expected to be held on "
        "some frame: its mass is not counted; hang it on the hand that holds it."
        for load in loads
        if not load.held.any()
    ]


def loads_text(basis: "Basis") -> str:
    """One sentence on what weighs on the figure for a while; empty without any."""
    told = [
        f"{load.prop.name!r} ({load.mass_kg:g} kg) on {_spans(basis, load.held)}"
        for load in counted_loads(basis)
        if not load.throughout
    ]
    return f"What is held weighs on the figure: {', '.join(told)}." if told else ""


def load_measures(basis: "Basis") -> dict[str, float]:
    """The body's mass and the most that it holds at once, where masses are told and count."""
    counted = counted_loads(basis)
    if basis.height.story_m is None or not counted or basis.com is None:
        return {}
    return {
        "body_mass_kg": body_mass_kg(basis.height.story_m),
        "held_mass_kg": float(np.sum([load.mass for load in counted], axis=0).max()),
    }


def _spans(basis: "Basis", held: Bools) -> str:
    """`frames 1 to 33 and frames 60 to 80`."""
    spans = runs(held)
    return " and ".join(frames_text(basis.frames[a], basis.frames[b]) for a, b in spans)


def _ends(basis: "Basis", body: int) -> Floats:
    """(T,2,3) both ends of a prop, world: the two of its points that are furthest apart, else
    its joint and its tip."""
    clip, joint = basis.clip, basis.bodies[body].joint
    two = basis.offsets[body, :2]
    if clip.point_joint is not None and clip.point_offset is not None:
        added = {each.point for each in clip.meta.follow}
        on_joint = np.flatnonzero(clip.point_joint == joint)
        points = clip.point_offset[[n for n in on_joint if clip.points[n] not in added]]
        if len(points) > 1:
            apart = np.linalg.norm(points[:, None] - points[None], axis=-1)
            two = points[list(np.unravel_index(int(np.argmax(apart)), apart.shape))]
    turned = quat.rotate(basis.rotations[:, body, None], np.broadcast_to(two, (1, 2, 3)))
    return np.asarray(basis.positions[:, body, None] + turned)


def _held(basis: "Basis", body: int, ends: Floats) -> Bools:
    """(T,) whether a prop with ends (T,2,3) is near what holds it, and not on the ground."""
    height, holder = basis.height.scene_m, basis.bodies[body].parent
    known = basis.valid[:, body] & basis.valid[:, holder]
    gap = np.linalg.norm(between_rods(basis.marks[:, holder, :2], ends)[0], axis=-1)
    nearest = float(gap[known].min()) if known.any() else np.inf
    near = gap <= min(nearest + FURTHER_SHARE * height, FURTHEST_SHARE * height)
    off = (~near | _stands(basis, ends)) & known
    return ~_lasting(off, max(round(BRIEF_S / basis.dt_s), 1) + 1)


def _stands(basis: "Basis", ends: Floats) -> Bools:
    """(T,) whether what has these ends (T,2,3) rests on floor or supports for a while."""
    height = basis.height.scene_m
    low = basis.ground.clearance(ends).min(axis=1) < LOW_SHARE * height
    if not low.any():
        return np.asarray(low)
    pace = np.linalg.norm(np.diff(ends, axis=0), axis=-1).max(axis=1) / basis.dt_s
    steps = pace < STILL_SHARE * height
    rests = np.concatenate((steps, steps[-1:])) | np.concatenate((steps[:1], steps))
    return _lasting(low & rests, max(round(STANDS_S / basis.dt_s), 2))


def _lasting(state: Bools, least: int) -> Bools:
    """The runs of a state that last so many samples or more, at the range's ends as well."""
    kept = np.zeros_like(state)
    for first, last in runs(state):
        if last - first + 1 >= least:
            kept[first : last + 1] = True
    return kept
