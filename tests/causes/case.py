# SPDX-License-Identifier: GPL-3.0-or-later
"""Plants one fault, or three at once, into a take; the take is as it was afterwards."""

import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial

import numpy as np

from analysis import Clip

from .bases import Base
from .curves import working_copy
from .kinds import KINDS, region
from .plant import Planned, find_place
from .switched import no_switches_left
from .takes import Take
from .truth import Truth
from .watch import watching, where_it_shows

TOGETHER = 12  # frames within which three faults lie
THREE = 3
# A flipped angle throws a limb about so far that nothing beside it is to be seen.
NOT_AMONG_THREE = ("flip",)


@dataclass(frozen=True, eq=False)
class Faulted:
    """A take with faults in it, while they are there: clean and faulted clip, and the truth."""

    take: Take
    clean: Clip
    clip: Clip
    truths: tuple[Truth, ...]


@contextmanager
def planted(take: Take, kind: str, number: int) -> Iterator[Faulted | None]:
    """The case of a kind and number, or `triple`; None where the take has no place for it.

    Inside the block the rig plays the faulted action.
    """
    rng = _seeded(take.base, kind, number)
    with no_switches_left(take.rig), working_copy(take.rig):
        with watching(take.scene, take.rig, take.clip) as watch:
            three = kind == "triple"
            find = partial(find_place, take, watch, rng=rng, number=number)
            plans = _three(find, rng) if three else [each for each in (find(kind),) if each]
        yield _faulted(take, plans) if plans else None


def _seeded(base: Base, kind: str, number: int) -> np.random.Generator:
    return np.random.default_rng([zlib.crc32(f"{base.name}, {kind}".encode()), number])


def _three(find: Callable[..., Planned | None], rng: np.random.Generator) -> list[Planned]:
    """Faults of different kinds in different chains, all keys within a few frames."""
    kinds = [each for each in KINDS if each not in NOT_AMONG_THREE]
    plans: list[Planned] = []
    for kind in [str(each) for each in rng.permutation(kinds)]:
        taken = {region(plan.name.control) for plan in plans}
        found = find(
            kind,
            near=_near(plans),
            allowed=lambda control, taken=taken: region(control) not in taken,
        )
        if found is not None:
            plans.append(found)
        if len(plans) == THREE:
            return plans
    return []


def _near(plans: Sequence[Planned]) -> tuple[float, float] | None:
    """Where one more key may be, so that all of them lie together."""
    if not plans:
        return None
    frames = [plan.frame for plan in plans]
    return max(frames) - TOGETHER, min(frames) + TOGETHER


def _faulted(take: Take, plans: Sequence[Planned]) -> Faulted:
    """The clips with all faults, the truth of each measured by itself."""
    clean = take.clip
    lays = [plan.lay for plan in plans if plan.lay is not None]
    for lay in lays:
        lay()
    if lays:
        clean = take.sample()
    truths = []
    for plan in plans if len(plans) > 1 else ():
        with working_copy(take.rig):
            plan.write()
            truths.append(_truth(take, plan, take.sample(), clean))
    for plan in plans:
        plan.write()
    clip = take.sample()  # of the action that stays: its name is in the clip
    return Faulted(take, clean, clip, tuple(truths) or (_truth(take, plans[0], clip, clean),))


def _truth(take: Take, plan: Planned, alone: Clip, clean: Clip) -> Truth:
    size, frames, part, shows = where_it_shows(alone, clean, own_joints(take))
    return Truth(
        kind=plan.kind,
        control=plan.name.control,
        channel=plan.name.prop,
        frame=plan.frame,
        size_m=size,
        frames=frames,
        part=part,
        shows=shows,
        wanted_m=plan.wanted_m,
        note=plan.note,
    )


def own_joints(take: Take) -> list[int]:
    """Indices of the figure's own joints: what a hand holds goes further than the hand."""
    return [j for j, name in enumerate(take.clip.joints) if name in take.rig.pose.bones]
