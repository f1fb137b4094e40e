# SPDX-License-Identifier: GPL-3.0-or-later
"""Other choices than in the last pass: what they hide is not fixed, what they tell is not new."""

import json
from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from filmed import filmed

from analysis import Settings
from analysis.meta import Event
from analysis.pass_words import passes_text, since_text
from analysis.passes import Said, next_pass, pass_from_json, pass_to_json
from analysis.pipeline import examine
from tests.passes.edits import cut, later, moved

ALL = Settings(cycle="no", checks=("pop", "hitch", "stomp", "slide"))
STRICT = replace(ALL, tolerance="strict")
NO_POP = replace(ALL, off={"pop": "switched off"})
NOTHING = Said()
JOINT = "hand.L"


def clip_of(size=0.08, *, head=0.0, frames=72):
    """A walk whose left hand leaves its path at frame 31, and whose head does at frame 53."""
    clip = figure(frames=frames)
    positions = clip.positions.copy()
    for name, at, way in ((JOINT, 30, size), ("head", 52, head)):
        positions[:, clip.joints.index(name), 0] += spike(frames, at, way)
    return filmed(replace(clip, positions=positions))


def hit(clip):
    event = Event(frames=(26.0, 36.0), part=JOINT)
    return replace(clip, meta=replace(clip.meta, events=(event,)))


_held = {}


def examined(clip, settings):
    """An examination, made once: the clip is held with it, so that its number stays its own."""
    key = id(clip), repr(settings)
    if key not in _held:
        _held[key] = clip, examine(clip, settings)
    return _held[key][1]


def passed(clip, settings, before=None):
    record = None if before is None else before.record
    if record is not None:  # as the file has it
        record = pass_from_json(json.loads(json.dumps(pass_to_json(record))))
    return next_pass(examined(clip, settings), record, NOTHING)


def ids(outcome):
    return {finding.id for finding in outcome.shot.findings}


def assert_nothing_changed(outcome):
    assert outcome.fixed == ()
    assert not {"new", "back"} & set(outcome.states.values())


CLIP = clip_of()
OTHERS = [
    ("event", hit(CLIP), ALL),
    ("check switched off", CLIP, NO_POP),
    ("space", CLIP, replace(ALL, space="camera")),
    ("tolerance", CLIP, replace(ALL, tolerance="loose")),
    ("stricter", CLIP, STRICT),
    ("stage", CLIP, replace(ALL, stage="blocking")),
    ("stage and tolerance", CLIP, replace(STRICT, stage="blocking")),
    ("house style", CLIP, replace(ALL, style={"pop": 4.0})),
    ("moved and declared", moved(hit(CLIP), 70.0, (2.0, 1.0, 0.0)).clip, ALL),
    ("later and declared", later(hit(CLIP), 0.0).clip, ALL),
]


@pytest.mark.parametrize(
    ("clip", "settings"), [each[1:] for each in OTHERS], ids=[e[0] for e in OTHERS]
)
def test_choices_alone_fix_nothing_and_make_nothing_new(clip, settings):
    one = passed(CLIP, ALL)
    assert any(name.startswith("pop:hand.L") for name in ids(one))
    two = passed(clip, settings, one)
    assert_nothing_changed(two)
    gone, more = ids(one) - ids(two), ids(two) - ids(one)
    assert {each.id for each in two.not_told} == gone
    assert {name for name, state in two.states.items() if state == "told_now"} == more
    assert ("Other choices than last time" in passes_text(two, 0)) == bool(gone or more)
    three = passed(clip, settings, two)  # the same choices again
    assert (three.not_told, three.fixed, set(three.states.values()) - {"unchanged"}) == (
        (),
        (),
        set(),
    )
    four = passed(CLIP, ALL, three)  # and turned back
    assert_nothing_changed(four)
    assert ids(four) == ids(one)
    assert set(four.states.values()) == {"unchanged"}


def test_it_is_told_in_one_sentence():
    two = passed(hit(CLIP), ALL, passed(CLIP, ALL))
    count = len(two.not_told)
    assert count
    told = f"Other choices than last time: {count} {'is' if count == 1 else 'are'} not told now."
    assert passes_text(two, 0) == f"Nothing new or fixed in this pass. {told}"
    back = passed(CLIP, ALL, passed(hit(CLIP), ALL))
    now = [each for each in back.shot.findings if back.states[each.id] == "told_now"]
    assert len(now) == count
    assert since_text(now[0], "told_now", None, None).endswith("it is told only now.")


@pytest.mark.parametrize("settings", [STRICT, replace(ALL, tolerance="loose")])
def test_what_is_mended_under_other_choices_is_fixed(settings):
    clip = clip_of(0.1, head=0.15)
    one = passed(clip, ALL)
    hand = {name for name in ids(one) if name.startswith("pop:hand.L")}
    head = {name for name in ids(one) if name.startswith("pop:head")}
    assert hand
    assert head
    two = passed(clip_of(0.0, head=0.15), settings, one)
    assert {each.id for each in two.fixed} >= hand
    assert not {each.id for each in two.fixed} & head
    assert {two.states[name] for name in head} == {"unchanged"}


def test_a_new_fault_under_other_choices_is_new():
    two = passed(clip_of(head=0.15), STRICT, passed(clip_of(), ALL))
    assert {state for name, state in two.states.items() if name.startswith("pop:head")} == {"new"}


def test_what_was_hidden_and_mended_meanwhile_is_fixed_once_it_is_asked_again():
    one = passed(CLIP, ALL)
    two = passed(hit(CLIP), ALL, one)
    three = passed(hit(clip_of(0.0)), ALL, two)
    assert three.fixed == ()
    four = passed(clip_of(0.0), ALL, three)
    assert {each.id for each in four.fixed} == {each.id for each in two.not_told}


def test_a_longer_range_makes_nothing_new():
    clip = clip_of(head=0.15)
    two = passed(clip, ALL, passed(cut(clip, 0, 32).clip, ALL))
    later_ones = {s for n, s in two.states.items() if n.startswith("pop:head")}
    assert later_ones == {"told_now"}


def test_an_older_record_tells_no_choices_and_is_read():
    data = pass_to_json(passed(CLIP, ALL).record)
    del data["asked"], data["motion"]["prints"]
    before = pass_from_json(json.loads(json.dumps(data)))
    same = next_pass(examined(CLIP, ALL), before, NOTHING)
    assert set(same.states.values()) == {"unchanged"}
    other = next_pass(examined(hit(CLIP), ALL), before, NOTHING)
    assert other.fixed
    assert other.not_told == ()


def test_prints_hold_for_what_was_not_touched_and_for_nothing_else():
    one, two = (passed(clip_of(head=size), ALL).record.motion for size in (0.0, 0.15))
    same = {limb: np.flatnonzero(each != two.prints[limb]) for limb, each in one.prints.items()}
    assert same["head"].tolist() == [52]
    assert not sum(len(each) for limb, each in same.items() if limb != "head")
