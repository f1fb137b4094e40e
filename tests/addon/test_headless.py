# SPDX-License-Identifier: GPL-3.0-or-later
"""The command as a process of its own, through `addon/headless.py`."""

import json
import shlex
import subprocess
import sys

import bpy
import pytest
from command_line import command, environment, run_alone

from analysis import load_clip


def test_headless_as_a_process(walking, tmp_path):
    result = run_alone(tmp_path, "check", walking, "--json", tmp_path / "out.json")
    assert result.returncode == 0, result.stderr
    assert "1 shot checked, 0 findings (0 major)." in result.stdout
    assert json.loads((tmp_path / "out.json").read_text("utf-8"))["schema"] == "plumbline/1"


def test_headless_errors_are_one_sentence(tmp_path):
    result = run_alone(tmp_path, "check", tmp_path / "none.blend")
    assert result.returncode == 2
    ours = [line for line in result.stderr.splitlines() if "plumbline" in line]
    assert len(ours) == 1
    assert "does not exist" in ours[0]
    assert "Traceback" not in result.stderr


def test_a_second_process_samples_a_written_scene(ext, walking, tmp_path):
    """What a Blender with a window asks of another one gives the same clip."""
    import numpy as np

    rig = bpy.data.objects["porter"]
    (expected,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    blend = tmp_path / "scene.blend"
    bpy.data.libraries.write(str(blend), {bpy.context.scene}, path_remap="ABSOLUTE")
    request = {
        "blend": str(blend),
        "scene": "Scene",
        "frames": [1, 40],
        "rigs": ["porter"],
        "props": None,
        "folder": str(tmp_path),
    }
    result = run_alone(tmp_path, ext.addon.sampling.child.VERB, json.dumps(request))
    assert result.returncode == 0, result.stderr
    clip = load_clip(tmp_path / "0.npz")
    np.testing.assert_array_equal(clip.positions, expected.positions)
    assert clip.meta.roles == expected.meta.roles


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell that closes streams")
def test_closed_streams_cause_no_complaint(walking, tmp_path):
    words = shlex.join(command("check", walking, "--json", tmp_path / "out.json"))
    for closed in (">&-", "<&- >&- 2>&-"):
        result = subprocess.run(
            f"{words} {closed}",
            shell=True,
            stderr=subprocess.PIPE,
            text=True,
            env=environment(tmp_path),
            check=False,
            timeout=120,
        )
        assert result.returncode == 0
        assert "Traceback" not in result.stderr
        assert json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"]
