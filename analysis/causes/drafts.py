# SPDX-License-Identifier: GPL-3.0-or-later
"""Repairs of a group's keys near a finding, roughly: what they would do to the channels.

Handles that Blender finds by itself take time to find again; until a repair leads, its curves are
taken to answer as `own_path.bump` does.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..cause import MOST_MISSED
from .edit_words import LEAST_OF_LARGEST
from .effect import Followers
from .groups import Group
from .likely import likely_off
from .own_path import bump
from .places import Place, named_off, rests, stand, tells_point
from .pose_keys import PoseKeys
from .repairs import (
    HOLD,
    RETIME,
    SUGGESTED,
    VALUE,
    Repair,
    held,
    retime,
    room,
    structural,
    values_of,
    with_values,
)
from .values import answers, in_keys, off_asked_for, off_neighbours, off_smoothest

Floats = NDArray[np.float64]

# Key values that differ by less are one.
LEAST_OFF = 2e-4


@dataclass(frozen=True, eq=False)
class Draft:
    """A repair of the key on `frame`.

    change (T,K)   what the group's channels gain, roughly
    make           gives the repair itself
    """

    kind: str
    frame: float
    to_frame: float | None
    change: Floats
    make: Callable[[], Repair | None]


def drafts(
    basis: Basis, group: Group, poses: PoseKeys, place: Place, followers: Followers
) -> Iterator[Draft]:
    """Everything that may be mended at the keys whose segments touch a finding's frames."""
    if group.is_transform and rests(basis, group, place):
        repair = _standing(basis, group, place)
        if repair is not None:
            change = group.change(repair.mended, basis.frames)
            yield Draft(HOLD, repair.frame, None, change, partial(_given, repair))
    for frame in _keys_near(basis, group, place):
        for repair in structural(group, frame, basis.clip.fps):
            change = group.change(repair.mended, basis.frames)
            yield Draft(repair.kind, frame, repair.to_frame, change, partial(_given, repair))
        if group.is_transform:
            yield from _retimed(basis, group, poses, frame)
            yield from _moved(basis, group, frame, place, followers)


def _standing(basis: Basis, group: Group, place: Place) -> Repair | None:
    """All keys of a stand as the one that it begins with, or that comes before."""
    first, last = stand(basis, place)
    before = [frame for frame in group.frames if frame <= first]
    return held(group, before[-1] if before else first, last)


def _retimed(basis: Basis, group: Group, poses: PoseKeys, frame: float) -> Iterator[Draft]:
    """The key a frame earlier or later: roughly, its value is another at the old frame.

    Of a key that stands alone beside a pose the very curves: where it stops, or turns back, its
    slope tells nothing.
    """
    values = basis.clip.channel_values
    assert values is not None
    at = int(np.argmin(np.abs(basis.frames - frame)))
    before, after = max(at - 1, 0), min(at + 1, len(basis.frames) - 1)
    if after == before:
        return
    columns = list(group.columns)
    slope = (values[after, columns] - values[before, columns]) / (after - before)
    for to_frame in room(group, frame):
        if poses.lonely(group, frame, to_frame) > 1.0:
            repair = retime(group, frame, to_frame)
            if repair is not None:
                change = group.change(repair.mended, basis.frames)
                yield Draft(RETIME, frame, to_frame, change, partial(_given, repair))
            continue
        change = np.outer(bump(group, frame, basis.frames), (frame - to_frame) * slope)
        yield Draft(RETIME, frame, to_frame, change, partial(retime, group, frame, to_frame))


def _moved(
    basis: Basis, group: Group, frame: float, place: Place, followers: Followers
) -> Iterator[Draft]:
    """The key at other values."""
    answer = answers(group, frame, basis.frames)
    for kind, off in _offs(basis, group, frame, place, followers):
        if off is not None and np.abs(off).max() > LEAST_OFF:
            make = partial(_with_values, basis, group, frame, place, kind, off)
            yield Draft(kind, frame, None, answer * off, make)


def _with_values(
    basis: Basis, group: Group, frame: float, place: Place, kind: str, off: Floats
) -> Repair:
    """The key at values that gain `off`, or at likelier ones where these are known.

    Where a point should be does not tell how its control is turned there, or which of two ways it
    went: a key that is plainly off goes where its neighbours and its pose have it.
    """
    here = values_of(group, frame)
    told = _clear(group, here, off) if kind in (VALUE, SUGGESTED) else off
    mended = with_values(group, frame, here + told)
    smoothest = off if kind == VALUE else off_smoothest(basis, group, frame)
    of_point = kind == SUGGESTED and tells_point(place) and not rests(basis, group, place)
    if smoothest is None or not (kind == VALUE or of_point):
        return Repair(kind, group, mended, frame)
    best, misses = likely_off(basis, group, frame, smoothest)
    if of_point and (misses is None or misses > MOST_MISSED):
        return Repair(kind, group, mended, frame)
    likeliest = with_values(group, frame, here + _clear(group, here, best))
    return Repair(kind, group, likeliest, frame, judged=mended, misses=misses)


def _clear(group: Group, here: Floats, off: Floats) -> Floats:
    """(K,) without axes that hardly change beside the others: what is told is all that is done.

    A quaternion is typed whole, and keeps its parts.
    """
    if group.name == "rotation_quaternion":
        return off
    size = np.where(np.isnan(here), 0.0, np.abs(off))
    return np.where(size >= LEAST_OF_LARGEST * size.max(), off, 0.0)


def _offs(
    basis: Basis, group: Group, frame: float, place: Place, followers: Followers
) -> Iterator[tuple[str, Floats | None]]:
    """(K,) what the key's values may gain; of a key that the finding names, what it says.

    The group's other keys gain nothing then: what is advised and what is mended is one key.
    """
    named = named_off(place, group, frame)
    if named is not None:
        yield SUGGESTED, in_keys(group, frame, named)
    if any(named_off(place, group, each) is not None for each in group.frames):
        return
    yield VALUE, off_smoothest(basis, group, frame)
    if rests(basis, group, place):
        yield from off_neighbours(group, frame)
    if place.offset is not None and place.body is not None:
        yield SUGGESTED, off_asked_for(followers, group, frame, place.body, place.offset)


def _given(repair: Repair) -> Repair:
    return repair


def _keys_near(basis: Basis, group: Group, place: Place) -> Iterator[float]:
    """Keys whose segments touch the finding's frames, of each curve by itself."""
    first, last = place.reach(basis)
    near: set[float] = set()
    for curve in group.curves:
        frames = np.asarray(curve.frames)
        low, high = frames[frames <= first], frames[frames >= last]
        start = low[-1] if len(low) else frames[0]
        end = high[0] if len(high) else frames[-1]
        near |= set(frames[(frames >= start) & (frames <= end)].tolist())
    yield from (frame for frame in group.frames if frame in near)
