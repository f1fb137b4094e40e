# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis` as a user meets it: what it takes, exit codes, errors of one sentence."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from command_line import ROOT, one_sentence, run, run_alone
from figures import figure, spike

from analysis import Settings, SettingsError, save_clip
from analysis.cli.options import build_parser, take_back_files


def test_a_clean_clip(clean):
    result = run_alone("check", clean, "--cycle", "yes")
    assert result.returncode == 0
    assert "0 findings" in result.stdout
    assert result.stderr == ""


def test_a_clip_that_is_named_twice_is_checked_once(clean):
    result = run("check", clean, clean, "--cycle", "yes")
    assert "1 shot checked" in result.stdout


def broken_clips(folder):
    plain = vars(figure(frames=12))
    arrays = {
        key: np.asarray(plain[key])
        for key in ("frames", "fps", "joints", "parents", "positions", "rotations")
    }
    nan = np.array(arrays["positions"])
    nan[4, 2] = np.nan
    cases = {
        "nan": {"positions": nan},
        "one_frame": {
            "frames": [1],
            "positions": arrays["positions"][:1],
            "rotations": arrays["rotations"][:1],
        },
        "no_joints": {
            "joints": np.zeros(0, dtype="U4"),
            "parents": np.zeros(0, dtype=int),
            "positions": arrays["positions"][:, :0],
            "rotations": arrays["rotations"][:, :0],
        },
        "wrong_shapes": {"rotations": arrays["rotations"][:, :3]},
        "not_unit": {"rotations": arrays["rotations"] * 1.5},
    }
    for name, changes in cases.items():
        np.savez(folder / f"{name}.npz", **{**arrays, **changes})
    (folder / "text.npz").write_text("frame,x,y\n1,2,3\n")
    return [*cases, "text"]


def test_broken_clips_give_one_sentence_and_code_2(tmp_path):
    for name in broken_clips(tmp_path):
        result = run("check", tmp_path / f"{name}.npz")
        assert result.returncode == 2, name
        assert f"{name}.npz" in one_sentence(result)
        assert result.stdout == ""


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "check|checks"),
        (["check"], "CLIP.npz"),
        (["look"], "invalid choice: 'look'"),
        (["check", "a.npz", "--colour"], "unrecognized arguments: --colour"),
        (["check", "a.npz", "--cycle", "maybe"], "--cycle"),
        (["check", "a.npz", "--height", "-2"], "height is -2 m"),
        (["check", "a.npz", "--height", "nan"], "expected metres, from 0.01 to 50"),
        (["check", "a.npz", "--height", "170"], "if centimetres are meant, say 1.7."),
        (
            ["check", "a.npz", "--height", "tall"],
            "'tall' is no height, expected metres, such as 1.7",
        ),
        (["check", "a.npz", "--height", "1,75"], "--height: '1,75' is no height, expected metres"),
        (["check", "a.npz", "--height", "1.75m"], "'1.75m' is no height, expected metres"),
        (["check", "a.npz", "--checks", "poop"], "no check called poop"),
        (["check", "a.npz", "--checks", ","], "names no check"),
        (["check", "a.npz", "--range", "nan", "9"], "'nan' is no frame number"),
        (["check", "a.npz", "--range", "1", "inf"], "'inf' is no frame number"),
        (["check", ""], "an empty name"),
        (["check", "a.npz", "--json", ""], "an empty name"),
        (["check", "a" * 5000], "does not exist"),
        (["check", "shot.blend"], "blender --background --command plumbline check shot.blend"),
        (["check", "a\x1b[2J\n.npz"], r"a\x1b[2J\n.npz does not exist"),
        (["check", "a.npz", "--rig", "porter"], "--rig picks a rig inside a .blend"),
        (["check", "a.npz", "--clips", "x"], "these are clips already"),
    ],
)
def test_wrong_usage(arguments, told):
    result = run(*arguments)
    assert result.returncode == 2
    assert told in one_sentence(result)


@pytest.mark.parametrize("height", [0.01, 0.15, 20.0, 49.9])
def test_mice_and_giants_have_a_height(height):
    assert Settings(height_m=height).height_m == height


@pytest.mark.parametrize(
    ("height", "told"), [(0.0, "in the story"), (50.0, "say 0.5"), (9e3, "in the story")]
)
def test_a_height_that_nobody_has_in_metres_is_refused(height, told):
    with pytest.raises(SettingsError, match=told):
        Settings(height_m=height)


def test_a_range_and_a_range_outside(popping):
    assert run("check", popping, "--range", "25", "48", "--cycle", "no").returncode == 0
    result = run("check", popping, "--range", "90", "99")
    assert result.returncode == 2
    assert "holds 0 frames" in one_sentence(result)
    sentence = one_sentence(run("check", popping, "--range", "100", "1e8"))
    assert "the range 100 to 100000000 holds" in sentence


def test_a_clip_that_does_not_move_is_refused_as_in_blender(clean, tmp_path):
    still = figure(frames=2)
    still = replace(still, positions=still.positions[[0, 0]], rotations=still.rotations[[0, 0]])
    path = save_clip(tmp_path / "still.npz", still)
    result = run("check", path)
    assert (result.returncode, result.stdout) == (2, "")
    assert "figure does not move in frames 1 to 2, expected motion" in one_sentence(result)
    assert run("check", path, clean).returncode == 3


def test_the_clip_s_own_stage_counts_unless_another_is_asked(tmp_path):
    shift = np.outer(spike(48, 20, 0.03), [0, 0, 1])
    path = save_clip(tmp_path / "block.npz", figure(shift=shift, stage="blocking"))
    assert run("check", path).returncode == 0
    assert run("check", path, "--stage", "polish").returncode == 10


def test_help_version_and_the_list_of_checks():
    assert "exit codes" in run("check", "--help").stdout
    assert run("--version").stdout.startswith("Plumbline ")
    listing = run("checks")
    assert listing.returncode == 0
    for name in ("double_frame", "loop_seam", "pop"):
        assert f"\n{name}\n" in f"\n{listing.stdout}"
    assert "\n  com_speed_m_s [m/s]\n" in listing.stdout
    assert max(map(len, listing.stdout.splitlines())) <= 80


def test_without_numpy_one_sentence():
    command = [sys.executable, "-I", "-S", "-c", WITHOUT_NUMPY]
    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert result.returncode == 2
    assert "needs NumPy" in one_sentence(result)


# The same as `python -m analysis` where no packages are installed.
WITHOUT_NUMPY = """
import runpy, sys
sys.path.insert(0, ".")
sys.argv = ["-m"]
runpy.run_module("analysis", run_name="__main__")
"""


def test_a_file_after_the_rigs_is_a_file():
    parser = build_parser("plumbline", blender=True)
    options = parser.parse_args(["check", "--rig", "porter", "smith", "a.blend", "B.BLEND"])
    take_back_files(options)
    assert options.rig == ["porter", "smith"]
    assert options.inputs == ["a.blend", "B.BLEND"]
