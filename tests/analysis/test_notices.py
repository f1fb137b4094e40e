# SPDX-License-Identifier: GPL-3.0-or-later
"""What was declared and is of no use to a check is said where warnings go, and stops nothing."""

import json
from dataclasses import replace

import pytest
from blades import swinging
from command_line import one_sentence, run
from figures import figure
from pictures import shot, standing
from schema import VALIDATOR

from analysis import Event, Settings, check_clip, save_clip
from analysis.notices import UNREAD_EVENTS

ONCE = Settings(cycle="no", checks=("pop",))


def told(clip, **meta):
    return check_clip(replace(clip, meta=replace(clip.meta, **meta)), ONCE).notices


def event(first, last, part=None, kind="hit"):
    return Event(frames=(float(first), float(last)), part=part, kind=kind)


def test_nothing_is_said_of_what_is_used():
    clip = swinging(lag_s=0.0)
    (prop,) = clip.meta.props
    assert prop.held_by
    events = (event(3, 4, prop.held_by), event(10, 12), event(5, 5, "prop.1", "load"))
    assert told(clip, events=events) == ()


def style(*events, checks=("pop",)):
    clip = figure()
    meta = replace(clip.meta, events=events)
    return check_clip(replace(clip, meta=meta), replace(ONCE, checks=checks)).style


def test_the_report_says_what_was_excused():
    hit, all_ = event(3, 4, "foot.L"), event(10, 12, kind="freeze")
    assert style(hit) == (
        "What comes of the declared event (hit, frames 3 to 4, left foot) is not blamed.",
    )
    assert style(hit, hit) == style(hit)
    assert style(hit, all_) == (
        "What comes of the declared events (hit, frames 3 to 4, left foot), (freeze, frames 10 to "
        "12, whole body) is not blamed.",
    )
    (many,) = style(*(event(n, n, "head") for n in range(3, 8)))
    assert many.endswith("(hit, frame 5, head) and 2 others is not blamed.")


def test_what_excuses_nothing_is_not_said_to_excuse():
    assert style() == style(event(900, 950)) == style(event(3, 4, "toe.L")) == ()


def test_events_outside_of_the_checked_frames_are_one_sentence():
    (one,) = told(figure(), events=(event(900, 950, "foot.R"), event(3, 4)))
    assert one == (
        "The declared event (hit, frames 900 to 950, right foot) lies outside of what was "
        "checked, expected frames from 1 to 48: nothing is excused by it; correct its frames, or "
        "check the range that holds them."
    )
    (many,) = told(figure(), events=tuple(event(100 + n, 100 + n) for n in range(5)))
    assert many.startswith("The declared events (hit, frame 100, whole body), ")
    assert "(hit, frame 102, whole body) and 2 others lie outside" in many


@pytest.mark.parametrize(("frames", "count"), [((-9, 0), 0), ((-9, -1), 1), ((49, 60), 0)])
def test_an_event_reaches_a_frame_beyond_its_own(frames, count):
    assert len(told(figure(), events=(event(*frames),))) == count


@pytest.mark.parametrize("part", ["toe.L", "spine.9", "prop.1", "camera"])
def test_an_event_on_a_part_that_is_not_there(part):
    (one,) = told(figure(name="porter"), events=(event(3, 4, part),))
    assert f"is on {part}, which porter does not have, expected one of its parts: " in one
    assert one.endswith("nothing is excused by it; name one of them.")


def test_no_part_can_be_named_where_none_is_known():
    posts = replace(figure(), joints=tuple(f"j{n}" for n in range(len(figure().joints))))
    (one,) = told(posts, roles={"mover": ("j0",)}, events=(event(3, 4, "foot.L"),))
    assert "expected none, since none of its parts is known: nothing is excused by it; " in one
    assert one.endswith("leave the part out, for the whole figure.")


def test_an_event_on_a_camera_that_is_there_is_used():
    clip = standing()
    assert told(shot(clip).seen(clip), events=(event(3, 4, "camera"),)) == ()


@pytest.mark.parametrize("holder", ["tail", "hand.left", "toe.R"])
def test_a_prop_held_by_no_part_of_the_clip(holder):
    clip = swinging(lag_s=0.0)
    props = (replace(clip.meta.props[0], held_by=holder),)
    (sentence,) = told(clip, props=props)
    assert f"{props[0].name!r} is held by {holder!r}, which " in sentence
    assert "expected one of its parts, such as hand." in sentence
    assert "name the part that holds it." in sentence
    assert told(clip, props=(replace(props[0], held_by=None),)) == ()


def test_a_key_of_the_meta_that_is_misspelt_is_told_and_others_are_let_be():
    (one,) = told(figure(), extra={"hight_m": 1.75, "shot": "a12"})
    assert one == (
        "meta has the key 'hight_m', expected 'height_m': it is not read; rename it, or leave it "
        "where it is a note of your own."
    )
    assert told(figure(), extra={"hight_m": 1.75}, height_m=1.7) == ()


@pytest.mark.parametrize(
    ("left", "expected"),
    [(["Entry 1 is none."], ("Entry 1 is none.",)), ([3, "so"], ("so",)), ("text", ()), (7, ())],
)
def test_what_the_sampler_could_not_read_comes_with_the_clip(left, expected):
    assert told(figure(), extra={UNREAD_EVENTS: left}) == expected


def test_the_command_line_says_so_on_standard_error_and_checks_all_the_same(tmp_path):
    clip = figure(name="porter", events=(event(900, 950, "foot.R"),))
    place, report = tmp_path / "shot.npz", tmp_path / "out.json"
    save_clip(place, clip)
    result = run("check", place, "--cycle", "no", "--json", report)
    assert result.returncode == 0
    line = one_sentence(result)
    assert line.startswith(f"python -m analysis: {place}, porter: The declared event (hit, ")
    assert "1 shot checked" in result.stdout
    written = json.loads(report.read_text("utf-8"))
    VALIDATOR.validate(written)
    assert "declared event" not in report.read_text("utf-8")
    assert run("check", place, "--cycle", "no", "--range", "5", "40").returncode == 0
