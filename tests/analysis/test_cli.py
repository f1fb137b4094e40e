# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis` as a user meets it: text, files, exit codes, errors of one sentence."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from figures import figure, spike

from analysis import Clip, save_clip
from analysis.cli.outputs import safe_name

ROOT = Path(__file__).resolve().parents[2]


def run(*arguments):
    command = [sys.executable, "-m", "analysis", *map(str, arguments)]
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False
    )


@pytest.fixture
def clean(tmp_path):
    return save_clip(tmp_path / "clean.npz", figure())


@pytest.fixture
def popping(tmp_path):
    shift = np.outer(spike(48, 20, 0.03), [0, 0, 1])
    return save_clip(tmp_path / "popping.npz", figure(shift=shift))


def one_sentence(result):
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1, result.stderr
    assert "Traceback" not in result.stderr
    return lines[0]


def test_a_clean_clip(clean):
    result = run("check", clean, "--cycle", "yes")
    assert result.returncode == 0
    assert "0 findings" in result.stdout
    assert result.stderr == ""


def test_findings_reports_and_codes(clean, popping, tmp_path):
    result = run(
        "check", clean, popping, "--json", tmp_path / "all.json", "--out", tmp_path / "each"
    )
    assert result.returncode == 10
    assert "2 shots checked, 1 finding (1 major)." in result.stdout
    report = json.loads((tmp_path / "all.json").read_text("utf-8"))
    assert [len(shot["findings"]) for shot in report["shots"]] == [0, 1]
    assert report["shots"][1]["findings"][0]["part"] == "root"
    assert sorted(p.name for p in (tmp_path / "each").iterdir()) == ["clean.json", "popping.json"]
    assert run("check", popping, "--fail-on", "never").returncode == 0
    assert run("check", popping, "--checks", "double_frame").returncode == 0


def test_one_bad_clip_does_not_stop_the_rest(clean, tmp_path):
    result = run("check", tmp_path / "none.npz", clean, "--json", tmp_path / "out.json")
    assert result.returncode == 3
    assert "not checked:" in result.stdout
    assert "none.npz does not exist" in result.stdout
    assert len(json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"]) == 1


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
        (["check", "a.npz", "--height", "tall"], "--height"),
        (["check", "a.npz", "--checks", "poop"], "no check called poop"),
        (["check", "a.npz", "--checks", ","], "names no check"),
        (["check", "a.npz", "--rig", "porter"], "--rig picks a rig inside a .blend"),
        (["check", "a.npz", "--clips", "x"], "these are clips already"),
    ],
)
def test_wrong_usage(arguments, told):
    result = run(*arguments)
    assert result.returncode == 2
    assert told in one_sentence(result)


def test_a_range_and_a_range_outside(popping):
    assert run("check", popping, "--range", "25", "48", "--cycle", "no").returncode == 0
    result = run("check", popping, "--range", "90", "99")
    assert result.returncode == 2
    assert "holds 0 frames" in one_sentence(result)


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
    assert max(map(len, listing.stdout.splitlines())) <= 80


def test_names_of_any_script_reach_any_terminal(tmp_path):
    clip = figure()
    odd = type(clip)(**{**vars(clip), "meta": type(clip.meta)(name="портер 🪝 <b>")})
    path = save_clip(tmp_path / "odd.npz", odd)
    command = [sys.executable, "-m", "analysis", "check", str(path)]
    result = subprocess.run(
        command, cwd=ROOT, capture_output=True, env={"PYTHONIOENCODING": "ascii"}, check=False
    )
    assert result.returncode == 0
    assert b"Traceback" not in result.stderr


def test_a_reader_that_leaves_early_causes_no_complaint(clean):
    command = f"{sys.executable} -m analysis checks | head -n 1"
    result = subprocess.run(command, cwd=ROOT, shell=True, capture_output=True, check=False)
    assert b"Traceback" not in result.stderr
    assert b"BrokenPipe" not in result.stderr


def test_names_become_files():
    assert safe_name("a/b:c*?.x") == "a_b_c__.x"
    assert safe_name("...") == "unnamed"
    assert isinstance(figure(), Clip)
