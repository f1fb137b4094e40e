# SPDX-License-Identifier: GPL-3.0-or-later
"""From pass to pass: ids that go on, what is new, back and fixed, and what is kept on purpose."""

import json
from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from schema import VALIDATOR

from analysis import Settings, build_report
from analysis.causes.places import place_of
from analysis.errors import PlumblineError
from analysis.passes import (
    Intended,
    Note,
    Said,
    kept_of,
    merge_said,
    next_pass,
    pass_from_json,
    pass_of,
    pass_to_json,
    read_report,
    said_from_json,
    said_to_json,
)
from analysis.passes.times import TimeMap
from analysis.pipeline import examine
from analysis.report import exit_code
from analysis.summary import shot_text, total_text

POP = Settings(cycle="no", checks=("pop",))
NOTHING = Said()
NO_REST = dict.fromkeys(("rest_positions", "rest_rotations", "lengths"))


def popping(*pops, frames=72, **options):
    """A walking figure that pops up on samples, by metres."""
    up = sum((spike(frames, at, size) for at, size in pops), np.zeros(frames))
    clip = figure(frames=frames, shift=np.outer(up, [0, 0, 1]), **options)
    return examine(clip, POP)


def ids(outcome):
    return {finding.id for finding in outcome.shot.findings}


def kept(examination, index=0, reason="He hiccups."):
    finding = examination.shot.findings[index]
    return Said(intended=(Intended(finding=kept_of(finding, examination.shot), reason=reason),))


def test_a_first_pass_has_no_states():
    outcome = next_pass(popping((20, 0.04)), None, NOTHING)
    assert ids(outcome) == {"pop:root:21"}
    assert (outcome.states, outcome.was, outcome.fixed) == ({}, {}, ())


def test_new_fixed_and_back_again():
    one = next_pass(popping((20, 0.04), (50, 0.05)), None, NOTHING)
    two = next_pass(popping((50, 0.04), (60, 0.05)), one.record, NOTHING)
    assert two.states == {"pop:root:51": "unchanged", "pop:root:61": "new"}
    assert two.was["pop:root:51"].amount > two.shot.findings[0].amount
    assert [each.id for each in two.fixed] == ["pop:root:21"]
    three = next_pass(popping((20, 0.04), (50, 0.04)), two.record, NOTHING)
    assert three.states == {"pop:root:21": "back", "pop:root:51": "unchanged"}
    assert [each.id for each in three.fixed] == ["pop:root:61"]


def test_what_cannot_be_seen_is_not_fixed():
    one = next_pass(popping((20, 0.04), (60, 0.05)), None, NOTHING)
    two = next_pass(popping((20, 0.04), frames=40), one.record, NOTHING)
    assert (two.fixed, [each.id for each in two.record.unseen]) == ((), ["pop:root:61"])
    three = next_pass(popping((20, 0.04), (60, 0.05)), two.record, NOTHING)
    assert three.states == {"pop:root:21": "unchanged", "pop:root:61": "unchanged"}


def test_kept_on_purpose_counts_nowhere_until_the_motion_changes():
    one = popping((20, 0.04), (50, 0.05))
    before, said = next_pass(one, None, NOTHING).record, kept(one)
    quiet = next_pass(one, before, said)
    assert [each.intended for each in quiet.shot.findings] == ["He hiccups.", None]
    assert quiet.woken == ()
    major = {each.severity for each in quiet.shot.findings}
    only = replace(quiet.shot, findings=quiet.shot.findings[:1])
    assert major == {"major"}
    assert (exit_code([only], failed=0, fail_on="minor"), total_text([only], [])) == (
        0,
        "1 shot checked, 0 findings (0 major), 1 kept as intended.",
    )
    assert "Intended: He hiccups." in " ".join(shot_text(only).split())
    VALIDATOR.validate(build_report([quiet.shot], POP))
    loud = next_pass(popping((20, 0.06), (50, 0.05)), quiet.record, said)
    assert [each.intended for each in loud.shot.findings] == [None, None]
    assert loud.woken == said.intended


def test_all_of_it_goes_through_json():
    one = popping((20, 0.04), (50, 0.05))
    note = Note(
        id="n1", frame=20, part="hand.L", text="Late?", strokes=(((0.0, 1.0, 2.5), (1.0, 0, 0)),)
    )
    said = replace(kept(one), notes=(note,))
    record = next_pass(popping((50, 0.05)), next_pass(one, None, said).record, said).record
    assert record.fixed
    assert said_from_json(json.loads(json.dumps(said_to_json(said)))) == said
    text = json.dumps(pass_to_json(record))
    assert json.dumps(pass_to_json(pass_from_json(json.loads(text)))) == text


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda data: data.update(fps=0), "at 0 frames a second"),
        (lambda data: data.update(frames=[1]), "2 numbers for frames"),
        (lambda data: data["findings"][0].update(id=""), "finding 1 has no id"),
        (lambda data: data["findings"][0].update(part="tail"), "names a part 'tail'"),
        (lambda data: data["findings"][0].update(amount=float("nan")), "no number for amount"),
    ],
)
def test_what_is_not_ours_is_refused_in_a_sentence(change, told):
    data = pass_to_json(next_pass(popping((20, 0.04)), None, NOTHING).record)
    change(data)
    with pytest.raises(PlumblineError, match=told):
        pass_from_json(data)
    with pytest.raises(PlumblineError, match="no JSON object"):
        said_from_json([])


def test_a_report_is_read_back_as_it_was_written():
    one = popping((20, 0.04), (50, 0.05))
    notes = (Note(id="n1", frame=20, part=None, text="Why?", by="M.", done=True),)
    said = replace(kept(one, reason="He hiccups."), notes=notes)
    shot = next_pass(one, None, said).shot
    report = json.loads(json.dumps(build_report([shot], POP)))
    VALIDATOR.validate(report)
    (read,) = read_report(report)
    assert build_report([read.shot], POP) == report
    assert [each.reason for each in read.said.intended] == ["He hiccups."]
    assert read.said.notes == notes
    again = next_pass(one, pass_of(read.shot), read.said)
    assert set(again.states.values()) == {"unchanged"}
    assert [each.counts for each in again.shot.findings] == [False, True]


def test_a_bone_with_colons_in_its_name_is_told_by_it_after_reading():
    clip = popping((20, 0.04)).basis.clip
    one = {name: getattr(clip, name)[:, :1] for name in ("positions", "rotations")}
    meta = replace(clip.meta, roles={})
    alone = replace(clip, joints=("a:b:c",), parents=np.array([-1]), meta=meta, **one, **NO_REST)
    shot = examine(alone, POP).shot
    (read,) = read_report(json.loads(json.dumps(build_report([shot], POP))))
    assert [each.title for each in read.shot.findings] == ["a:b:c: pop"]
    assert [each.title for each in read.shot.findings] == [each.title for each in shot.findings]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda data: data.update(schema="other/1"), "does not say that it is plumbline/1"),
        (lambda data: data["shots"][0].update(fps="24"), "shot 1 has no number for fps"),
        (lambda data: data["shots"][0]["findings"][0].pop("id"), "finding 1 has no text for id"),
        (lambda data: data["shots"][0].update(notes=[{"id": "a"}]), "note 1 has no number"),
        (
            lambda data: data["shots"][0].update(notes=[{"id": "a", "frame": 1e99, "text": "b"}]),
            "note 1 has no frame that a scene can have",
        ),
    ],
)
def test_what_is_no_report_is_refused_in_a_sentence(change, told):
    data = json.loads(json.dumps(build_report([popping((20, 0.04)).shot], POP)))
    change(data)
    with pytest.raises(PlumblineError, match=told):
        read_report(data)


def test_two_peoples_notes_are_merged_by_their_ids():
    def note(name, text, **more):
        return Note(id=name, frame=3, part=None, text=text, **more)

    ours = Said(notes=(note("a", "Lower", done=True), note("b", "Ease", done=True), note("c", "?")))
    theirs = Said(notes=(note("a", "Lower", by="M."), note("b", "Ease more"), note("d", "Hold")))
    merged = {each.id: each for each in merge_said(ours, theirs).notes}
    assert list(merged) == ["a", "b", "c", "d"]
    assert (merged["a"].done, merged["a"].by) == (True, "M.")
    assert (merged["b"].done, merged["b"].text) == (False, "Ease more")
    assert merge_said(theirs, ours).notes[0].done


def test_an_id_goes_on_in_the_limb_and_the_body_to_mend_is_the_new_one():
    """Half as large, merging may blame what carries it: the id is the old one, the body is not."""
    one = popping((20, 0.04))
    (found,) = one.shot.findings
    lower = replace(found, id="pop:hand.L:21", part="hand.L", body="hand.L")
    before = pass_of(replace(one.shot, findings=(lower,)))
    upper = replace(found, id="pop:forearm.L:21", part="forearm.L", body="forearm.L")
    two = replace(one, shot=replace(one.shot, findings=(upper,)))
    (now,) = next_pass(two, before, NOTHING).shot.findings
    assert (now.id, now.part) == ("pop:hand.L:21", "forearm.L")
    body = place_of(one.basis, now).body
    assert one.basis.bodies[body].part == "forearm.L"
    other = replace(upper, id="pop:foot.L:21", part="foot.L", body="foot.L")
    two = replace(one, shot=replace(one.shot, findings=(other,)))
    assert next_pass(two, before, NOTHING).states == {"pop:foot.L:21": "new"}


def test_a_new_finding_never_has_an_id_that_was_somebody_elses():
    one = popping((20, 0.04))
    (found,) = one.shot.findings
    far = replace(kept_of(found, one.shot), frame=60.0, frames=(60.0, 60.0), mark="")
    before = replace(pass_of(one.shot), findings=(), fixed=(far,))
    outcome = next_pass(one, before, NOTHING)
    assert outcome.states == {"pop:root:21:2": "new"}
    assert [each.id for each in outcome.record.fixed] == ["pop:root:21"]


def test_wider_limits_and_checks_that_are_not_asked_fix_nothing():
    first = next_pass(popping((20, 0.03)), None, NOTHING)
    for settings in (Settings(cycle="no", checks=("hitch",)), replace(POP, tolerance="loose")):
        clip = popping((20, 0.03)).basis.clip
        loose = next_pass(examine(clip, settings), first.record, NOTHING)
        assert (loose.fixed, [each.id for each in loose.record.unseen]) == ((), ["pop:root:21"])
        again = next_pass(popping((20, 0.03)), loose.record, NOTHING)
        assert again.states == {"pop:root:21": "unchanged"}


def test_a_finding_over_the_seam_of_a_loop_is_followed_where_the_loop_starts_elsewhere():
    time = TimeMap(np.array([1.0, 24.0]), np.array([25.0, 48.0]), (1.0, 24.0))
    assert [time.at(frame) for frame in (1.0, 13.0, 24.0)] == [1.0, 13.0, 24.0]
    assert time.apart(24.0, 1.0) == -1.0
    assert time.apart(1.0, 24.0) == 1.0
