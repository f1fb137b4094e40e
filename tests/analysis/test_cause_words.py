# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes as they are read on a terminal and in the check JSON."""

import json
from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from schema import VALIDATOR

from analysis import Settings, build_report, check_clip, dump_report
from analysis.cause import NO_JOINT, Cause, KeyEdit
from analysis.cause_words import cause_text, told_causes
from analysis.summary import shot_text

SETTINGS = Settings(cycle="yes")
LINEAR = Cause(
    control="torso",
    channel="location",
    share=0.724,
    why="linear key: enters at 3.1 cm a frame, leaves at 0.4",
    data_path='pose.bones["torso"].location',
    action="walk",
    frame=20.0,
    action_frame=12.5,
    mend="smooth",
    edits=(KeyEdit(control="torso", channel="location.z", frame=20.0, before=0.031, after=0.0004),),
)
OPEN = Cause(control=None, channel=None, share=0.276, why="two keys or more play together")


def explained_shot():
    """A shot of two findings, of which the second goes with the first one's cause."""
    shift = np.outer(spike(49, 20, 0.03), [0, 0, 1])
    shot = check_clip(figure(frames=49, shift=shift), SETTINGS, file="walk.npz")
    first, second = shot.findings
    first = replace(first, causes=(LINEAR, OPEN), clears=(second.id,))
    second = replace(second, causes=(LINEAR,), clears=(first.id,), after=first.id)
    return replace(shot, findings=(first, second))


def test_a_cause_is_one_sentence():
    told = "torso, location, key 20 (72 %): linear key: enters at 3.1 cm a frame, leaves at 0.4"
    assert cause_text(LINEAR) == told
    assert cause_text(OPEN) == "No single key explains the rest (28 %)"
    assert cause_text(replace(OPEN, share=1.0)) == (
        "No single key explains it: several may make it together"
    )
    assert cause_text(replace(OPEN, why=NO_JOINT)) == "No single joint explains the rest (28 %)"
    joint = replace(LINEAR, channel=None, frame=None, why="", control="hand.L")
    assert cause_text(joint) == "hand.L (72 %)"


@pytest.mark.parametrize(
    ("channel", "told"),
    [
        ("rotation_quaternion", "rotation"),
        ("rotation_euler.x", "x rotation"),
        ('["IK_FK"]', "IK_FK"),
        ('constraints["IK"].influence', "influence of IK"),
        ("location.x", "location.x"),
    ],
)
def test_a_channel_is_named_as_people_say_it(channel, told):
    assert replace(LINEAR, channel=channel).title == f"torso, {told}, key 20"
    assert replace(LINEAR, channel=channel).to_json()["channel"] == channel


def test_three_causes_are_read_and_last_what_no_key_explains():
    causes = (LINEAR, OPEN, *(replace(LINEAR, frame=float(n)) for n in (21, 22, 23)))
    assert [cause.frame for cause in told_causes(causes)] == [20.0, 21.0, 22.0, None]
    assert told_causes((replace(LINEAR, share=0.04), OPEN)) == (OPEN,)
    assert told_causes((LINEAR, replace(OPEN, share=0.04))) == (LINEAR,)


def test_the_terminal_shows_the_first_cause_what_it_clears_and_what_goes_with_it():
    lines = [line.strip() for line in shot_text(explained_shot(), width=200).splitlines()]
    cause = f"cause   {cause_text(LINEAR)}"
    assert [line for line in lines if line.startswith("cause")] == [cause, cause]
    assert [line for line in lines if "lines go" in line] == [
        "Mend torso, frame 20: 2 of 2 lines go."
    ]
    assert "It goes once torso, frame 20, is mended." in lines
    assert not [line for line in lines if "No single key" in line]


def test_without_causes_nothing_of_them_is_told():
    shot = explained_shot()
    bare = [replace(f, causes=(), clears=(), after=None) for f in shot.findings]
    text = shot_text(replace(shot, findings=tuple(bare)), width=200)
    assert "cause" not in text
    assert "lines go" not in text


def test_the_report_carries_causes_as_its_schema_says():
    report = json.loads(dump_report(build_report([explained_shot()], SETTINGS)))
    VALIDATOR.validate(report)
    first, second = report["shots"][0]["findings"]
    assert first["causes"][0]["frame"] == 20
    assert first["causes"][0]["action_frame"] == 12.5
    assert first["causes"][0]["share"] == 0.72
    assert first["causes"][1]["control"] is None
    assert first["clears"] == [second["id"]]
    assert second["after"] == first["id"]
    broken = json.loads(json.dumps(report))
    broken["shots"][0]["findings"][0]["causes"][0]["share"] = 1.5
    assert not VALIDATOR.is_valid(broken)
