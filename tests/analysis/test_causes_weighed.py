# SPDX-License-Identifier: GPL-3.0-or-later
"""What is asked within the budget, and how answers become shares, clears and folded lines.

Findings and outcomes are made up here, so that what follows from them is known.
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
from analysis.causes import weights
from analysis.causes.again import Outcome, share_gone
from analysis.causes.asking import ASKED, BUDGET, OF_A_KEY, Suspect, plan_trials
from analysis.causes.groups import groups_of
from analysis.causes.places import Place
from analysis.causes.rank import weigh
from analysis.causes.values import in_keys, off_smoothest
from analysis.finding import Finding
from analysis.pipeline import examine

TURN = "rotation_quaternion"


def pop(part, frame, amount=2.0, severity="minor"):
    return Finding(
        id=f"pop:{part}:{frame}",
        mark="A",
        check="pop",
        part=part,
        point="joint",
        space="world",
        frames=(frame, frame),
        peak_frame=frame,
        severity=severity,
        amount=amount,
        limit=1.0,
        unit="cm",
        says="pops",
    )


@pytest.fixture(scope="module")
def clean():
    return examine(keyed_rig.rig("punch")[1])


def with_findings(examination, findings):
    return replace(examination, shot=replace(examination.shot, findings=tuple(findings)))


def weighed(examination, left):
    """The shot where `left(control, frame)` are the findings that remain with that key mended."""
    # What the checks find again without any repair is what they found: the findings are made up.
    plan = replace(plan_trials(examination), found=examination.shot.findings)
    asked = {}
    for _place, suspects in plan.places:
        for each in suspects:
            if each.trial is not None:
                repair = each.candidate.repair
                asked[each.trial] = (repair.group.control, repair.frame)
    outcomes = [Outcome(examination.basis, tuple(left(*asked[n]))) for n in range(len(plan.trials))]
    return weigh(examination, plan, outcomes)


def test_never_more_frames_are_asked_for_than_twice_the_shot(clean):
    parts = ("chest", "head", "upper_arm.L", "hand.R", "root", "forearm.R")
    many = [pop(part, frame) for part in parts for frame in range(4, 50, 3)]
    plan = plan_trials(with_findings(clean, many))
    assert 0 < plan.frames <= BUDGET * len(clean.basis.frames)
    (few,) = plan_trials(with_findings(clean, [pop("chest", 21)])).places
    assert all(each.trial is not None for each in few[1])  # one finding: all that is suspected


def test_the_likeliest_key_of_each_finding_is_asked_about_before_any_second_one(clean):
    plan = plan_trials(with_findings(clean, [pop("chest", 21), pop("hand.L", 40), pop("head", 30)]))
    firsts = {suspects[0].trial for _place, suspects in plan.places}
    assert firsts == set(range(len(firsts)))


def test_what_two_findings_suspect_is_asked_once(clean):
    one = plan_trials(with_findings(clean, [pop("chest", 21)]))
    two = plan_trials(with_findings(clean, [pop("chest", 21), pop("chest", 22)]))
    keys_of = [
        {each.candidate.repair.key for _place, suspects in plan.places for each in suspects}
        for plan in (one, two)
    ]
    assert len(one.trials) == len(keys_of[0])
    assert len(two.trials) == len(keys_of[1])
    assert len(two.trials) < sum(len(suspects) for _place, suspects in two.places)


def test_one_key_clears_three_and_the_others_fold_under_the_first(clean):
    findings = [pop("chest", 21), pop("head", 21), pop("upper_arm.L", 21)]
    shot = weighed(
        with_findings(clean, findings),
        lambda control, frame: [] if (control, frame) == ("chest", 21) else findings,
    )
    first, *others = shot.findings
    assert set(first.clears) == {each.id for each in others}
    assert first.after is None
    assert [each.after for each in others] == [first.id, first.id]
    assert all(each.causes[0].control == "chest" for each in shot.findings)


@pytest.mark.parametrize("told", ["besides another", "of its own"])
def test_what_comes_back_under_another_headline_is_not_cleared(clean, told):
    chest, head = pop("chest", 21), pop("head", 21)
    if told == "of its own":
        head = replace(head, also=(("hitch", "head"),))
        left = replace(head, id="hitch:head:21", check="hitch", also=())
    else:
        left = replace(head, id="hitch:head:21", check="hitch", also=(("pop", "head"),))
    shot = weighed(
        with_findings(clean, [chest, head]),
        lambda control, frame: [left] if (control, frame) == ("chest", 21) else [chest, head],
    )
    first = next(each for each in shot.findings if each.id == chest.id)
    assert (first.causes[0].control, first.clears) == ("chest", ())
    assert all(each.after is None for each in shot.findings)


def test_nothing_folds_in_a_circle_or_under_what_is_folded(clean):
    findings = [pop("chest", 21), pop("head", 23), pop("upper_arm.L", 25), pop("hand.R", 40)]
    shot = weighed(with_findings(clean, findings), lambda control, frame: [])
    known = {each.id: each for each in shot.findings}
    leaders = [each for each in shot.findings if each.after is None]
    assert len(leaders) == 1  # every key clears all
    for each in shot.findings:
        if each.after is not None:
            assert known[each.after].after is None
            assert each.id in known[each.after].clears


def test_half_of_a_finding_gone_is_a_half_that_no_key_explains(clean):
    (finding,) = weighed(
        with_findings(clean, [pop("chest", 21)]),
        lambda control, frame: [pop("chest", 21, amount=1.0)],
    ).findings
    *keyed, rest = finding.causes
    assert rest.control is None
    assert rest.share == pytest.approx(0.5)
    assert sum(each.share for each in keyed) == pytest.approx(0.5)
    assert finding.clears == ()


def test_of_two_findings_of_a_part_a_few_frames_apart_each_is_followed_by_itself():
    first, second = pop("head", 16, amount=6.0), pop("head", 19, amount=3.0)
    both = [first, second]
    assert [share_gone(each, both, [first]) for each in both] == [0.0, 1.0]
    assert [share_gone(each, both, [second]) for each in both] == [1.0, 0.0]
    assert share_gone(second, both, [first, pop("head", 20, amount=1.5)]) == pytest.approx(0.5)
    assert share_gone(second, both, []) == 1.0


def test_a_finding_that_goes_counts_for_more_than_its_part_s_jerk(clean):
    examination = with_findings(clean, [pop("chest", 21)])
    plan = replace(plan_trials(examination), found=examination.shot.findings)
    ((place, (one, other, *_rest)),) = plan.places
    assert one.trial is not None
    suspects = [
        Suspect(replace(each.candidate, odd=odd), n)
        for n, (each, odd) in enumerate(((one, 5.0), (other, 1.0)))
    ]
    clip = examination.basis.clip
    still = replace(
        clip,
        positions=np.repeat(clip.positions[:1], len(clip.frames), axis=0),
        rotations=np.repeat(clip.rotations[:1], len(clip.frames), axis=0),
    )
    smooth = Outcome(build_basis(still, Settings()), examination.shot.findings)
    gone = Outcome(examination.basis, ())
    (smoother, less), (mended, more) = weights.weighed(
        examination, plan, place, suspects, [smooth, gone]
    )
    assert (smoother, mended) == (0.0, 1.0)
    assert more > less > 0.0


def test_how_a_joint_bends_may_be_what_carries_it(clean):
    basis = clean.basis
    chest = basis.body("chest")
    bend = Place(replace(pop("chest", 21), check="torso_break"), chest, 20, 22)
    assert bend.led_by(basis, chest) == (chest, basis.bodies[chest].parent)
    assert Place(pop("chest", 21), chest, 20, 22).led_by(basis, chest) == (chest,)


def test_a_key_whose_time_and_value_are_both_suspected_is_told_once(clean):
    examination = with_findings(clean, [pop("hand.R", frame) for frame in range(12, 40, 3)])
    both = 0
    for _place, suspects in plan_trials(examination).places:
        mended = [each.candidate.repair.of_key for each in suspects]
        both += len(mended) - len(set(mended))
        assert len(set(mended)) <= ASKED
        assert all(mended.count(key) <= OF_A_KEY for key in mended)
    assert both > 0
    shot = weighed(examination, lambda control, frame: [])
    for finding in shot.findings:
        keyed = [(each.control, each.channel, each.frame) for each in finding.causes]
        assert len(keyed) == len(set(keyed))


def test_where_nothing_goes_nothing_is_advised(clean):
    finding = pop("chest", 21)
    (told,) = weighed(with_findings(clean, [finding]), lambda *_: [finding]).findings
    assert told.causes[-1].share == pytest.approx(1.0)
    assert told.suggestion is None


@pytest.mark.parametrize(
    ("left", "spoiled"),
    [
        (lambda: [pop("head", 23, 3.0, "major")], "Head: pop"),  # new
        (lambda: [pop("hand.R", 30, 3.0, "major")], "Right hand: pop"),  # was half of that
        (lambda: [pop("hand.R", 30, 1.6, "major")], ""),  # was there
        (lambda: [pop("forearm.L", 30, 3.0, "major")], ""),  # was told with the neck's
        (lambda: [pop("head", 23, 3.0, "minor")], ""),
    ],
)
def test_what_makes_another_finding_is_no_mend(clean, left, spoiled):
    found = [pop("chest", 21), pop("hand.R", 30, 1.5), pop("neck", 30)]
    found[2] = replace(found[2], also=(("pop", "forearm.L"),))
    finding, *_others = weighed(with_findings(clean, found), lambda *_: left()).findings
    assert finding.causes[0].spoils == spoiled
    assert finding.causes[0].is_mended == (not spoiled)


def test_of_a_strip_that_counts_by_half_a_key_is_moved_twice_as_far():
    puppet, clip = keyed_rig.rig("punch")
    doubled = [
        keys.recomputed(_scaled(curve, 2.0)) if curve.control == "chest" else curve
        for curve in clip.meta.curves
    ]
    halved = [
        replace(curve, weight=((1.0, 0.5), (52.0, 0.5))) if curve.control == "chest" else curve
        for curve in doubled
    ]
    half = keyed_rig.with_curves(puppet, clip, halved)
    np.testing.assert_allclose(half.channel_values, clip.channel_values, atol=1e-9)
    plain, strip = (
        next(each for each in groups_of(c) if (each.control, each.name) == ("chest", TURN))
        for c in (clip, half)
    )
    bases = [examine(each).basis for each in (clip, half)]
    once = off_smoothest(bases[0], plain, 21.0)
    twice = off_smoothest(bases[1], strip, 21.0)
    assert np.abs(once).max() > 1e-3
    np.testing.assert_allclose(twice, 2.0 * once, atol=1e-9)
    gain = np.array([0.0, 0.1, 0.0, -0.2])
    np.testing.assert_allclose(in_keys(strip, 21.0, gain), 2.0 * gain)
    mended = strip.with_curves(tuple(_raised(curve, 21.0, 0.2) for curve in strip.curves))
    at = strip.change(mended, np.array([21.0]))
    np.testing.assert_allclose(at, 0.1)


def _scaled(curve, factor):
    handles = {
        side: tuple((frame, value * factor) for frame, value in getattr(curve, side))
        for side in ("handle_left", "handle_right")
    }
    return replace(curve, values=tuple(factor * each for each in curve.values), **handles)


def _raised(curve, frame, by):
    n = curve.frames.index(frame)
    return keys.with_value(curve, n, curve.values[n] + by)


def test_a_mend_is_tried_by_every_check_before_it_is_offered(clean):
    """A repair that no check of those that found something minds, and that throws a hand away."""
    finding = pop("chest", 21)
    examination = with_findings(clean, [finding])
    thrown = clean.basis.clip.positions.copy()
    at = int(np.argmin(np.abs(clean.basis.frames - 40.0)))
    thrown[at, clean.basis.clip.joint("hand.R")] += (0.0, 0.0, 0.3)
    basis = build_basis(replace(clean.basis.clip, positions=thrown), clean.basis.settings)
    plan = replace(plan_trials(examination), found=(finding,))
    for makes, offered in ((clean.basis, True), (basis, False)):
        shot = weigh(examination, plan, [Outcome(makes, ())] * len(plan.trials))
        (told,) = shot.findings
        assert told.causes[0].mend
        assert told.causes[0].is_mended == offered
        assert bool(told.causes[0].spoils) != offered
