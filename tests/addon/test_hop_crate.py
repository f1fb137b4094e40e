# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter hops onto a crate and down: flights fall as they should, feet stand, faults are
where they belong and nowhere else."""

import bpy
import numpy as np
import pytest
from hop_recorded import (
    FLIGHTS,
    FRAMES,
    GRAVITY,
    at,
    clearance,
    crate_gap,
    fitted_fall,
    near_top,
    record,
)
from stepped import SIDES, assert_differs_only_where_planted, built

from demo_scenes import truth
from demo_scenes.porter import hop_crate
from demo_scenes.porter.hop_crate.set import AHEAD, BEARS_WEIGHT, TOP, WIDTH
from demo_scenes.porter.hop_crate.timing import (
    FIRST,
    GIVE_1,
    GIVE_2,
    LAND_1,
    LAND_2,
    LAST,
    LEAVE_1,
    LEAVE_2,
    LIFT,
    RISEN,
    SET,
    STAND,
)

PLANTS = {
    "L": ((FIRST, LEAVE_1), (LAND_1, LIFT), (SET, LEAVE_2), (LAND_2, LAST)),
    "R": ((FIRST, LEAVE_1), (LAND_1, LEAVE_2), (LAND_2, LAST)),
}


@pytest.fixture(scope="module")
def polished():
    return record(polished=True)


@pytest.fixture(scope="module")
def first():
    return record(polished=False)


def test_the_shot_plays_once_and_its_crate_bears_weight():
    rig = built(hop_crate, polished=True)
    scene, crate = bpy.context.scene, bpy.data.objects["crate"]
    assert (scene.frame_start, scene.frame_end, scene.render.fps) == (FIRST, LAST, 24)
    assert not rig.animation_data.action.use_cyclic
    assert crate[BEARS_WEIGHT] is True
    assert crate.dimensions[:] == pytest.approx((WIDTH, AHEAD[1] - AHEAD[0], TOP))
    assert crate.rotation_euler[:] == (0.0, 0.0, 0.0)
    bearing = [thing.name for thing in bpy.data.objects if BEARS_WEIGHT in thing]
    assert bearing == ["crate"]


@pytest.mark.parametrize("side", SIDES)
def test_planted_feet_stand_still(polished, side):
    for run in PLANTS[side]:
        for place in (polished.heads[f"foot_ik.{side}"], polished.heads[f"toe.{side}"]):
            stands = place[at(*run)]
            assert np.linalg.norm(stands - stands[0], axis=1).max() < 2e-3


def test_nothing_goes_into_floor_or_crate(polished, first):
    for each in (polished, first):
        assert clearance(each.body).min() > -3e-3
        assert clearance(each.boathook).min() > 0.05
        assert crate_gap(each.boathook).min() > 0.05


@pytest.mark.parametrize("side", SIDES)
def test_knees_never_lock_and_point_ahead(polished, first, side):
    for each in (polished, first):
        assert each.knee(side).min() > 8.0
        reach = each.tails[f"shin.{side}"] - each.heads[f"mch_foot.{side}"]
        assert np.linalg.norm(reach, axis=1).max() < 1e-3, "the leg reaches its foot"
    assert np.abs(np.diff(polished.knee(side))).max() < 33.0
    hip, ankle = polished.heads[f"thigh.{side}"], polished.tails[f"shin.{side}"]
    ahead = (hip + ankle)[:, 1] / 2.0 - polished.tails[f"thigh.{side}"][:, 1]
    assert ahead.min() > 0.02


def test_both_feet_are_off_in_the_flights_and_only_there(polished):
    clear = clearance(polished.body)
    for leave, land in FLIGHTS:
        assert clear[at(leave + 1, land - 1)].min() > 0.06
        assert clear[at(leave, leave)].max() < 0.005
        assert clear[at(land, land)].max() < 0.005
        air = at(leave + 2, land - 1)
        assert crate_gap(polished.body[air]).min() > 0.06, "feet are tucked over the edge"
    airborne = {f for leave, land in FLIGHTS for f in range(leave + 1, land)}
    assert set(FRAMES[clear > 0.02].tolist()) == airborne


@pytest.mark.parametrize("flight", FLIGHTS)
def test_the_centre_of_mass_falls_freely(polished, flight):
    path = polished.centre()[at(*flight)]
    assert fitted_fall(path[:, 2]) == pytest.approx(GRAVITY, rel=0.03)
    assert near_top(path[:, 2]) == pytest.approx(0.5, abs=0.03)
    steps = -np.diff(path[:, 1])
    assert steps.mean() * 24.0 > 0.9
    assert np.abs(steps / steps.mean() - 1.0).max() < 0.03, "an even speed ahead"
    assert np.abs(path[:, 0] - path[0, 0]).max() < 0.01


def test_on_the_ground_nothing_pulls_him_down(polished):
    pull = np.diff(polished.centre()[:, 2], n=2) * 24.0**2
    assert pull.min() > -1.03 * GRAVITY
    assert pull.max() < 2.5 * GRAVITY, "landings are given in the knees"
    for land, risen in ((LAND_1, STAND), (LAND_2, RISEN)):
        deepest = int(polished.centre()[at(land, risen), 2].argmin())
        assert 4 <= deepest <= 8


def test_arms_swing_up_at_the_take_off_and_drag_after_the_landing(polished):
    hand, body = (polished.tails[bone][:, 2] for bone in ("hand.L", "body"))
    for (leave, land), sunk in zip(FLIGHTS, (GIVE_1, GIVE_2), strict=True):
        low, high = (hand - body)[leave - FIRST - 6], (hand - body)[leave - FIRST + 2]
        assert high - low > 0.4
        assert hand[at(land, land + 12)].argmin() >= sunk - land - 1


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    assert_differs_only_where_planted(FRAMES, first, polished, hop_crate.PLANTED)


def test_the_planted_faults_have_their_sizes(polished, first):
    up, down = (first.centre()[at(*flight), 2] for flight in FLIGHTS)
    assert near_top(up) > 0.65
    assert 0.85 < fitted_fall(up) / GRAVITY < 1.18, "it hangs, and falls no slower on the whole"
    assert fitted_fall(down) > 1.7 * GRAVITY
    heel = first.heads["foot_ik.L"] - polished.heads["foot_ik.L"]
    assert 0.06 < heel[LIFT - FIRST, 1] < 0.09, "it slips back"
    assert np.abs(heel[at(38, LIFT), 2]).max() < 1e-4
    tip = np.linalg.norm(first.tails["head"] - polished.tails["head"], axis=1)
    assert 0.04 < tip[8 - FIRST] < 0.07


def test_the_body_rises_straight_and_evenly_on_linear_keys(polished, first):
    paces = {}
    for name, each in (("first", first), ("polished", polished)):
        paces[name] = np.diff(each.heads["body"][at(GIVE_2 - 1, RISEN + 1)], axis=0)
    inside = paces["first"][1:-1]
    assert np.abs(inside - inside[0]).max() < 1e-5, "the same step on every frame"
    for step, beside in ((inside[0], paces["first"][0]), (inside[-1], paces["first"][-1])):
        assert np.linalg.norm(step - beside) > 0.015, "with a corner at both ends"
    assert np.abs(np.diff(paces["polished"], axis=0)).max() < 0.015, "where the polished one eases"


def sampled(ext, polished, *, declared=True):
    """A pass as a clip, with its crate bearing weight or not."""
    rig = built(hop_crate, polished=polished)
    if not declared:
        del bpy.data.objects["crate"][BEARS_WEIGHT]
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    return clip


def test_the_crate_keeps_the_hop_free_of_false_flights(ext):
    clip = sampled(ext, polished=True)
    assert clip.meta.supports == ("crate",)
    box = np.diag((WIDTH, AHEAD[1] - AHEAD[0], TOP, 1.0))
    box[:3, 3] = (0.0, -sum(AHEAD) / 2.0, TOP / 2.0)
    assert np.abs(clip.supports - box).max() < 1e-6
    flights = ext.analysis.basis.build_basis(clip, ext.analysis.Settings()).flights
    spans = [(int(clip.frames[each.first]), int(clip.frames[each.last])) for each in flights]
    assert len(spans) == 2
    for (first, last), (leaves, lands) in zip(
        spans, ((LEAVE_1, LAND_1), (LEAVE_2, LAND_2)), strict=True
    ):
        assert leaves < first <= leaves + 2
        assert lands - 2 <= last < lands
    shot = ext.analysis.check_clip(clip)
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.02)


def test_without_the_crate_s_declaration_nothing_is_blamed(ext):
    """He then stands in the air for a while, which is told and not taken for a flight."""
    shot = ext.analysis.check_clip(sampled(ext, polished=True, declared=False))
    assert shot.findings == ()
    assert "declare what bears it" in dict(shot.skipped)["gravity"]


def test_the_checks_find_what_was_planted_and_nothing_else(ext):
    clips = {kind: sampled(ext, kind == "polished") for kind in ("first", "polished")}
    shots = {kind: ext.analysis.check_clip(clip) for kind, clip in clips.items()}
    assert shots["polished"].findings == ()
    found = {(each.check, each.part, each.severity) for each in shots["first"].findings}
    assert found == {(each["check"], each["part"], "major") for each in hop_crate.PLANTED}
    assert len(shots["first"].findings) == len(hop_crate.PLANTED)
    faults = truth.true_faults(clips["first"], clips["polished"], (LAST, LAST), hop_crate.PLANTED)
    assert [each["frames"] for each in faults] == [each["frames"] for each in hop_crate.PLANTED]
