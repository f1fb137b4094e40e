# SPDX-License-Identifier: GPL-3.0-or-later
"""The keys that bring a stride back to what the others do, as Blender's fields show them."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .cause import KeyEdit
from .causes.groups import Group, groups_of
from .channel_turns import carrier_axes
from .curves import Curve
from .keys import weights_at
from .words import frame_text

Floats = NDArray[np.float64]

# A control makes the stride where its own location goes this share of the way there.
MAKES_IT = 0.5
# Channels that do not lie along the way cannot lead it back; of a key that hardly arrives no value
# is told.
ALONG, ARRIVES = 0.5, 0.2
LEAST = 1e-6
# So many keys are said, those that change most; the rest stands in the edits.
MOST_SAID = 4


def stride_edits(
    basis: Basis, axis: Floats, shifts: Mapping[int, float], way_m: float
) -> tuple[KeyEdit, ...]:
    """New values of the keys that lie in a stride, of the control whose location makes it.

    axis (3,)    unit, world; shifts: sample -> metres along it
    way_m        how far the body goes along the axis in that stride, scene metres

    Empty where no control's location does it: then turns or other layers do.
    """
    samples = sorted(shifts)
    best: tuple[float, Sequence[Curve], Floats] | None = None
    for group in _locations(basis):
        along, values = _along(basis, group.curves, axis), basis.clip.channel_values
        assert values is not None
        own = np.asarray((values[:, list(group.columns)] * along).sum(axis=-1))[samples]
        way = float(np.ptp(own))
        if best is None or way > best[0]:
            best = (way, group.curves, along)
    if best is None or not best[0] >= MAKES_IT * way_m:
        return ()
    return tuple(_edits(basis, best[1], best[2], shifts))


def edits_text(edits: Sequence[KeyEdit]) -> str:
    """`Keys of hips: x 0.062 to 0.041 on frame 34.`; empty without any."""
    told = [edit for edit in edits if edit.shows]
    if not told:
        return ""
    most = sorted(told, key=lambda each: -abs(each.after - each.before))[:MOST_SAID]
    parts = [f"{edit.text} on frame {frame_text(edit.frame)}" for edit in told if edit in most]
    said, more = ", ".join(parts), len(told) - MOST_SAID
    return f"Keys of {told[0].control}: {said}{f' and {more} more' if more > 0 else ''}."


def _locations(basis: Basis) -> list[Group]:
    """Locations, control by control, of those that drive the body that leads."""
    clip, lead = basis.clip, basis.bodies[basis.lead].name
    if clip.control_matrices is None or clip.channel_values is None:
        return []
    return [
        group
        for group in groups_of(clip)
        if group.name == "location" and lead in group.drives and group.control in clip.meta.controls
    ]


def _along(basis: Basis, curves: Sequence[Curve], axis: Floats) -> Floats:
    """(T,K) metres along an axis for one unit of each channel: by what carries the control."""
    every = np.arange(len(basis.frames))
    axes = carrier_axes(basis.clip, curves[0].control, every)
    return np.stack([axes[:, :, curve.index] @ axis for curve in curves], axis=-1)


def _edits(
    basis: Basis, curves: Sequence[Curve], along: Floats, shifts: Mapping[int, float]
) -> list[KeyEdit]:
    """Each key in the stride, shifted by the least change of its channels."""
    found = []
    for sample, by in sorted(shifts.items()):
        frame = float(basis.frames[sample])
        keyed = [
            (k, n)
            for k, curve in enumerate(curves)
            for n, each in enumerate(curve.frames)
            if abs(each - frame) < 0.5
        ]
        ways = along[sample, [k for k, _n in keyed]]
        size = float(ways @ ways)
        if size < ALONG**2 * float(along[sample] @ along[sample]) or size == 0.0:
            continue
        for (k, n), way in zip(keyed, ways.tolist(), strict=True):
            curve = curves[k]
            arrives = float(weights_at(curve, [curve.frames[n]])[0])
            if abs(arrives) < ARRIVES or abs(by * way / size) <= LEAST:
                continue
            before = curve.values[n]
            after = before + by * way / size / arrives
            found.append(
                KeyEdit(
                    control=curve.control,
                    channel=curve.channel,
                    frame=curve.frames[n],
                    before=before,
                    after=after,
                )
            )
    return found
