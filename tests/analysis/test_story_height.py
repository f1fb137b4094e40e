# SPDX-License-Identifier: GPL-3.0-or-later
"""The story's height: told in three ways, and what is said where nobody told it."""

import json
from dataclasses import replace

import numpy as np
import pytest
from command_line import run
from test_push import topple
from walker import ANKLE, hop, steer

from analysis import ClipError, Settings, SettingsError, check_clip, save_clip
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


FORCES = ("hang_time", "gravity", "push", "carry", "balance")


def leaning(scale):
    """It leans 28 cm ahead of its ankles for two seconds, on both feet."""
    root = np.tile([0.0, -0.28, 0.84], (48, 1))
    root[:, 0] += 0.01 * np.sin(np.arange(48) / 8.0)
    ankles = {side: np.tile([x, 0.0, ANKLE], (48, 1)) for side, x in (("L", 0.1), ("R", -0.1))}
    return steer(root, ankles, 24.0, scale=scale)


# Each with a scale, of which it is one motion.
SCENES = {
    "pushed as it topples": lambda scale: topple(1.2, scale=scale),
    "falls too fast": lambda scale: hop(gravity=2.4 * 9.80665, tuck=0.0, scale=scale),
    "goes further than it is pushed off": lambda scale: hop(distance=0.9, tuck=0.0, scale=scale),
    "leans out": leaning,
}


@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_forces_are_told_alike_at_any_size_of_the_model(scene, scale):
    asked = Settings(cycle="no", checks=FORCES, height_m=TALL_M)
    plain, other = (check_clip(SCENES[scene](size), asked) for size in (1.0, scale))
    assert plain.findings
    assert [finding.says for finding in other.findings] == [each.says for each in plain.findings]
    assert other.good == plain.good
    assert other.skipped == plain.skipped
    for one, two in zip(plain.findings, other.findings, strict=True):
        assert two.amount == pytest.approx(one.amount, rel=1e-6)
        assert two.suggestion.text == one.suggestion.text


@pytest.mark.parametrize(
    ("height_m", "mend"),
    [
        (175.0, "if centimetres are meant, say 1.75"),
        (0.0005, "in the story"),
        (5e4, "in the story"),
    ],
)
def test_a_clip_may_state_no_height_that_may_not_be_asked_for(height_m, mend):
    with pytest.raises(SettingsError) as asked:
        Settings(height_m=height_m)
    with pytest.raises(ClipError, match=mend) as stated:
        hop(height_m=height_m)
    assert str(stated.value) == f"meta.{str(asked.value).replace('height', 'height_m', 1)}"
