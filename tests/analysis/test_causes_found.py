# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults in known keys of a keyed rig that answers trials: which control, group and key come first.

No key but the planted one is odd, so that the right answer is known.
"""

import os
from dataclasses import replace

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

import keyed_rig

from analysis import Settings, keys
from analysis.basis import build_basis
from analysis.cause import KeyEdit
from analysis.causes.asking import plan_trials
from analysis.causes.candidates import candidates
from analysis.causes.drafts import drafts
from analysis.causes.effect import Followers
from analysis.causes.groups import groups_of
from analysis.causes.joints import joint_repairs
from analysis.causes.places import Place, place_of
from analysis.causes.pose_keys import PoseKeys
from analysis.causes.rank import find_causes
from analysis.causes.repairs import RETIME
from analysis.evidence import Suggestion
from analysis.pipeline import examine
from analysis.trials import Trial
from tests.quality.blade import Blade, with_blade

LOCATION, TURN, ANGLES = "location", "rotation_quaternion", "rotation_euler"


def spike(size):
    ways = {"x": 1.0, "y": -0.5, "z": 1.0, "w": 0.0}

    def edit(curve, n):
        return keys.with_value(curve, n, curve.values[n] + size * ways[curve.channel[-1]])

    return edit


def held(curve, n):
    return keys.with_value(curve, n, curve.values[n - 1])


def linear(curve, n):
    return keys.with_interpolation(curve, n, "LINEAR")


def late(curve, n):
    return keys.with_frame(curve, n, curve.frames[n] + 1.0)


def negated(curve, n):
    return keys.with_value(curve, n, -curve.values[n])


def a_turn_on(curve, n):
    return keys.with_value(curve, n, curve.values[n] + 2.0 * np.pi * (curve.channel[-1] == "z"))


def faulted(name, control, prop, frame, edit):
    puppet, clip = keyed_rig.rig(name)
    curves = keyed_rig.edited(clip, control, prop, frame, edit)
    return puppet, keyed_rig.with_curves(puppet, clip, curves)


def test_the_keyed_motion_is_clean_and_an_empty_trial_is_that_motion():
    puppet, clip = keyed_rig.rig("punch")
    assert not examine(clip).shot.findings
    samples = np.arange(3, 9)
    posed = keyed_rig.answer(puppet, clip, Trial(samples, (), np.zeros((len(samples), 0))))
    np.testing.assert_allclose(posed.positions, clip.positions[samples], atol=1e-12)
    np.testing.assert_allclose(posed.controls, clip.control_matrices[samples], atol=1e-12)


CASES = {
    "a chest key off by 10 degrees": ("punch", "chest", TURN, 21, spike(0.08), 21, "move"),
    "a hand key off its arc": ("punch", "hand.R", TURN, 18, spike(0.2), 18, "move"),
    "a head key off its arc": ("jump", "neck", TURN, 26, spike(0.12), 26, "move"),
    "a linear key of the hips": ("jump", "hips", LOCATION, 15, linear, 15, "smooth"),
    "a linear key of an arm": ("punch", "upper_arm.L", TURN, 34, linear, 34, "smooth"),
    "an arm held": ("jump", "upper_arm.L", TURN, 17, held, 17, "move"),
    "a foot held": ("punch", "foot.R", LOCATION, 20, held, 20, "move"),
    "a quaternion turned to its negative": (
        "punch",
        "upper_arm.R",
        TURN,
        22,
        negated,
        22,
        "unwind",
    ),
}


@pytest.mark.parametrize(
    ("name", "control", "prop", "frame", "edit", "key", "mend"), CASES.values(), ids=CASES.keys()
)
def test_the_planted_control_group_and_key_come_first(name, control, prop, frame, edit, key, mend):
    _examination, shot = keyed_rig.explained(*faulted(name, control, prop, frame, edit))
    assert shot.findings
    for finding in shot.findings:
        first = finding.causes[0]
        told = (first.control, first.channel, first.frame, first.mend)
        assert told == (control, prop, key, mend)
        assert first.share >= 0.5
        assert sum(cause.share for cause in finding.causes) == pytest.approx(1.0)
        assert control in finding.suggestion.text


def test_a_key_alone_beside_a_pose_is_drafted_by_its_very_curves():
    _puppet, clip = faulted("jump", "foot.R", LOCATION, 17, late)
    basis, groups = build_basis(clip, Settings()), groups_of(clip)
    (group,) = [each for each in groups if (each.control, each.name) == ("foot.R", LOCATION)]
    place = Place(None, basis.body("foot.R"), 16, 18)
    found = drafts(basis, group, PoseKeys(groups), place, Followers.of(basis, group))
    (draft,) = [each for each in found if (each.kind, each.to_frame) == (RETIME, 17.0)]
    there = group.change(draft.make().mended, basis.frames)
    np.testing.assert_array_equal(draft.change, there)
    assert np.abs(there).max() > 1e-3


def test_the_key_that_a_check_tells_the_values_of_is_the_one_that_is_mended():
    """Beside it the key before, which the path shows to be odder, is no suspect by its value."""
    _puppet, faulty = faulted("punch", "chest", TURN, 21, spike(0.08))
    examination = examine(faulty)
    basis, groups = examination.basis, groups_of(faulty)
    (group,) = [each for each in groups if (each.control, each.name) == ("chest", TURN)]
    finding = examination.shot.findings[0]
    before = group.frames[group.frames.index(21.0) - 1]
    edit = KeyEdit(control="chest", channel=f"{TURN}.x", frame=before, before=0.0, after=0.1)
    named = replace(finding, suggestion=Suggestion("Key it.", edits=(edit,)))

    def suspected(told):
        found = candidates(basis, groups, PoseKeys(groups), place_of(basis, told))
        return {
            each.repair.frame
            for each in found
            if each.repair.group is group and each.repair.kind in ("value", "suggested")
        }

    assert 21.0 in suspected(finding)
    assert suspected(named) == {before}


def test_a_key_off_its_arc_goes_where_it_was_and_not_just_onto_the_arc():
    examination, shot = keyed_rig.explained(*faulted("punch", "hand.R", TURN, 18, spike(0.2)))
    (told,) = [each for each in shot.findings if each.check == "off_arc"]
    (asked,) = [each for each in examination.shot.findings if each.check == "off_arc"]
    clean = {
        curve.channel: curve.values[curve.frames.index(18.0)]
        for curve in keyed_rig.rig("punch")[1].meta.curves
        if curve.control == "hand.R" and curve.channel.startswith(TURN)
    }

    def left(edits):
        return max(abs(each.after - clean[each.channel]) for each in edits)

    cause = told.causes[0]
    assert cause.misses < 0.05
    assert cause.is_mended
    assert left(cause.edits) < 0.01
    assert left(cause.edits) < 0.5 * left(asked.suggestion.edits)


def test_what_a_check_says_of_its_key_is_not_said_again():
    _examination, shot = keyed_rig.explained(*faulted("jump", "hips", LOCATION, 15, linear))
    (finding,) = [each for each in shot.findings if each.check == "straight_run"]
    assert finding.causes[0].is_mended
    assert finding.suggestion.text.count("smooth handles") == 1


def test_a_key_that_the_finding_names_is_its_cause_also_where_mending_it_takes_nothing():
    puppet, clip = faulted("jump", "hips", LOCATION, 15, linear)
    examination = examine(clip)
    plan = plan_trials(examination)
    answers = [
        keyed_rig.answer(puppet, clip, Trial(t.samples, (), np.zeros((len(t.samples), 0))))
        for t in plan.trials
    ]
    shot = find_causes(examination, plan, answers)
    (finding,) = [each for each in shot.findings if each.check == "straight_run"]
    named = finding.suggestion.key
    first, *_others = finding.causes
    assert (first.control, first.channel, first.frame) == (named.control, named.group, named.frame)
    assert first.share >= 0.5
    assert not first.is_mended


def test_angles_that_go_round_once_more_are_turned_back():
    puppet, clip = keyed_rig.rig("punch")
    angled = keyed_rig.with_angles(puppet, clip, "chest")
    assert not examine(angled).shot.findings
    curves = keyed_rig.edited(angled, "chest", ANGLES, 37, a_turn_on)
    _examination, shot = keyed_rig.explained(puppet, keyed_rig.with_curves(puppet, angled, curves))
    (finding,) = shot.findings
    first = finding.causes[0]
    assert (first.control, first.channel, first.frame) == ("chest", ANGLES, 37)
    assert first.mend == "unwind"
    (edit,) = first.edits
    assert edit.channel == "rotation_euler.z"
    assert edit.before - edit.after == pytest.approx(360.0)  # degrees, as Blender's field has them
    assert "Take the turn out of chest's rotation key on frame 37." in finding.suggestion.text


def test_a_switch_thrown_at_once_is_named_and_what_goes_with_it_folds_under_it():
    puppet, clip = keyed_rig.rig("punch")
    switched = keyed_rig.with_lean(puppet, clip, (1.0, 34.0, 35.0, 52.0), (0.0, 0.0, 1.0, 1.0))
    _examination, shot = keyed_rig.explained(puppet, switched)
    leader = next(each for each in shot.findings if each.check == "pop")
    first = leader.causes[0]
    assert (first.control, first.channel, first.frame) == ("chest", '["lean"]', 35)
    assert first.mend == "spread"
    assert first.to_frame > 36
    others = [each for each in shot.findings if each is not leader]
    assert others
    assert set(leader.clears) == {each.id for each in others}
    assert all(each.after == leader.id for each in others)
    assert leader.after is None


def test_of_two_faults_each_finding_names_its_own():
    puppet, one = faulted("punch", "chest", TURN, 21, spike(0.08))
    curves = keyed_rig.edited(one, "foot.R", LOCATION, 20, held)
    _examination, shot = keyed_rig.explained(puppet, keyed_rig.with_curves(puppet, one, curves))
    found = {each.part: each.causes[0] for each in shot.findings}
    assert {part: (cause.control, cause.frame) for part, cause in found.items()} == {
        "chest": ("chest", 21),
        "foot.R": ("foot.R", 20),
    }
    assert not any(each.clears or each.after for each in shot.findings)


def test_what_is_in_no_key_is_told_as_that():
    puppet, clip = keyed_rig.rig("punch")
    off = np.zeros(clip.positions.shape)
    off[30, [clip.joints.index(f"{part}.L") for part in ("upper_arm", "forearm", "hand")], 2] = 0.08
    shown = replace(clip, positions=clip.positions + off)
    examination, shot = keyed_rig.explained(puppet, clip, shown, off)
    assert shot.findings
    for before, finding in zip(examination.shot.findings, shot.findings, strict=True):
        (rest,) = [cause for cause in finding.causes if cause.control is None]
        assert rest.share >= 0.8
        assert rest.why == "no single key explains it"
        assert finding.suggestion == before.suggestion


def test_without_curves_the_joint_whose_own_turn_breaks_is_named():
    puppet, clip = keyed_rig.rig("punch")
    values = clip.channel_values.copy()
    values[20, clip.channels.index("forearm.L|rotation_euler.x")] += 0.5
    broken = keyed_rig.posed(puppet, clip, values)
    bare = replace(
        broken,
        channels=(),
        channel_values=None,
        control_matrices=None,
        meta=replace(broken.meta, curves=(), controls=(), targets={}),
    )
    examination, shot = keyed_rig.explained(puppet, clip, bare)
    (before,), (finding,) = examination.shot.findings, shot.findings
    (only,) = finding.causes
    assert only.title == "forearm.L, rotation, frame 21"
    assert only.share == pytest.approx(1.0)
    assert finding.suggestion == before.suggestion  # there is no key to type


def test_without_curves_a_limb_s_end_is_bridged_by_all_of_its_joints_at_once():
    """Upper arm and forearm turn together, as where a target leads the hand."""
    puppet, clip = keyed_rig.rig("punch")
    values = clip.channel_values.copy()
    values[20, clip.channels.index("upper_arm.L|rotation_quaternion.x")] += 0.2
    values[20, clip.channels.index("forearm.L|rotation_euler.x")] -= 0.5
    broken = keyed_rig.posed(puppet, clip, values)
    basis = build_basis(broken, Settings(cycle="no"))
    clean = build_basis(clip, Settings(cycle="no"))
    hand = basis.body("hand.L")
    repairs = joint_repairs(basis, Place(None, hand, 20, 20))
    ((_body, _channel, posed),) = [each for each in repairs if each[:2] == (hand, "location")]
    names = [broken.joints[joint] for joint in posed.joints]
    assert names[-3:] == ["upper_arm.L", "forearm.L", "hand.L"]
    off = np.linalg.norm(posed.positions[0, -1] - clean.positions[20, hand])
    was = np.linalg.norm(basis.positions[20, hand] - clean.positions[20, hand])
    assert was > 0.05
    assert off < 0.1 * was


def test_a_prop_s_finding_names_the_control_of_the_hand_that_holds_it():
    puppet, clip = faulted("punch", "hand.R", TURN, 29, spike(0.35))
    armed = with_blade(clip, Blade("R", np.array([0.0, 0.3, -1.0]), 0.9, 0.05, 0.0))
    examination, _shot = keyed_rig.explained(puppet, clip, armed)
    basis, groups = examination.basis, groups_of(armed)
    (prop,) = [n for n, body in enumerate(basis.bodies) if (body.part or "").startswith("prop")]
    asked = replace(examination.shot.findings[0], check="pop", suggestion=None)
    place = Place(asked, prop, 27, 29)
    first = candidates(basis, groups, PoseKeys(groups), place)[0]
    assert (first.repair.group.control, first.repair.frame) == ("hand.R", 29)
    assert first.foretold > 0.5
