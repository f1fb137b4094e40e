# SPDX-License-Identifier: GPL-3.0-or-later
"""What a line told besides itself is not new once it stands in a line of its own."""

import json
from dataclasses import replace

import pytest
from figures import figure, spike
from test_passes_choices import assert_nothing_changed, examined, ids, passed

from analysis import Settings
from analysis.pass_words import passes_text, since_text
from analysis.passes import Said, next_pass, pass_from_json, pass_to_json

POPS = Settings(cycle="no", checks=("pop",))
OWN = "pop:hand.L:31"


def clip_of(*, whole=0.0, hand=0.0, at=30):
    """A walk that jumps as a whole at sample 30, and its left hand by itself at another one."""
    clip = figure(frames=72)
    positions = clip.positions.copy()
    positions[30, :, 0] += whole
    positions[:, clip.joints.index("hand.L"), 0] += spike(72, at, hand)
    return replace(clip, positions=positions)


WHOLE = clip_of(whole=0.08)


def test_what_is_left_of_a_mended_fault_was_part_of_its_line():
    one = passed(WHOLE, POPS)
    (line,) = one.shot.findings
    assert ("pop", "hand.L") in line.also
    two = passed(clip_of(hand=0.05), POPS, one)
    assert {each.id for each in two.fixed} == {line.id}
    assert two.states == {OWN: "unchanged"}
    assert passes_text(two, 0) == "Since the last pass: 1 fixed."
    (left,) = two.shot.findings
    said = since_text(left, "unchanged", two.was.get(OWN), None, part_of=two.part_of[OWN])
    assert said == f"It was there in the last pass, told as part of {line.title}, frame 31."
    mended = passed(clip_of(), POPS, two)
    assert {each.id for each in mended.fixed} == {OWN}


def test_what_becomes_part_of_another_line_is_not_fixed():
    two = passed(clip_of(hand=0.05), POPS)
    again = passed(WHOLE, POPS, two)
    assert again.fixed == ()
    assert again.not_told == ()
    assert OWN not in ids(again)
    same = passed(WHOLE, POPS, again)
    assert_nothing_changed(same)
    back = passed(clip_of(hand=0.05), POPS, same)
    assert back.states == {OWN: "unchanged"}
    all_mended = passed(clip_of(), POPS, same)
    assert OWN in {each.id for each in all_mended.fixed}


@pytest.mark.parametrize(
    "clip", [clip_of(hand=0.12), clip_of(hand=0.05, at=34)], ids=["larger", "another moment"]
)
def test_what_is_larger_or_elsewhere_is_new(clip):
    two = passed(clip, POPS, passed(WHOLE, POPS))
    assert set(two.states.values()) == {"new"}
    assert two.part_of == {}


def test_what_comes_or_goes_beside_a_line_that_tells_the_same_as_before_is_new_or_fixed():
    whole = examined(WHOLE, POPS)
    (own,) = examined(clip_of(hand=0.05), POPS).shot.findings
    both = replace(whole, shot=replace(whole.shot, findings=(*whole.shot.findings, own)))
    two = next_pass(both, passed(WHOLE, POPS).record, Said())
    assert two.states == {"pop:root:31": "unchanged", OWN: "new"}
    three = next_pass(whole, two.record, Said())
    assert {each.id for each in three.fixed} == {OWN}


def test_an_older_record_does_not_know_what_a_line_told_besides():
    data = pass_to_json(passed(WHOLE, POPS).record)
    assert data["findings"][0].pop("besides")
    before = pass_from_json(json.loads(json.dumps(data)))
    found = next_pass(examined(clip_of(hand=0.05), POPS), before, Said())
    assert found.states == {OWN: "new"}
