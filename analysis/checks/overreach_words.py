# SPDX-License-Identifier: GPL-3.0-or-later
"""What `overreach` says."""

from collections.abc import Sequence

from ..basis import Basis
from ..evidence import Suggestion
from ..hips_down import hips_drop, stands
from ..limbs import Limb
from ..stretch import Gap, Stretch
from ..words import capital, direction_text, frame_text, frames_text, over_frames, size_text


def stretch_says(basis: Basis, each: Stretch) -> str:
    """`The left leg stretches by 5.2 % (4.4 cm), frames 34 to 40, most at 37.`"""
    size = size_text(each.metres * basis.height.to_story)
    when = frames_text(*basis.frames[[each.first, each.last]])
    most = f", most at {frame_text(basis.frames[each.peak])}" if each.last > each.first else ""
    return f"The {each.limb.whole} stretches by {100.0 * each.share:.1f} % ({size}), {when}{most}."


def stretch_suggestion(basis: Basis, each: Stretch) -> Suggestion:
    """By how much the control must come nearer, or the hips lower where the foot stands."""
    if (lower := _lower_hips(basis, each.limb, each.first, each.last, each.peak)) is not None:
        return lower
    size = size_text(each.metres * basis.height.to_story)
    when = over_frames(*basis.frames[[each.first, each.last]])
    text = f"Bring the control of the {each.limb.end_name} {size} nearer {when}"
    return Suggestion(f"{text}, or move {_carrier(each.limb)} after it.", _at(basis, each.peak))


def gap_says(basis: Basis, gap: Gap) -> str:
    """`The left foot stays 3.2 cm behind its control, frames 34 to 40: ...`."""
    size = size_text(gap.metres * basis.height.to_story)
    when = frames_text(*basis.frames[[gap.first, gap.last]])
    return (
        f"The {gap.limb.end_name} stays {size} behind its IK target {gap.control}, {when}: the "
        f"{gap.limb.whole} does not reach it."
    )


def gap_suggestion(basis: Basis, gap: Gap) -> Suggestion:
    """Which way the control is to come back, or how far the hips where the foot stands."""
    if (lower := _lower_hips(basis, gap.limb, gap.first, gap.last, gap.peak)) is not None:
        return lower
    size = size_text(gap.metres * basis.height.to_story)
    where = direction_text(-gap.away, basis.forward[gap.peak])
    when = over_frames(*basis.frames[[gap.first, gap.last]])
    text = f"Move the control of the {gap.limb.end_name} {size} {where} {when}"
    return Suggestion(
        f"{text}, or move {_carrier(gap.limb)} after it.",
        frame=_at(basis, gap.peak),
        position=gap.limb.paths[gap.peak, 2],
        offset=-gap.away,
    )


def _lower_hips(basis: Basis, limb: Limb, first: int, last: int, peak: int) -> Suggestion | None:
    """Advice for a leg whose foot stands where it should; None for any other limb."""
    if limb.joint != "knee" or not stands(basis, limb, first, last):
        return None
    drop = hips_drop(basis, limb, first, last)
    if drop is None:
        return None
    size = size_text(drop * basis.height.to_story)
    when = over_frames(*basis.frames[[first, last]])
    text = (
        f"Lower the hips by {size}, or a little more, {when}: the {limb.end_name} stands where it "
        "is wanted."
    )
    return Suggestion(text, frame=_at(basis, peak))


def habit_text(limbs: Sequence[Limb]) -> str:
    """A sentence for limbs that are longer than at rest for most of the shot."""
    if not limbs:
        return ""
    names = " and ".join(f"the {limb.whole}" for limb in limbs)
    verb = "is" if len(limbs) == 1 else "are"
    return f"{capital(names)} {verb} longer than at rest for most of the shot."


def _carrier(limb: Limb) -> str:
    return "the hips" if limb.joint == "knee" else "the chest"


def _at(basis: Basis, sample: int) -> float:
    return float(basis.frames[sample])
