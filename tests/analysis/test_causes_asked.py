# SPDX-License-Identifier: GPL-3.0-or-later
"""What makes this, here? Answered for a part and a frame at which no check finds anything."""

from dataclasses import replace

import numpy as np
import pytest

from analysis import PlumblineError, Settings
from analysis.cause_words import asked_text
from analysis.causes.question import ask, asked_outcome, followed_body, weigh_asked
from analysis.keys import smoothed, values_at
from analysis.pipeline import examine
from analysis.trials import Posed
from tests.analysis.arcs_keyed import carried

STEP, AT = 4, 6
FRAME = STEP * AT + 1.0
ROUND = np.radians(45.0 * np.arange(13))
CIRCLE = 0.5 * np.stack((np.cos(ROUND), np.sin(ROUND), 0.0 * ROUND), axis=-1)


def examined(off_m=0.05, at=AT, **meta):
    """A stiff figure that its control carries round, one key off its circle."""
    places = CIRCLE.copy()
    places[at, 2] += off_m
    clip = carried(places, frames=STEP * np.arange(len(places)), **meta)
    curves = tuple(smoothed(each, range(len(each.frames))) for each in clip.meta.curves)
    values = np.stack([values_at(each, clip.frames) for each in curves], axis=-1)
    away = values - clip.channel_values  # of curves that are played as Blender does
    matrices = clip.control_matrices.copy()
    matrices[:, 0, :3, 3] += away
    clip = replace(
        clip,
        positions=clip.positions + away[:, None],
        control_matrices=matrices,
        channel_values=values,
        meta=replace(clip.meta, curves=curves),
    )
    return examine(clip, Settings(checks=("pop",), cycle="no"))


def answered(examination, plan):
    """Trials answered by a rig whose joints all go where its control goes."""
    clip, outcomes = examination.basis.clip, []
    for trial in plan.trials:
        columns = [clip.channels.index(name) for name in trial.channels]
        away = trial.values - clip.channel_values[np.ix_(trial.samples, columns)]
        axes = ["xyz".index(name[-1]) for name in trial.channels]
        moved = np.zeros((len(trial.samples), 3))
        moved[:, axes] = away
        posed = Posed(
            samples=trial.samples,
            joints=np.arange(len(clip.joints)),
            positions=clip.positions[trial.samples] + moved[:, None],
            rotations=clip.rotations[trial.samples],
        )
        outcomes.append(asked_outcome(examination, trial, posed))
    return outcomes


def causes_of(examination, joint="head", frame=FRAME):
    plan = ask(examination, joint, frame, frame)
    return weigh_asked(examination, plan, answered(examination, plan))


@pytest.mark.parametrize("beside", [-2, 0, 2])
def test_the_key_is_named_where_no_check_found_anything(beside):
    examination = examined()
    assert examination.shot.findings == ()
    first, *rest = causes_of(examination, frame=FRAME + beside)
    assert (first.control, first.channel, first.frame) == ("body", "location", FRAME)
    assert first.share > 0.5
    assert sum(each.share for each in (first, *rest)) == pytest.approx(1.0)
    assert examination.shot.findings == ()


def test_what_is_suggested_brings_the_key_nearer_to_its_circle():
    (edit,) = [e for e in causes_of(examined())[0].edits if e.channel == "location.z"]
    assert edit.before == pytest.approx(0.05)
    assert abs(edit.after) < 0.3 * edit.before


def test_of_a_shot_without_a_fault_hardly_anything_is_blamed():
    causes = causes_of(examined(off_m=0.0))
    assert causes[-1].control is None
    assert causes[-1].share > 0.5


def test_without_a_rig_that_answers_the_curves_do():
    examination = examined()
    plan = ask(examination, "head", FRAME, FRAME)
    first = weigh_asked(examination, plan, [None] * len(plan.trials))[0]
    assert (first.control, first.frame) == ("body", FRAME)


def test_a_clip_without_curves_tells_the_joint():
    examination = examined()
    clip = examination.basis.clip
    bare = replace(clip, meta=replace(clip.meta, curves=()))
    again = examine(bare, Settings(checks=("pop",), cycle="no"))
    plan = ask(again, "head", FRAME, FRAME)
    assert plan.trials == ()
    causes = weigh_asked(again, plan, [])
    assert all(each.action is None for each in causes)
    assert sum(each.share for each in causes) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("joint", "frames", "told"),
    [
        ("tail", (FRAME, FRAME), "'tail' is not followed"),
        ("head", (300.0, 301.0), "frames 300 to 301 are not in the shot"),
        ("head", (FRAME, FRAME - 1.0), "are not in the shot"),
    ],
)
def test_what_cannot_be_asked_is_told_in_one_sentence(joint, frames, told):
    with pytest.raises(PlumblineError, match=told):
        ask(examined(), joint, *frames)


def test_a_control_is_asked_about_by_what_goes_along_with_it_first():
    shares = {"hand.L": (1.0, 1.0), "forearm.L": (0.5, 0.4)}
    basis = examined(carried={"body": shares}).basis
    assert followed_body(basis, "forearm.L").name == "forearm.L"  # itself
    assert followed_body(basis, "body").part == "hand.L"
    assert followed_body(basis, "finger.L", ["palm.L", "hand.L", "root"]).part == "hand.L"
    assert followed_body(basis, "lamp", ["stand"]) is None
    assert followed_body(basis, "idle.L", ["root"]) is None  # the root is above everything
    assert followed_body(examined().basis, "body").part == "root"  # all go along: what leads


def test_what_was_asked_about_is_told_as_it_is_called():
    basis = examined().basis
    hand = basis.bodies[basis.body("hand.L")]
    assert asked_text(hand, 34.0) == "left hand, frame 34"
    assert (
        asked_text(replace(hand, part=None, name="DEF-hand.L"), 34.5) == "DEF-hand.L, frame 34.50"
    )
