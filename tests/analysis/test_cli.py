# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis` as a user meets it: text, files, exit codes, errors of one sentence."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from figures import figure, spike

from analysis import save_clip
from analysis.cli.options import build_parser, take_back_files
from analysis.cli.outputs import FileNames, safe_name

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
        (["check", "a.npz", "--range", "nan", "9"], "'nan' is no frame number"),
        (["check", "a.npz", "--range", "1", "inf"], "'inf' is no frame number"),
        (["check", ""], "an empty name"),
        (["check", "a.npz", "--json", ""], "an empty name"),
        (["check", "a" * 5000], "does not exist"),
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


def test_a_reader_that_leaves_early_causes_no_complaint_and_costs_no_report(clean, tmp_path):
    report = tmp_path / "out.json"
    for words in ("checks", f"check {clean} --json {report}"):
        command = f"{sys.executable} -m analysis {words} | true"
        result = subprocess.run(command, cwd=ROOT, shell=True, capture_output=True, check=False)
        assert result.stderr == b""
    assert json.loads(report.read_text("utf-8"))["shots"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a full device")
def test_a_full_disk_is_told_in_a_sentence(clean):
    command = f"{sys.executable} -m analysis check {clean} > /dev/full"
    result = subprocess.run(
        command, cwd=ROOT, shell=True, capture_output=True, encoding="utf-8", check=False
    )
    assert result.returncode == 2
    assert "the summary could not be printed" in one_sentence(result)


def test_what_is_no_report_is_never_replaced(clean, tmp_path):
    notes = tmp_path / "notes.json"
    notes.write_text('{"mine": 1}')
    for place, told in ((clean, "no Plumbline report"), (notes, "no Plumbline report")):
        before = place.read_bytes()
        result = run("check", clean, "--json", place)
        assert result.returncode == 2
        assert told in one_sentence(result)
        assert place.read_bytes() == before
    assert "is a folder" in one_sentence(run("check", clean, "--json", tmp_path))
    report = tmp_path / "report.json"
    assert [run("check", clean, "--json", report).returncode for _ in range(2)] == [0, 0]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["clean.npz", "notes.json", "report.json"]


def test_a_report_goes_into_a_pipe_and_through_a_link(clean, tmp_path):
    result = run("check", clean, "--json", "/dev/stdout")
    assert '"schema": "plumbline/1"' in result.stdout
    kept, link = tmp_path / "kept.json", tmp_path / "link.json"
    link.symlink_to(kept)
    assert run("check", clean, "--json", link).returncode == 0
    assert link.is_symlink()
    assert kept.is_file()


@pytest.mark.skipif(sys.platform != "linux", reason="other systems decode file names otherwise")
def test_a_file_name_that_is_no_text(tmp_path):
    path = os.fsdecode(bytes(tmp_path) + b"/odd\xff.npz")
    save_clip(path, figure())
    result = run("check", path, "--json", tmp_path / "out.json", "--out", tmp_path / "each")
    assert result.returncode == 0
    assert json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"][0]["file"] == path
    assert [p.name for p in (tmp_path / "each").iterdir()] == ["odd_.json"]


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


def test_names_become_files():
    assert safe_name("a/b:c*?.x") == "a_b_c__.x"
    assert safe_name("...") == "unnamed"
    assert safe_name("ё" * 300) == "ё" * 100


def test_files_of_one_name_get_numbers(tmp_path):
    names = FileNames(tmp_path, ".json")
    given = [names.new(name).name for name in ("Walk", "walk", "walk-2", "a/b", "a:b")]
    assert given == ["Walk.json", "walk-2.json", "walk-2-2.json", "a_b.json", "a_b-2.json"]


def test_a_file_after_the_rigs_is_a_file():
    parser = build_parser("plumbline", blender=True)
    options = parser.parse_args(["check", "--rig", "porter", "smith", "a.blend", "B.BLEND"])
    take_back_files(options)
    assert options.rig == ["porter", "smith"]
    assert options.inputs == ["a.blend", "B.BLEND"]
