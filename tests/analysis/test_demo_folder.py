# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo builds into a folder of its own and never over somebody's work."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from demo_scenes import folder, run
from tests.harness.errors import HarnessError

SCENE = "brisk_walk_first.blend"


def refused(named, default=Path("/none")):
    with pytest.raises(HarnessError) as caught:
        folder.demo_folder(named, default=default)
    return str(caught.value)


def test_a_new_an_empty_and_a_marked_folder_are_taken(tmp_path):
    (tmp_path / "empty").mkdir()
    for name in ("new/deep", "empty", "empty"):
        out = folder.demo_folder(tmp_path / name, default=tmp_path)
        assert (out / folder.MARKER).is_file()
        (out / SCENE).write_text("a scene of the demo")


def test_a_folder_with_somebody_s_files_is_refused_and_left_alone(tmp_path):
    mine = tmp_path / SCENE
    mine.write_text("my own walk")
    (tmp_path / "findings.json").write_text('{"schema": "plumbline/1"}')
    assert f"holds '{SCENE}', which is not the demo's" in refused(tmp_path)
    assert mine.read_text() == "my own walk"
    assert sorted(p.name for p in tmp_path.iterdir()) == [SCENE, "findings.json"]
    assert "is a file" in refused(mine)


def test_a_default_folder_of_before_the_marker_is_known_by_its_report(tmp_path):
    report = tmp_path / "findings.json"
    report.write_text('{"mine": 1}')
    assert "not the demo's" in refused(tmp_path, default=tmp_path)
    report.write_text('{"schema": "plumbline/1"}')
    assert folder.demo_folder(tmp_path, default=tmp_path) == tmp_path


def test_a_scene_that_was_mended_and_saved_is_not_built_anew(tmp_path):
    out = folder.demo_folder(tmp_path, default=tmp_path)
    (out / SCENE).write_text("built")
    folder.mark(out, [SCENE, "captured_roll.blend"])
    assert folder.demo_folder(out, default=tmp_path) == out
    (out / SCENE).write_text("mended")
    assert f"{SCENE} was changed since" in refused(out)
    (out / SCENE).unlink()
    assert folder.demo_folder(out, default=tmp_path) == out


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_folder_that_may_not_be_written(tmp_path):
    tmp_path.chmod(0o500)
    assert "could not be written" in refused(tmp_path / "out")


def test_run_refuses_before_it_installs_anything(tmp_path):
    (tmp_path / "walk.blend").write_text("mine")
    command = [sys.executable, run.__file__, "--out", str(tmp_path)]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (result.returncode, result.stdout) == (2, "")
    assert "holds 'walk.blend'" in result.stderr


def test_a_failed_run_is_told_in_plain_words():
    assert run._failure(Path("headless.py"), 2, "Blender 5.2").startswith(
        "headless.py ended with exit code 2 in Blender 5.2"
    )
    assert "crashed (" in run._failure(Path("build.py"), -11, "Blender 5.2")
