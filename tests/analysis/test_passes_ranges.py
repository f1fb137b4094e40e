# SPDX-License-Identifier: GPL-3.0-or-later
"""Another range of the same motion, and choices that change while something is mended."""

import json
from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from test_passes_choices import ALL, assert_nothing_changed, clip_of, examined, ids, passed

from analysis import Settings, build_report
from analysis.meta import Event
from analysis.pass_words import since_text
from analysis.passes import (
    Intended,
    Note,
    Said,
    kept_of,
    next_pass,
    note_mark,
    pass_of,
    read_report,
)
from analysis.passes.align import _follow
from analysis.passes.times import TimeMap
from tests.passes.edits import cut

EVERY = Settings(cycle="no")
AUTO = Settings()
OVERREACH = Settings(cycle="no", checks=("overreach",))
CLIP = clip_of(head=0.15)


def loop(frames=48):
    """Two rounds of a second; in the second one the left hand leaves its path at frame 32."""
    clip = figure(frames=frames, speed=0.0)
    positions = clip.positions.copy()
    positions[:, clip.joints.index("hand.L"), 0] += spike(frames, 31, 0.08)
    return replace(clip, positions=positions)


@pytest.mark.parametrize("beside", [(0, 40), (20, 0), (15, 25), (0, 1)])
def test_another_range_alone_fixes_nothing_and_makes_nothing_new(beside):
    one = passed(CLIP, EVERY)
    two = passed(cut(CLIP, *beside).clip, EVERY, one)
    assert_nothing_changed(two)
    assert {each.id for each in two.not_told} == ids(one) - ids(two)
    told = {each.id: each.frame for each in one.record.findings}
    assert all(each.frame == told[each.id] for each in two.not_told)
    again = passed(cut(CLIP, *beside).clip, EVERY, two)
    assert_nothing_changed(again)
    whole = passed(CLIP, EVERY, again)
    assert_nothing_changed(whole)
    assert ids(whole) == ids(one)
    assert set(whole.states.values()) == {"unchanged"}


def test_a_loop_is_not_wound_into_a_round_of_it():
    whole, half = loop(), cut(loop(), 0, 24).clip
    settings = replace(AUTO, cycle="yes", checks=("pop",))
    first = examined(whole, settings)
    pops = [finding for finding in first.shot.findings if finding.part == "hand.L"]
    assert [finding.peak_frame for finding in pops] == [32.0]
    mark = note_mark(first.basis, "hand.L", 32.0)
    said = Said(
        intended=(Intended(finding=kept_of(pops[0], first.shot), reason="so"),),
        notes=(Note(id="n", frame=32.0, part="hand.L", text="?", mark=mark),),
    )
    found = next_pass(first, None, said)
    for clip in (half, half, whole):
        found = next_pass(examined(clip, settings), found.record, said)
        assert_nothing_changed(found)
        assert found.note_frames["n"] == 32.0
    assert ids(found) == {finding.id for finding in first.shot.findings}
    assert [each.intended for each in found.shot.findings if each.part == "hand.L"] == ["so"]


def walk(*spikes):
    """One stride of two like steps of a second each; joints leave their path at samples."""
    clip = figure(frames=49, period_s=2.0)
    positions = clip.positions.copy()
    for joint, at in spikes:
        positions[:, clip.joints.index(joint), 0] += spike(49, at, 0.08)
    return replace(clip, positions=positions)


@pytest.mark.parametrize("first", [(0, 25), (25, 0)])
def test_one_half_of_a_walk_is_not_the_other_one(first):
    settings, clip = replace(AUTO, checks=("pop",), cycle="yes"), walk(("head", 7), ("root", 30))
    one = passed(clip, settings)
    assert len(ids(one)) >= 2
    second = (24, 0) if first == (0, 25) else (0, 25)
    two = passed(cut(clip, *first).clip, settings, one)
    three = passed(cut(clip, *second).clip, settings, two)
    whole = passed(clip, settings, three)
    for each in (two, three, whole):
        assert_nothing_changed(each)
    assert ids(whole) == ids(one)
    assert {each.frame for each in whole.record.findings} == {
        each.frame for each in one.record.findings
    }


@pytest.mark.parametrize(("there", "shift"), [(4, 0), (0, 24)])
def test_a_loop_starts_elsewhere_only_where_most_of_it_says_so(there, shift):
    """Eight moments, all but one of which look alike half a loop away, and some where they were."""
    rows, same = np.arange(8), np.array([7, 7, 7, 14, 18, 30, 40, 47])
    unlike = np.ones((8, 48))
    unlike[rows, (same + 24) % 48] = [0.0, 0.0, 0.0, 0.0, 1.0, 0.1, 0.0, 0.0]
    unlike[rows[:there], same[:there]] = 0.0
    places, _cost = _follow(unlike, same.astype(float), 48)
    assert np.array_equal((places - same) % 48, np.full(8, shift))


def test_what_an_event_excuses_is_not_fixed_with_what_was_mended():
    one = passed(CLIP, ALL)
    clip = clip_of(0.0, head=0.15)
    event = Event(frames=(48.0, 58.0), part="head")
    two = passed(replace(clip, meta=replace(clip.meta, events=(event,))), ALL, one)
    assert {each.part for each in two.fixed} == {"hand.L"}
    assert {each.part for each in two.not_told} == {"head"}
    back = passed(clip, ALL, two)
    assert_nothing_changed(back)
    assert {back.states[name] for name in ids(back) if ":head:" in name} == {"unchanged"}


def test_what_was_mended_is_fixed_where_it_would_not_be_told_any_more():
    strict, loose = (replace(ALL, checks=("pop",), tolerance=each) for each in ("strict", "loose"))
    one = passed(clip_of(0.03), strict)
    hand = {name for name in ids(one) if name.startswith("pop:hand.L")}
    assert hand
    alone = passed(clip_of(0.03), loose, one)
    assert {each.id for each in alone.not_told} >= hand
    mended = passed(clip_of(0.0), loose, one)
    assert {each.id for each in mended.fixed} == hand


def test_what_another_part_does_is_new_whatever_was_chosen():
    two = passed(
        clip_of(head=0.15), replace(ALL, off={"stomp": "switched off"}), passed(clip_of(), ALL)
    )
    assert {state for name, state in two.states.items() if ":head:" in name} == {"new"}


def test_an_overreach_that_was_mended_is_fixed_where_nothing_is_left_to_judge():
    one = passed(CLIP, OVERREACH)
    stretched = {name for name in ids(one) if name.startswith("overreach")}
    assert stretched
    mended = clip_of(0.0, head=0.0)
    two = passed(mended, OVERREACH, one)
    assert "overreach" in dict(two.shot.skipped)
    assert {each.id for each in two.fixed} >= stretched
    off = passed(mended, replace(OVERREACH, off={"overreach": "switched off"}), one)
    assert {each.id for each in off.not_told} == stretched
    asked = passed(mended, OVERREACH, off)
    assert {each.id for each in asked.fixed} == stretched


def test_sizes_on_another_scale_are_not_laid_side_by_side():
    one = passed(CLIP, ALL)
    two = passed(CLIP, replace(ALL, height_m=0.9), one)
    same = [each for each in two.shot.findings if each.id in two.was]
    assert same
    assert all(two.was[each.id].amount > 1.2 * each.amount for each in same)
    assert two.rescaled == {each.id for each in same}
    told = since_text(same[0], "unchanged", two.was[same[0].id], None)
    assert told.startswith("Was ")
    louder = passed(clip_of(0.1, head=0.15), ALL, one)
    assert louder.rescaled == frozenset()


def test_ranges_that_have_nothing_in_common_fix_nothing():
    clip = loop(96)
    first = replace(AUTO, checks=("pop",))
    one = passed(cut(clip, 0, 50).clip, first)
    assert {each.frame for each in one.record.findings if each.part == "hand.L"} == {32.0}
    far = passed(cut(clip, 70, 0).clip, first, one)
    few = passed(cut(clip, 10, 78).clip, first, far)
    back = passed(cut(clip, 0, 50).clip, first, few)
    for each in (far, few, back):
        assert_nothing_changed(each)
    assert ids(back) == ids(one)
    assert set(back.states.values()) == {"unchanged"}


def sent(outcome, settings):
    """A pass as somebody sends it who made it."""
    report = json.loads(json.dumps(build_report([outcome.shot], settings)))
    (read,) = read_report(report)
    return pass_of(read.shot, read.asked)


SENT = {
    "strict": (0.027, replace(EVERY, tolerance="strict"), 0.0),
    "loose": (0.04, replace(EVERY, tolerance="loose"), 0.0),
    "part": (0.08, EVERY, 50.0),
}


@pytest.mark.parametrize("which", SENT)
def test_what_a_report_was_asked_otherwise_is_neither_fixed_nor_new(which):
    size, settings, less = SENT[which]
    clip = clip_of(size)
    before = sent(passed(cut(clip, 0, less).clip, settings), settings)
    found = next_pass(examined(clip, EVERY), before, Said())
    assert_nothing_changed(found)
    assert ids(found) != {each.id for each in before.findings}


def test_what_a_report_tells_is_fixed_where_it_was_mended():
    before = sent(passed(CLIP, EVERY), EVERY)
    found = next_pass(examined(clip_of(0.0, head=0.15), EVERY), before, Said())
    assert "pop:hand.L:31" in {each.id for each in found.fixed}
    louder = next_pass(examined(CLIP, EVERY), sent(passed(clip_of(), EVERY), EVERY), Said())
    assert {s for name, s in louder.states.items() if name.startswith("pop:head")} == {"new"}


def test_another_round_of_a_loop_that_is_far_off_is_another_moment():
    time = TimeMap(np.array([1.0, 32.0]), np.array([1.0, 32.0]), loop=(1.0, 32.0))
    assert (time.apart(1.0, 32.0), time.apart(31.0, 2.0)) == (1.0, -3.0)
    assert abs(time.apart(522.0, 10.0)) > 32.0


def test_what_is_kept_on_purpose_stays_quiet_whatever_the_height():
    first = examined(CLIP, ALL)
    intended = tuple(
        Intended(finding=kept_of(each, first.shot), reason="so") for each in first.shot.findings
    )
    said = Said(intended=intended)
    record = next_pass(first, None, said).record
    for height in (0.9, 0.9, 2.0):
        found = next_pass(examined(CLIP, replace(ALL, height_m=height)), record, said)
        assert found.woken == ()
        record = found.record
    louder = next_pass(examined(clip_of(0.1, head=0.15), replace(ALL, height_m=0.9)), record, said)
    assert {each.finding.part for each in louder.woken} == {"hand.L"}


def test_parts_that_are_taken_for_other_bones_fix_nothing_and_make_nothing_new():
    roles = {name: (name,) for name in CLIP.joints}
    right = replace(CLIP, meta=replace(CLIP.meta, roles=roles))
    swapped = {**roles, "hand.L": ("hand.R",), "hand.R": ("hand.L",)}
    wrong = replace(CLIP, meta=replace(CLIP.meta, roles=swapped))
    one = passed(right, ALL)
    two = passed(wrong, ALL, one)
    assert ids(two) != ids(one)
    assert_nothing_changed(two)
    back = passed(right, ALL, two)
    assert_nothing_changed(back)
    assert ids(back) == ids(one)
