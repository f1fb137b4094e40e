# SPDX-License-Identifier: GPL-3.0-or-later
"""`hitch`: does a moving point stick and then catch up?"""

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..declared import is_declared
from ..ends import Ends
from ..evidence import Evidence, OwnMotion, RawEvent, Suggestion
from ..impacts import Impacts
from ..loop import Cycle
from ..stall import REACH
from ..sticking import Hitch, Search, clearest
from ..still import Stillness, stillness
from ..tracks import WORLD, Track, tracks_of
from .contract import CheckInfo
from .hitch_words import Told, good_text, told_in_words

Floats = NDArray[np.float64]

INFO = CheckInfo(
    name="hitch",
    question="Does a moving point stick for a few frames and then catch up at once?",
    definition=(
        "One to a quarter second of frames are left out and predicted by a fourth-degree "
        "polynomial through four frames on either side; at 50 frames a second and more, every "
        "second frame is looked at as well. A hitch is where the point is dead on those frames "
        "(2 % of the predicted pace, up to 25 % where it shows more), came to that at a quarter of "
        "its pace or more (half where it creeps on, or the whole figure sticks) without slowing "
        "down into a hold, lies off the prediction, leaves a smooth path once the frames are "
        "repaired, and makes up for it in one step beside them: half as long as the longest of "
        "the two before and the two after, .8 of it against what carries it, 1.2 times it where "
        "it creeps on or its foot stands. A point that turns back and a landing catch nothing up, "
        "and are none. Joint, tip and "
        "a point to the side of every body are followed in the world, against what carries it, "
        "and limbs against the chest or the hips. One frame alone counts only where the whole "
        "figure sticks. Left out are knees and elbows that are pinned straight, declared events, "
        "parts that a fall jolts as far, and the four frames next to the ends, but in loops, and "
        "next to gaps of the part or of what it is told against."
    ),
    unit="cm",
    limit="1.2 % of the height (2 cm at 1.7 m), and more where the rest of the path is rough",
    limit_in_full=(
        "half of (.1 % of the height + what is left) where the point is dead, .9 of it where the "
        "whole figure is, 2.5 times it at 10 % of its pace and 5 times at 25 %; half as much "
        "again where it jumps ahead and then waits; never under 1.2 % of the height (2 cm at 1.7 "
        "m)"
    ),
    source=(
        "block repair by local polynomials, against the pace inside; limits from trials on "
        "captured and spline-keyed motion"
    ),
    stages=("spline", "polish"),
    mend="Delete the doubled or flat key, or spread the move evenly over those frames.",
    asked_of="points",
    spaces=("world", "camera"),
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Hitches of every body; evidence: which bodies stick by themselves."""
    ends = Ends(basis, cycle)
    shortest = 2 * REACH + 2
    if ends.length < shortest:
        why = f"needs {shortest} frames or more, the range has {ends.length}"
        return Evidence("hitch", skipped=why)
    tracks = tracks_of(basis, ends)
    search = Search(basis, ends, _stillness(basis, tracks[0]), basis.settings.factor("hitch"))
    if not search.known.any():
        return Evidence("hitch", skipped="no part is known long enough without a gap")
    impacts = Impacts(basis)
    found = [
        hitch
        for track in tracks
        for hitch in search.hitches(track)
        if not is_declared(basis, hitch.body, hitch.first, hitch.last)
        and (hitch.whole or not impacts.explain(hitch.body, hitch.first, hitch.last, hitch.size))
    ]
    whole = _largest([hitch for hitch in found if hitch.whole])
    parts = [hitch for hitch in found if not any(hitch.meets(other) for other in whole)]
    events = [_whole_event(basis, hitch, found) for hitch in whole]
    events += [
        _event(basis, hitch)
        for body in range(len(basis.bodies))
        for hitch in clearest([each for each in parts if each.body == body])
        if basis.space == "world" or hitch.track.space == WORLD
    ]
    good = "" if events else good_text(basis, ends, REACH)
    return Evidence("hitch", tuple(events), _own(basis, whole, parts), good=good)


def _stillness(basis: Basis, world: Track) -> Stillness:
    """How joints and tips of all judged bodies move."""
    paths = world.paths[:, world.followed][:, :, :2]
    return stillness(paths.reshape(len(paths), -1, 3), basis.height.scene_m)


def _largest(whole: list[Hitch]) -> list[Hitch]:
    """Of the whole figure's hitches, at each moment the one that shows it most."""
    return [
        max((each for each in whole if each.meets(best)), key=lambda hitch: hitch.size)
        for best in clearest(whole)
    ]


def _whole_event(basis: Basis, hitch: Hitch, found: list[Hitch]) -> RawEvent:
    """The whole figure's hitch, told on the body that leads it, by what shows it most."""
    of_lead = [
        each
        for each in found
        if each.body == basis.lead and each.track.space == WORLD and each.meets(hitch)
    ]
    lead = max(of_lead, key=lambda each: each.rank, default=None)
    return _raw(basis, hitch, basis.lead, lead)


def _event(basis: Basis, hitch: Hitch) -> RawEvent:
    return _raw(basis, hitch, hitch.body, hitch)


def _raw(basis: Basis, hitch: Hitch, body: int, where: Hitch | None) -> RawEvent:
    """The event of a hitch on a body; `where` tells where that body should be, if it is known."""
    ahead = _in_world(basis, hitch)
    against = int(hitch.track.carriers[hitch.body])
    told = Told(
        first=hitch.first,
        last=hitch.last,
        peak=hitch.peak,
        ahead=ahead,
        after=hitch.after,
        shown=hitch.body if hitch.whole and not basis.clip.is_ball else None,
        against=None if hitch.whole or against < 0 else against,
    )
    says, text = told_in_words(basis, told)
    suggestion = Suggestion(text, frame=float(basis.frames[hitch.peak]))
    if where is not None:
        offset = _in_world(basis, where)
        suggestion = Suggestion(
            text,
            frame=float(basis.frames[where.peak]),
            position=basis.marks[where.peak, body, where.mark] + offset,
            offset=offset,
        )
    return RawEvent(
        check="hitch",
        body=body,
        first=hitch.first,
        last=hitch.last,
        peak=hitch.peak,
        amount=basis.amount(hitch.size),
        limit=basis.amount(hitch.limit),
        unit=basis.unit,
        visible_m=hitch.size,
        step_m=hitch.step,
        says=says,
        point=basis.mark_name(body, where.mark) if where is not None else "",
        suggestion=suggestion,
    )


def _in_world(basis: Basis, hitch: Hitch) -> Floats:
    """(3,) from where a hitch's mark is to where it should be, in the world's axes."""
    carrier = int(hitch.track.carriers[hitch.body])
    if carrier < 0 or basis.space != "world":
        return hitch.hidden
    return quat.rotate(basis.rotations[hitch.peak, carrier], hitch.hidden)


def _own(basis: Basis, whole: list[Hitch], parts: list[Hitch]) -> OwnMotion:
    """How far each body sticks by itself: against what carries it, or in the world where no
    neighbour explains that. Of the whole figure's hitch, it is the leading body."""
    metres = np.zeros(basis.valid.shape)
    joints = [hitch for hitch in parts if hitch.track.space == WORLD and hitch.mark == 0]
    for hitch in parts:
        if hitch.track.space != WORLD or not _explained(basis, hitch, joints):
            _raise(metres, hitch, hitch.body)
    for hitch in whole:
        _raise(metres, hitch, basis.lead)
    # Turns are not measured: with all alike, who is to mend it is told by `metres` alone.
    return OwnMotion(metres, metres, np.zeros_like(metres), np.ones_like(metres))


def _explained(basis: Basis, hitch: Hitch, joints: list[Hitch]) -> bool:
    """Whether a body sticks in the world because the joint of one that carries it does, or, but
    for its own joint, because the joint of one that it carries does."""
    meets = {other.body for other in joints if other.meets(hitch)}
    if meets.intersection(basis.ancestors(hitch.body)):
        return True
    carried = any(hitch.body in basis.ancestors(body) for body in meets)
    return carried and hitch.body not in meets


def _raise(metres: Floats, hitch: Hitch, body: int) -> None:
    span = slice(hitch.first, hitch.last + 1)
    metres[span, body] = np.maximum(metres[span, body], hitch.size)
