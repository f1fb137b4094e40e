# SPDX-License-Identifier: GPL-3.0-or-later
"""Both arms that miss alike are one finding of the chest; arms that miss apart are two."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure
from made_up import event

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.evidence import Evidence, Suggestion
from analysis.merge import merge

ONCE = Settings(cycle="no", checks=("overreach",))
# It faces -Y.
AHEAD, LEFT = np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])


def longer(clip, side, share):
    """The clip with the bones of one arm longer by shares (T,), its shoulder where it is."""
    places = np.array(clip.positions)
    upper, fore, hand = (NAMES.index(f"{p}.{side}") for p in ("upper_arm", "forearm", "hand"))
    grow = 1.0 + np.asarray(share)[:, None]
    bones = (places[:, fore] - places[:, upper]) * grow, (places[:, hand] - places[:, fore]) * grow
    places[:, fore] = places[:, upper] + bones[0]
    places[:, hand] = places[:, fore] + bones[1]
    return replace(clip, positions=places)


def hump(first, last, share=0.08, count=48):
    return share * np.sin(np.pi * np.clip((np.arange(count) - first) / (last - first), 0, 1)) ** 2


def test_both_arms_that_stretch_are_one_finding_of_the_chest():
    clip = longer(longer(figure(), "L", hump(20, 30)), "R", hump(20, 30))
    (found,) = check_clip(clip, ONCE).findings
    assert (found.check, found.part, found.frames) == ("overreach", "chest", (23.0, 29.0))
    assert found.says.startswith("Both arms stretch, by up to 8.0 % (")
    assert found.says.endswith(", frames 23 to 29: the chest is too far away.")
    assert {part[-1] for check, part in found.also if check == "overreach"} == {"L", "R"}
    assert found.suggestion.text == (
        "Move it 4.5 cm down over frames 23 to 29, or bring both hands nearer to it."
    )


@pytest.mark.parametrize("right", [hump(26, 36), hump(20, 30, 0.03), hump(20, 24)])
def test_arms_that_stretch_by_themselves_are_two(right):
    clip = longer(longer(figure(), "L", hump(20, 30)), "R", right)
    found = check_clip(clip, ONCE).findings
    assert {each.part[-1] for each in found} == {"L", "R"}


def gap(basis, side, away, first=20, last=26):
    """A hand that stays behind a goal that lies so far away, metres."""
    size = float(np.linalg.norm(away))
    return event(
        basis,
        "overreach",
        f"hand.{side}",
        first,
        last,
        peak=(first + last) // 2,
        amount=100.0 * size,
        visible_m=size,
        suggestion=Suggestion("Move it.", 23.0, offset=-np.asarray(away)),
    )


def told(left, right):
    basis = build_basis(figure(frames=60), ONCE)
    events = (gap(basis, "L", left), gap(basis, "R", right))
    found = merge(basis, [Evidence("overreach", events)])
    return [(basis.bodies[each.owner].part, each.lead) for each in found]


def test_both_hands_behind_their_targets_move_the_chest():
    ((part, lead),) = told(0.06 * AHEAD + 0.01 * LEFT, 0.05 * AHEAD)
    assert part == "chest"
    assert lead.says == (
        "Both hands stay up to 6.1 cm behind their IK targets, frames 21 to 27: the {who} is too "
        "far away."
    )
    assert lead.suggestion.offset == pytest.approx(0.055 * AHEAD + 0.005 * LEFT)
    assert lead.suggestion.text == (
        "Move {it} 5.5 cm forward over frames 21 to 27, or bring both hands nearer to it."
    )


@pytest.mark.parametrize("right", [-0.06 * LEFT, 0.02 * LEFT, 0.06 * AHEAD])
def test_hands_that_are_pulled_apart_are_two(right):
    assert [part for part, _lead in told(0.06 * LEFT, right)] == ["hand.L", "hand.R"]
