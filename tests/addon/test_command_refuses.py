# SPDX-License-Identifier: GPL-3.0-or-later
"""Files, scenes and options that `plumbline check` cannot use: one sentence each."""

import bpy
import pytest
import rigs
from command_line import one_sentence, save


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
    assert main(["check", str(tmp_path / "shot.npz"), "--json", str(tmp_path / "x.json")]) == 2
    assert "shot.npz does not exist" in one_sentence(capsys)
    (tmp_path / "shot.npz").write_bytes(b"a clip")
    assert main(["check", str(tmp_path / "shot.npz")]) == 2
    assert "python3 -m analysis check" in one_sentence(capsys)
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


def test_a_blend_file_is_no_place_for_a_report(main, walking, capsys):
    before = walking.read_bytes()
    assert main(["check", str(walking), "--json", str(walking)]) == 2
    assert "no Plumbline report" in one_sentence(capsys)
    assert walking.read_bytes() == before


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


def test_a_clip_that_cannot_be_written_costs_no_finding(main, walking, tmp_path, capsys):
    clips = tmp_path / "clips"
    clips.mkdir()
    mine = clips / "walking-porter.npz"
    mine.write_text("mine")
    assert main(["check", "--clips", str(clips), "--json", str(tmp_path / "out.json")]) == 2
    printed = capsys.readouterr()
    assert "1 shot checked, 0 findings" in printed.out
    assert "walking-porter.npz exists and is no Plumbline clip" in printed.err
    assert (tmp_path / "out.json").is_file()
    assert mine.read_text() == "mine"


def test_a_file_in_place_of_the_clips_folder_is_refused_before_any_work(main, tmp_path, capsys):
    notes = tmp_path / "notes.txt"
    notes.write_text("mine")
    assert main(["check", "none.blend", "--clips", str(notes)]) == 2
    assert f"{notes} is a file, expected a folder for the clips" in one_sentence(capsys)
