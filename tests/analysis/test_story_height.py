# SPDX-License-Identifier: GPL-3.0-or-later
"""The story's height: told in three ways, and what is said where nobody told it."""

import json
from dataclasses import replace

import pytest
from command_line import run
from walker import hop

from analysis import Settings, check_clip, save_clip
from analysis.basis import build_basis
from analysis.basis.height import SAY_HEIGHT

FALL = Settings(cycle="no", checks=("gravity",))
TALL_M = 1.78
TOLD_M = 1.6
# What is told in story metres, of everything that a hop's measures hold.
LENGTHS = ("root_travel_m", "root_rise_m", "com_rise_m", "com_speed_m_s", "fall_m_s2")


def told(scale, height_m):
    return check_clip(hop(scale=scale, tuck=0.0), replace(FALL, height_m=height_m))


def test_a_figure_of_ten_times_its_size_is_told_as_the_story_has_it():
    plain, large = told(1.0, TALL_M), told(10.0, TALL_M)
    assert large.height_m == plain.height_m == TALL_M
    for name in LENGTHS:
        assert large.measures[name] == pytest.approx(plain.measures[name], rel=1e-6)
    assert large.measures["fall_m_s2"] == pytest.approx(9.80665, rel=0.02)
    assert large.good == plain.good == ("1 flight at 9.8 m/s2: gravity gives 9.8.",)


def test_what_is_said_of_the_clip_counts_as_what_is_asked():
    stated = check_clip(hop(scale=10.0, tuck=0.0, height_m=TALL_M), FALL)
    assert stated.height_m == TALL_M
    for name in LENGTHS:
        assert stated.measures[name] == pytest.approx(told(10.0, TALL_M).measures[name])


def test_the_command_line_tells_it(tmp_path):
    clip = save_clip(tmp_path / "hop.npz", hop(scale=10.0, tuck=0.0))
    report = tmp_path / "out.json"
    run("check", clip, "--cycle", "no", "--height", TALL_M, "--json", report)
    (shot,) = json.loads(report.read_text())["shots"]
    assert shot["height_m"] == TALL_M
    assert shot["measures"]["fall_m_s2"] == pytest.approx(9.80665, rel=1e-4)


def test_a_shorter_one_falls_as_a_shorter_one():
    """The same motion of a child of .9 times the height is a fall at .9 times gravity."""
    share = TOLD_M / TALL_M
    measured = told(1.0, TOLD_M).measures["fall_m_s2"]
    assert measured == pytest.approx(share * told(1.0, TALL_M).measures["fall_m_s2"])


@pytest.mark.parametrize(
    ("scale", "says"),
    [(10.0, "17.80 m"), (0.01, "1.8 cm"), (1e-5, "less than 1 mm"), (1.0, ""), (0.7, "")],
)
def test_one_sentence_says_that_the_size_is_not_known(scale, says):
    """1.25 m is a person's height; what is asked or stated is believed."""
    why = build_basis(hop(scale=scale), FALL).height.why_no_scale
    if not says:
        assert why == ""
        return
    assert why == (
        f"the figure is {says} tall in the scene, expected 1.2 to 2.2 m, so how fast it should "
        "fall is not known: say how tall it is in the story, in metres (Height in the panel, "
        "--height)"
    )
    assert build_basis(hop(scale=scale), replace(FALL, height_m=1.7)).height.why_no_scale == ""
    assert build_basis(hop(scale=scale, height_m=1.7), FALL).height.why_no_scale == ""


def test_gravity_says_it_of_falls_without_a_flight():
    crouch = hop(scale=10.0).cut(1, 13)
    told_why = dict(check_clip(crouch, FALL).skipped)["gravity"]
    assert told_why.startswith("nothing leaves the ground in this range; the figure is 17.80 m")
    known = dict(check_clip(crouch, replace(FALL, height_m=1.7)).skipped)["gravity"]
    assert known == "nothing leaves the ground in this range"


def test_gravity_says_what_to_do_about_a_flight_alone():
    alone = dict(check_clip(hop(scale=10.0, tuck=0.0), FALL).skipped)["gravity"]
    assert alone.endswith("one flight alone tells nothing: " + SAY_HEIGHT)
