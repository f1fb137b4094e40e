# SPDX-License-Identifier: GPL-3.0-or-later
"""The command line's text, on every terminal, pipe and disk that it may meet."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import ROOT, one_sentence
from figures import figure

from analysis import save_clip
from analysis.cli import run


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


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell that closes streams")
def test_closed_streams_change_no_exit_code(popping, tmp_path):
    report = tmp_path / "out.json"
    for closed in (">&-", ">&- 2>&-"):
        command = f"{sys.executable} -m analysis check {popping} --json {report} {closed}"
        result = subprocess.run(command, cwd=ROOT, shell=True, capture_output=True, check=False)
        assert (result.returncode, result.stderr) == (10, b"")
        assert json.loads(report.read_text("utf-8"))["shots"]
    command = f"{sys.executable} -m analysis check none.npz 2>&-"
    result = subprocess.run(command, cwd=ROOT, shell=True, capture_output=True, check=False)
    assert (result.returncode, result.stdout) == (2, b"")


def test_an_interrupt_is_one_word_and_code_130(clean, capsys):
    def interrupted(_options):
        raise KeyboardInterrupt

    assert run("plumbline", ["check", str(clean)], {"check": interrupted}, blender=False) == 130
    assert capsys.readouterr().err == "plumbline: interrupted\n"


def test_the_headless_script_without_blender_says_what_it_needs():
    command = [sys.executable, ROOT / "addon" / "headless.py", "check", "shot.blend"]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert result.returncode == 2
    assert "needs Blender" in one_sentence(result)
