# SPDX-License-Identifier: GPL-3.0-or-later
"""Walks of one figure that are checked in one go: faster ones should be narrower."""

import json
import os
from dataclasses import replace

import numpy as np
import pytest
from command_line import run
from schema import VALIDATOR
from swaying import in_stride, swaying
from walker import Walk, turned

from analysis import Settings, check_clip, save_clip
from analysis.between import compare_shots, walk_of
from analysis.sway_trend import walk_side_m

ASK = Settings(checks=("sway",), cycle="no")
HEIGHT_M = 1.78


def walk(speed=1.2, *, name="porter", file=None, stride_s=0.9, **sways):
    plan = Walk(frames=140, speed=speed, stride_s=stride_s)
    file = file or f"walk_{10 * speed:.0f}.npz"
    return check_clip(swaying(plan, name=name, **sways), ASK, file=file)


def told(*shots, factor=1.0):
    """(file, sentence) of all that is found between shots."""
    found = compare_shots(shots, factor=factor)
    return [
        (after.file, finding.says)
        for before, after in zip(shots, found, strict=True)
        for finding in after.findings
        if finding not in before.findings
    ]


def test_a_quarter_faster_yet_as_wide():
    slow, fast = walk(1.2, file="walk.npz"), walk(1.5, file="walk_fast.npz")
    assert told(slow, fast) == told(fast, slow)
    ((file, says),) = told(slow, fast)
    assert file == "walk_fast.npz"
    assert says == (
        "walk_fast goes a quarter faster than walk (1.5 m/s against 1.2 m/s), yet sways as wide "
        "(4.0 cm against 4.0 cm): faster walks are narrower."
    )
    finding = compare_shots([slow, fast])[1].findings[0]
    assert (finding.check, finding.part, finding.severity) == ("sway", "root", "minor")
    assert finding.frames == fast.frames
    # What the slower one says of this speed, by the trend.
    narrow = 4.0 * walk_side_m(1.5, HEIGHT_M) / walk_side_m(1.2, HEIGHT_M)
    assert f"about {narrow:.1f} cm" in finding.suggestion.text


def test_a_faster_walk_that_is_narrower_is_none():
    by = walk_side_m(1.5, HEIGHT_M) / walk_side_m(1.2, HEIGHT_M)
    assert told(walk(1.2), walk(1.5, side=by, up=1.1)) == []
    assert told(walk(1.2), walk(1.25)) == []


@pytest.mark.parametrize(("axis", "words"), [("side", "sways"), ("up", "rises and falls")])
def test_a_walk_that_goes_half_as_far_again_as_another_at_its_speed(axis, words):
    wide = walk(1.2, file="take_2.npz", **{axis: 1.5})
    ((file, says),) = told(walk(1.2), wide)
    assert file == "take_2.npz"
    assert f"take_2 goes as fast as walk_12 (1.2 m/s), and {words} 1.5 times as far" in says
    assert told(walk(1.2), walk(1.2, file="take_2.npz", **{axis: 1.25})) == []


def test_of_many_only_what_goes_beyond_all_of_them_is_told():
    """Walks of one figure that all differ say that it has many ways to walk."""
    alike = [walk(1.2, file=f"take_{n}.npz", side=1.0 + 0.05 * n) for n in range(4)]
    assert told(*alike) == []
    assert [file for file, _says in told(*alike, walk(1.2, file="wide.npz", side=1.7))] == [
        "wide.npz"
    ]
    various = [walk(1.2, file=f"way_{n}.npz", side=each) for n, each in enumerate((1, 1.5, 2, 2.2))]
    assert told(*various) == []


def test_a_faster_walk_that_rises_less_is_worth_a_look():
    by = walk_side_m(1.5, HEIGHT_M) / walk_side_m(1.2, HEIGHT_M)
    slow, fast = walk(1.2), walk(1.5, side=by, up=0.88)
    (look,) = compare_shots([slow, fast])[1].looks
    assert "yet rises less (2.6 cm against 3.0 cm): faster walks rise more" in look.says
    assert told(slow, fast) == []


def test_other_figures_and_other_manners_are_not_compared():
    slow, fast = walk(1.2), walk(1.5)
    assert told(slow, replace(fast, height_m=1.6)) == []
    assert told(replace(slow, height_m=None), replace(fast, height_m=None, rig="other")) == []
    stiff = walk(1.2, up=0.5)  # another way to walk, not only a wider one
    assert told(stiff, walk(1.2, file="take_2.npz", side=1.5)) == []


def test_another_name_of_the_same_parts_is_the_same_figure():
    assert len(told(walk(1.2), walk(1.5, name="porter.001"))) == 1


def test_shots_that_were_not_asked_are_left_alone():
    clip = swaying(Walk(frames=140, speed=1.5))
    other = check_clip(clip, Settings(checks=("pop",), cycle="no"), file="fast.npz")
    standing = check_clip(clip.cut(1, 12), ASK)
    for shots in ([walk(1.2), other], [walk(1.2), standing], [walk(1.2)], []):
        assert compare_shots(shots) == shots
    assert walk_of(other) is walk_of(standing) is None


def test_size_and_heading_do_not_matter():
    asked = Settings(checks=("sway",), cycle="no", height_m=HEIGHT_M)
    slow, fast = (swaying(Walk(frames=140, speed=speed)) for speed in (1.2, 1.5))
    large = swaying(Walk(frames=140, speed=1.5), scale=10.0)
    shots = [check_clip(clip, asked, file="walk.npz") for clip in (slow, turned(slow, 37.0))]
    others = [check_clip(clip, asked, file="fast.npz") for clip in (fast, large, turned(fast, 37))]
    (says,) = {told(shot, other)[0][1] for shot in shots for other in others}
    assert "a quarter faster" in says


def test_a_finding_that_is_there_keeps_its_id():
    plan = Walk(frames=170, speed=1.5)
    clip = swaying(plan, side=1.05 * in_stride(plan, 3, 1.6), name="porter")
    fast = check_clip(clip, ASK, file="fast.npz")
    found = compare_shots([walk(1.2), fast])[1].findings
    assert len(found) == 2
    assert len({finding.id for finding in found}) == 2


def test_the_tolerance_widens_what_is_allowed():
    pair = walk(1.2), walk(1.2, file="take_2.npz", side=1.5)
    assert len(told(*pair, factor=0.75)) == len(told(*pair)) == 1
    assert told(*pair, factor=1.5) == []


def test_the_command_line_compares_what_it_is_given(tmp_path):
    paths = []
    for name, speed in (("walk", 1.2), ("walk_fast", 1.5)):
        clip = swaying(Walk(frames=140, speed=speed), name="porter")
        paths.append(str(save_clip(tmp_path / f"{name}.npz", clip)))
    out = tmp_path / "all.json"
    options = ["--checks", "sway", "--cycle", "no", "--json", str(out)]
    assert run("check", *paths, *options).returncode == 0
    report = json.loads(out.read_text("utf-8"))
    VALIDATOR.validate(report)
    assert [len(shot["findings"]) for shot in report["shots"]] == [0, 1]
    assert "yet sways as wide" in report["shots"][1]["findings"][0]["says"]
    assert run("check", *paths, *options, "--fail-on", "minor").returncode == 10


@pytest.mark.skipif("PLUMBLINE_CAPTURED" not in os.environ, reason="needs captured motion")
def test_many_styles_at_once_say_little_of_each_other():
    from tests.quality.sets import clean_cases

    cases = [case for case in clean_cases(["walks_24", "walks_30"]) if case.half == "B"]
    shots = [check_clip(case.clip, ASK) for case in cases]
    assert np.sum([case.seconds for case in cases]) > 300.0
    assert len(told(*shots)) <= 3  # .1 in ten seconds
