# SPDX-License-Identifier: GPL-3.0-or-later
"""New key values as they are typed; turns are compared with scipy's."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from analysis.cause import Cause, KeyEdit
from analysis.causes.advice import key_advice, with_advice
from analysis.causes.edit_words import held_text, turn_text, values_text
from analysis.evidence import Suggestion
from analysis.finding import Finding

MOVED = Cause(
    control="hand_ik.R",
    channel="location",
    share=0.9,
    why="",
    frame=23.0,
    action_frame=23.0,
    mend="move",
    takes=0.9,
)


def edits_of(channel, before, after, names="xyz"):
    return tuple(
        KeyEdit(control="hand_ik.R", channel=f"{channel}.{n}", frame=23.0, before=b, after=a)
        for n, b, a in zip(names, before, after, strict=True)
    )


def turned(before, turn):
    """The edits of a quaternion's key that is turned about its own axes."""
    told = [
        (each.as_quat()[[3, 0, 1, 2]] * sign).tolist()
        for each, sign in ((before, 1.0), (before * turn, -1.0))
    ]
    return edits_of("rotation_quaternion", *told, names="wxyz")


def test_what_shows_in_no_pose_is_not_said():
    edits = edits_of("location", (0.0, 0.08082, -0.2331), (-0.04079, 0.08077, -0.2317))
    assert values_text(edits) == "x 0 to -0.041"
    assert values_text(edits_of("location", (0.16, 1.0, 0.0), (0.257, 0.8, 0.03))) == (
        "x 0.16 to 0.257, y 1 to 0.8, z 0 to 0.03"
    )
    assert values_text(edits_of("location", (1e-5,) * 3, (2e-5,) * 3)) == ""
    assert values_text(()) == ""


def test_angles_are_said_in_tenths_of_a_degree():
    edits = edits_of("rotation_euler", (15.9381, 6.0, -0.04), (0.7764, 5.988, 4.0))
    assert values_text(edits) == "x 15.9 to 0.8, z 0 to 4 degrees"


def test_keys_that_are_held_are_told_with_what_they_hold():
    first = edits_of("location", (0.1, 0.2, 0.3), (0.1, 0.25, 0.3))
    later = [replace(each, frame=27.0, before=0.0, after=each.after) for each in first]
    assert held_text((*first, *later)) == "on its 2 keys from frame 23 to 27: x 0.1, y 0.25, z 0.3"
    assert held_text(first) == ""
    cause = replace(MOVED, edits=(first[1], later[1]))
    assert key_advice(cause) == (
        "Hold hand_ik.R's location on its 2 keys from frame 23 to 27: y 0.25."
    )


def test_a_stand_is_told_with_all_that_shows_and_a_quaternion_whole():
    first = edits_of("location", (0.0, 0.0, 0.3), (0.5, 0.01, 0.30001))
    later = [replace(each, frame=27.0) for each in first]
    assert held_text((*first, *later)) == "on its 2 keys from frame 23 to 27: x 0.5, y 0.01"
    first = edits_of("rotation_quaternion", (1, 0, 0, 0), (0.8, 0.6, 0, 0), names="wxyz")
    later = [replace(each, frame=27.0) for each in first]
    told = held_text((*first, *later))
    assert told.startswith("on its 2 keys from frame 23 to 27: ")
    assert told.endswith(": w 0.8, x 0.6, y 0, z 0")


def test_a_turn_is_told_about_the_axis_it_goes_about():
    before = Rotation.from_euler("XYZ", (70.0, -20.0, 130.0), degrees=True)
    edits = turned(before, Rotation.from_euler("y", 27.4, degrees=True))
    assert turn_text(edits) == "27.4 degrees about its own y axis"
    assert key_advice(replace(MOVED, channel="rotation_quaternion", edits=edits)) == (
        "Turn hand_ik.R on frame 23 by 27.4 degrees about its own y axis."
    )
    assert turn_text(edits[:3]) == ""
    assert turn_text(turned(before, Rotation.identity())) == ""


@pytest.mark.parametrize("seed", range(5))
def test_turns_in_the_order_told_give_the_pose(seed):
    rng = np.random.default_rng(seed)
    before, turn = Rotation.random(random_state=rng), rng.uniform(15.0, 60.0, 3)
    told = turn_text(turned(before, Rotation.from_euler("XYZ", turn, degrees=True)))
    assert told == (
        f"x by {turn[0]:.1f}, then y by {turn[1]:.1f}, then z by {turn[2]:.1f} degrees, "
        "about its own axes"
    )


def advised(advice, **changes):
    """What a finding is advised to do, with a cause that differs by `changes`."""
    edits = edits_of("location", (0.0, 0.5, 0.2), (0.1, 0.5, 0.2))
    found = Finding(
        **dict.fromkeys(("id", "mark", "point", "space", "unit", "says"), ""),
        check="pop",
        part="hand.R",
        frames=(23.0, 23.0),
        peak_frame=23.0,
        severity="major",
        amount=2.0,
        limit=1.0,
        suggestion=Suggestion(advice) if isinstance(advice, str) else advice,
        causes=(replace(MOVED, edits=edits, **changes),),
    )
    suggestion = with_advice(found).suggestion
    return suggestion and suggestion.text


def test_the_key_s_values_follow_what_the_check_advises():
    said = "Change hand_ik.R's location key on frame 23: x 0 to 0.1."
    assert advised("Bring it up.") == f"Bring it up. {said}"
    assert advised(None) == said


@pytest.mark.parametrize("changes", [{"share": 0.2}, {"takes": 0.4}, {"mend": ""}])
def test_a_mend_that_does_not_take_the_finding_is_not_advised(changes):
    assert advised("Bring it up.", **changes) == "Bring it up."


@pytest.mark.parametrize(("asked", "joined"), [(0.1, "Change"), (0.3, "Or change")])
def test_another_way_than_the_check_s_is_told_as_one(asked, joined):
    advice = Suggestion("Move it up.", offset=np.array([0.0, 0.0, asked]))
    assert f"Move it up. {joined} hand_ik.R" in advised(advice)


def test_smooth_handles_are_not_advised_twice():
    told = "Give the keys of hand_ik.R at frames 20 and 25 smooth handles."
    assert advised(told, mend="smooth") == told
    other = told.replace("hand_ik.R", "chest")
    own = "Give hand_ik.R's location key on frame 23 smooth handles."
    assert advised(other, mend="smooth") == f"{other} {own}"
