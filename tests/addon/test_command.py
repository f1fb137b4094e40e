# SPDX-License-Identifier: GPL-3.0-or-later
"""`plumbline check` over .blend files: in this process, and as a process of its own."""

import json
import os
import subprocess
import sys
from pathlib import Path

import bpy
import pytest
import rigs

from analysis import load_clip

ROOT = Path(__file__).resolve().parents[2]
HEADLESS = ROOT / "addon" / "headless.py"


@pytest.fixture
def main(ext):
    return ext.addon.command.main


def save(path):
    bpy.ops.wm.save_as_mainfile(filepath=str(path), check_existing=False)
    return path


@pytest.fixture
def walking(tmp_path):
    rigs.biped()
    return save(tmp_path / "walking.blend")


def one_sentence(capsys):
    lines = [line for line in capsys.readouterr().err.splitlines() if line.startswith("plumbline")]
    assert len(lines) == 1, lines
    return lines[0]


def test_the_open_file(main, walking, tmp_path, capsys):
    code = main(["check", "--json", str(tmp_path / "out.json"), "--clips", str(tmp_path / "clips")])
    report = json.loads((tmp_path / "out.json").read_text("utf-8"))
    assert code == 0
    (shot,) = report["shots"]
    assert (shot["rig"], shot["scene"], shot["frames"]) == ("porter", "Scene", [1, 40])
    assert shot["file"] == str(walking)
    assert report["blender"] == bpy.app.version_string
    clip = load_clip(tmp_path / "clips" / "walking-porter.npz")
    assert len(clip.frames) == 40
    assert "1 shot checked" in capsys.readouterr().out


def test_a_planted_pop_gives_code_10_and_the_right_part(main, tmp_path):
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["hips"], "location", 1, 25, 0.04)
    path = save(tmp_path / "pop.blend")
    assert main(["check", str(path), "--json", str(tmp_path / "out.json")]) == 10
    (shot,) = json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"]
    assert [(f["check"], f["part"], f["peak_frame"]) for f in shot["findings"]] == [
        ("pop", "root", 25)
    ]


def test_several_rigs_files_and_folders(main, tmp_path, capsys):
    rigs.biped("one")
    rigs.biped("two")
    shots = tmp_path / "shots"
    shots.mkdir()
    save(shots / "pair.blend")
    bpy.data.objects.remove(bpy.data.objects["two"])
    save(shots / "single.blend")
    out = tmp_path / "out.json"
    assert main(["check", str(shots), "--json", str(out), "--out", str(tmp_path / "each")]) == 0
    shots_found = json.loads(out.read_text("utf-8"))["shots"]
    assert [s["rig"] for s in shots_found] == ["one", "two", "one"]
    assert sorted(p.name for p in (tmp_path / "each").iterdir()) == ["pair.json", "single.json"]
    assert main(["check", str(shots / "pair.blend"), "--rig", "two", "--json", str(out)]) == 0
    assert [s["rig"] for s in json.loads(out.read_text("utf-8"))["shots"]] == ["two"]
    assert main(["check", str(shots / "pair.blend"), "--rig", "three"]) == 2
    assert "there is no rig 'three', expected one of one, two" in one_sentence(capsys)


def test_a_rig_that_stands_still_is_left_out_unless_it_is_named(main, tmp_path, capsys):
    rigs.biped("walks")
    still = rigs.armature("stands", rigs.BIPED)
    still.pose.bones["shin.L"].constraints.new("IK").chain_count = 2
    path, out = save(tmp_path / "two.blend"), tmp_path / "out.json"
    assert main(["check", str(path), "--json", str(out)]) == 0
    assert [s["rig"] for s in json.loads(out.read_text("utf-8"))["shots"]] == ["walks"]
    assert main(["check", str(path), "--rig", "stands"]) == 2
    assert "stands does not move" in one_sentence(capsys)


def test_the_file_is_never_saved(main, walking):
    before = walking.read_bytes()
    main(["check", str(walking)])
    assert walking.read_bytes() == before


def no_armature(_tmp_path):
    return "holds no armature"


def no_animation(_tmp_path):
    rigs.armature("porter", rigs.BIPED)
    return "no rig in the scene 'Scene' is animated (porter)"


def constraints_only(_tmp_path):
    rig = rigs.armature("porter", rigs.BIPED)
    rig.pose.bones["shin.L"].constraints.new("IK").chain_count = 2
    return "porter does not move in frames 1 to 250"


def one_frame(_tmp_path):
    rigs.biped()
    rigs.set_range(5, 5)
    return "fewer than two frames"


@pytest.mark.parametrize("prepare", [no_armature, no_animation, constraints_only, one_frame])
def test_files_that_cannot_be_checked(main, tmp_path, capsys, prepare):
    told = prepare(tmp_path)
    path = save(tmp_path / "shot.blend")
    assert main(["check", str(path)]) == 2
    sentence = one_sentence(capsys)
    assert told in sentence
    assert "shot.blend" in sentence


def test_a_missing_a_broken_and_an_empty_input(main, tmp_path, capsys):
    assert main(["check", str(tmp_path / "none.blend")]) == 2
    assert "does not exist" in one_sentence(capsys)
    broken = tmp_path / "broken.blend"
    broken.write_text("no blend file")
    assert main(["check", str(broken)]) == 2
    assert "could not be opened" in one_sentence(capsys)
    (tmp_path / "empty").mkdir()
    assert main(["check", str(tmp_path / "empty")]) == 2
    assert "holds no .blend file" in one_sentence(capsys)


def test_one_bad_file_does_not_stop_the_rest(main, walking, tmp_path, capsys):
    assert main(["check", str(tmp_path / "none.blend"), str(walking)]) == 3
    assert "not checked:" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["check", "--scene", "Night"], "there is no scene 'Night'"),
        (["check", "--range", "3", "3"], "fewer than two frames"),
        (["check", "--range", "1", "1e300"], "leaves Blender's time line"),
        (["check", "--range", "nan", "3"], "no frame number"),
        (["check", "--cycle", "maybe"], "--cycle"),
        (["look"], "invalid choice"),
        ([], "check|checks"),
    ],
)
def test_wrong_usage(main, walking, capsys, arguments, told):
    assert main(arguments) == 2
    assert told in one_sentence(capsys)


def test_clips_of_one_name_do_not_replace_each_other(main, walking, tmp_path):
    (tmp_path / "two").mkdir()
    again = save(tmp_path / "two" / "walking.blend")
    for _pass in range(2):
        main(["check", str(walking), str(again), "--clips", str(tmp_path / "clips")])
    written = sorted(p.name for p in (tmp_path / "clips").iterdir())
    assert written == ["walking-porter-2.npz", "walking-porter.npz"]


def test_a_blend_file_is_no_place_for_a_report(main, walking, capsys):
    before = walking.read_bytes()
    assert main(["check", str(walking), "--json", str(walking)]) == 2
    assert "no Plumbline report" in one_sentence(capsys)
    assert walking.read_bytes() == before


def test_a_file_after_the_rig(main, walking):
    assert main(["check", "--rig", "porter", str(walking)]) == 0


def test_a_missing_library_is_named(main, tmp_path, capsys):
    rigs.biped()
    library = save(tmp_path / "porter.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, wanted):
        wanted.objects = ["porter"]
    bpy.context.scene.collection.objects.link(wanted.objects[0])
    shot = save(tmp_path / "shot.blend")
    library.unlink()
    assert main(["check", str(shot)]) == 2
    assert f"links {library}, not found" in capsys.readouterr().err


def test_checks_are_listed(main, capsys):
    assert main(["checks"]) == 0
    assert "loop_seam" in capsys.readouterr().out


def run_alone(tmp_path, *arguments):
    """The command as a process of its own, with an empty user folder."""
    executable = bpy.app.binary_path
    command = [executable, "--background", "--factory-startup", "--python", HEADLESS, "--"]
    if not executable:
        command = [sys.executable, HEADLESS]
    environment = {**os.environ, "BLENDER_USER_RESOURCES": str(tmp_path / "user")}
    return subprocess.run(
        [*map(str, command), *map(str, arguments)],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
        timeout=120,
    )


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
