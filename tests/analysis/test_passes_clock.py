# SPDX-License-Identifier: GPL-3.0-or-later
"""Another frame rate or time that is remapped: what that alone does is neither fixed nor new."""

import json
from dataclasses import replace

import pytest
from figures import spike
from test_passes_choices import assert_nothing_changed, clip_of, examined, ids, passed

from analysis import Settings
from analysis.curves import Curve
from analysis.note import Note
from analysis.pass_words import passes_text, since_text
from analysis.passes import Intended, Said, kept_of, next_pass, pass_from_json, pass_to_json
from tests.passes.edits import bare, resampled

EVERY = Settings(cycle="no", checks=("pop", "slide", "hard_stop"))
POPS = replace(EVERY, checks=("pop",))
FRAMES = 72
# Frames a second, and scene frames for one frame of animation.
RATES = [(8.0, 1.0), (12.0, 1.0)]
REMAPPED = [(24.0, 1.25), (24.0, 0.8), (24.0, 1.04)]
# A pop of the hand that is as large as it must be to be told at 24 frames a second.
SMALL = 0.04


def played(size=0.08, head=0.0, *, fps=24.0, stretch=1.0):
    """The walk whose left hand and head are keyed off their paths, as another clock plays it."""
    clip = bare(clip_of(size, head=head, frames=FRAMES))
    keys = tuple(range(1, FRAMES + 1))
    curves = tuple(
        Curve(
            control=joint,
            channel="location.x",
            data_path=f'pose.bones["{joint}"].location',
            index=0,
            action="walk",
            strip=None,
            frames=tuple(stretch * key for key in keys),
            action_frames=tuple(map(float, keys)),
            values=tuple(spike(FRAMES, at, way)),
            interpolation=("LINEAR",) * FRAMES,
            handle_left=tuple((float(key), 0.0) for key in keys),
            handle_right=tuple((float(key), 0.0) for key in keys),
            handle_types=(("AUTO", "AUTO"),) * FRAMES,
            key_types=("KEYFRAME",) * FRAMES,
            drives=(joint,),
            time_scale=stretch,
        )
        for joint, at, way in (("hand.L", 30, size), ("head", 52, head))
    )
    clip = resampled(clip, clip.frames / stretch - 1.0, clip.frames, fps=fps)
    extra = {} if stretch == 1.0 else {"time_stretch": [stretch]}
    return replace(clip, meta=replace(clip.meta, curves=curves, extra=extra))


def of(part, names):
    return {name for name in names if name.startswith(f"pop:{part}")}


@pytest.mark.parametrize(("fps", "stretch"), RATES + REMAPPED)
def test_another_clock_alone_fixes_nothing_and_makes_nothing_new(fps, stretch):
    clip = played(SMALL, head=0.15)
    other = played(SMALL, head=0.15, fps=fps, stretch=stretch)
    one = passed(clip, EVERY)
    two = passed(other, EVERY, one)
    assert_nothing_changed(two)
    gone, more = ids(one) - ids(two), ids(two) - ids(one)
    assert gone == of("hand.L", ids(one))
    assert gone
    assert {each.id for each in two.not_told} == gone
    assert {name for name, state in two.states.items() if state == "told_now"} == more
    three = passed(other, EVERY, two)  # the same again
    assert_nothing_changed(three)
    assert three.not_told == ()
    four = passed(clip, EVERY, three)  # and turned back
    assert_nothing_changed(four)
    assert ids(four) == ids(one)
    assert set(four.states.values()) == {"unchanged"}


@pytest.mark.parametrize(("fps", "stretch"), [(30.0, 1.0), (24.0, 1.25), (24.0, 0.8), (30.0, 1.25)])
def test_what_is_mended_or_broken_under_another_clock_is_told(fps, stretch):
    one = passed(played(0.08, 0.15), EVERY)
    two = passed(played(0.0, 0.15, fps=fps, stretch=stretch), EVERY, one)
    assert {each.id for each in two.fixed} == of("hand.L", ids(one))
    assert two.fixed
    head = of("head", ids(one))
    assert {two.states.get(name) for name in head} == {"unchanged"}
    broken = passed(played(0.08, 0.15, fps=fps, stretch=stretch), EVERY, passed(played(), EVERY))
    assert {broken.states[name] for name in of("head", ids(broken))} == {"new"}


@pytest.mark.parametrize(
    ("clock", "settings", "words"),
    [
        ({"fps": 12.0}, POPS, "Another frame rate than last time"),
        ({"stretch": 1.25}, POPS, "Another time remapping than last time"),
        (
            {"fps": 23.976, "stretch": 1.25},
            POPS,
            "Another frame rate and time remapping than last time",
        ),
        ({"stretch": 1.25}, replace(POPS, tolerance="loose"), "Other choices than last time"),
    ],
)
def test_the_clock_is_named_where_it_alone_is_another_one(clock, settings, words):
    there, here = played(SMALL, head=0.15), played(SMALL, head=0.15, **clock)
    one = passed(there, POPS)
    two = passed(here, settings, one)
    count = len(two.not_told)
    assert count
    told = f"{words}: {count} {'is' if count == 1 else 'are'} not told now."
    assert passes_text(two, 0) == f"Nothing new or fixed in this pass. {told}"
    back = passed(there, POPS, passed(here, settings))
    (now,) = (f for f in back.shot.findings if f.id in of("hand.L", ids(back)))
    said = since_text(now, back.states[now.id], None, None, clock=back.clock)
    assert said == f"{words}: it is told only now."


@pytest.mark.parametrize("fps", [25.0, 30.0, 12.0])
def test_what_is_kept_on_purpose_wakes_by_its_motion_and_not_by_the_frame_rate(fps):
    first = examined(played(0.08, 0.15), POPS)
    kept = [kept_of(finding, first.shot) for finding in first.shot.findings]
    said = Said(intended=tuple(Intended(finding=each, reason="so") for each in kept))
    before = next_pass(first, None, said).record
    assert len(said.intended) > 1
    for rate in (28.0, fps, 24.0):
        outcome = next_pass(examined(played(0.08, 0.15, fps=rate), POPS), before, said)
        assert outcome.woken == ()
        assert {f.intended for f in outcome.shot.findings if f.id in ids_of(said)} == {"so"}
        before = outcome.record
    bent = next_pass(examined(played(0.13, 0.15, fps=fps), POPS), before, said)
    assert {each.finding.id for each in bent.woken} == of("hand.L", ids_of(said))


def test_what_lies_beyond_a_range_that_time_was_stretched_out_of_comes_back():
    note = Note(id="note:1", frame=52.0, part="head", text="this one")
    said = Said(notes=(note,))
    one = next_pass(examined(played(0.08, 0.15), POPS), None, said)
    two = next_pass(examined(played(0.08, 0.15, stretch=2.0), POPS), one.record, said)
    assert two.note_frames == {"note:1": 104.0}
    three = next_pass(examined(played(0.08, 0.15), POPS), two.record, said)
    assert three.note_frames == {"note:1": 52.0}
    assert ids(three) == ids(one)
    assert of("head", ids(one))


def ids_of(said):
    return {each.finding.id for each in said.intended}


def test_an_older_record_that_says_nothing_of_keys_is_read():
    data = pass_to_json(passed(played(), EVERY).record)
    assert data["motion"].pop("keyed")
    before = pass_from_json(json.loads(json.dumps(data)))
    same = next_pass(examined(played(), EVERY), before, Said())
    assert set(same.states.values()) == {"unchanged"}
    assert same.clock == ""
