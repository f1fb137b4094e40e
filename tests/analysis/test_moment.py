# SPDX-License-Identifier: GPL-3.0-or-later
"""Who is to blame at one moment: each rule on either side of its limit.

The figures' own motions are set by hand here (metres, radians), so that nothing but the rule
decides; `test_merge` asks the same of whole clips.
"""

import numpy as np
import pytest
from figures import NAMES, figure
from made_up import event

from analysis import Settings
from analysis.basis import build_basis
from analysis.evidence import OwnMotion
from analysis.moment import Moment

AT = 20


@pytest.fixture(scope="module")
def basis():
    return build_basis(figure(), Settings())


def moment(basis, seen, *, own=None, any_own=None, turn=None, world_turn=None):
    """A moment in which parts are seen off by metres and move by themselves as told."""
    rows = []
    for given in (own, {**(own or {}), **(any_own or {})}, turn, world_turn):
        row = np.zeros(basis.valid.shape)
        for part, value in (given or {}).items():
            row[AT, basis.body(part)] = value
        rows.append(row)
    events = [event(basis, "pop", part, AT, AT, visible_m=metres) for part, metres in seen.items()]
    return Moment(basis, OwnMotion(*rows), events)


def blamed(basis, seen, **motion):
    """{part that is seen: part that is blamed, None for the whole figure}"""
    owners = moment(basis, seen, **motion).owners()
    part = [body.part for body in basis.bodies]
    return {
        part[each.body]: None if owner is None else part[owner] for each, owner in owners.items()
    }


@pytest.mark.parametrize(("share", "owner"), [(0.45, None), (0.55, "root")])
def test_the_whole_figure_or_its_root(basis, share, owner):
    seen = dict.fromkeys(NAMES, 0.1) | {"root": share * 0.1}
    found = blamed(basis, seen, own=dict.fromkeys(NAMES, 0.05))
    assert set(found.values()) == {owner}


@pytest.mark.parametrize(("broken", "everywhere"), [(7, False), (8, True)])
def test_half_of_the_bodies_are_everywhere(basis, broken, everywhere):
    parts = ["root", "chest", "hand.L", "hand.R", "foot.L", "foot.R", "forearm.L", "shin.L"]
    seen = dict.fromkeys(parts, 0.1) | {"root": 0.01}
    found = blamed(basis, seen, own=dict.fromkeys(parts[:broken], 0.05))
    assert (set(found.values()) == {None}) is everywhere


@pytest.mark.parametrize(("share", "owner"), [(0.85, "neck"), (0.95, "chest")])
def test_of_joints_that_turn_alike_the_innermost(basis, share, owner):
    found = blamed(
        basis,
        {"chest": 0.05, "neck": 0.05},
        own={"chest": 0.05, "neck": 0.05},
        world_turn={"chest": share * 0.3, "neck": 0.3},
    )
    assert set(found.values()) == {owner}


@pytest.mark.parametrize(("share", "owner"), [(0.45, "neck"), (0.55, "chest")])
def test_a_joint_of_the_trunk_that_moves_little_is_not_meant(basis, share, owner):
    found = blamed(
        basis,
        {"neck": 0.05},
        own={"chest": share * 0.05, "neck": 0.05},
        world_turn={"chest": 0.3, "neck": 0.3},
    )
    assert found == {"neck": owner}


@pytest.mark.parametrize(("seen", "owner"), [(0.07, "root"), (0.08, "foot.L")])
def test_a_leg_gives_way_to_the_root_unless_its_foot_is_off_further(basis, seen, owner):
    found = blamed(
        basis,
        {"foot.L": seen},
        own={"root": 0.05, "thigh.L": 0.02, "foot.L": 0.02},
        turn={"foot.L": 0.3},
        world_turn={"thigh.L": 0.3},
    )
    assert found == {"foot.L": owner}


@pytest.mark.parametrize(("throw", "owner"), [(0.03, "hand.L"), (0.05, "chest")])
def test_a_calm_limb_is_carried_where_the_trunk_throws_it_far_enough(basis, throw, owner):
    assert blamed(basis, {"hand.L": 0.1}, own={"chest": throw}) == {"hand.L": owner}


@pytest.mark.parametrize(("share", "owner"), [(0.25, "hand.L"), (0.35, "upper_arm.L")])
def test_an_unclear_joint_of_a_limb_is_meant_where_it_is_off_enough(basis, share, owner):
    found = blamed(
        basis,
        {"hand.L": 0.1},
        any_own={"upper_arm.L": share * 0.1},
        world_turn={"upper_arm.L": 0.2, "hand.L": 0.2},
    )
    assert found == {"hand.L": owner}


@pytest.mark.parametrize(("share", "owner"), [(0.25, "thigh.L"), (0.35, "foot.L")])
def test_a_foot_that_does_not_stay_with_its_shin_is_steered(basis, share, owner):
    found = blamed(
        basis,
        {"foot.L": 0.05},
        own={"thigh.L": 0.05},
        turn={"foot.L": share * 0.3},
        world_turn={"thigh.L": 0.3, "foot.L": 0.3},
    )
    assert found == {"foot.L": owner}


@pytest.mark.parametrize(("share", "owner"), [(0.45, "hand.L"), (0.55, "upper_arm.L")])
def test_a_hand_that_keeps_its_turn_is_steered(basis, share, owner):
    found = blamed(
        basis,
        {"hand.L": 0.05},
        own={"upper_arm.L": 0.05},
        world_turn={"upper_arm.L": 0.3, "hand.L": share * 0.3},
    )
    assert found == {"hand.L": owner}


def test_only_what_it_hangs_on_carries_a_limb(basis):
    found = blamed(basis, {"head": 0.1, "hand.L": 0.1}, own={"head": 0.1}, turn={"head": 1.0})
    assert found == {"head": "head", "hand.L": "hand.L"}


@pytest.mark.parametrize(("times", "told"), [(1.4, "chest"), (1.6, "head")])
def test_what_shows_an_event_much_better_tells_it(basis, times, told):
    each = moment(basis, {"chest": 0.05, "head": times * 0.05}, own={"chest": 0.05})
    lead = each.lead(basis.body("chest"), each.events)
    assert basis.bodies[lead.body].part == told
