# SPDX-License-Identifier: GPL-3.0-or-later
"""`plumbline check` over .blend files, in this process."""

import json

import bpy
import pytest
import rigs
from command_line import one_sentence, save

from analysis import load_clip


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


@pytest.fixture
def one_walks_one_stands(tmp_path):
    rigs.biped("walks")
    still = rigs.armature("stands", rigs.BIPED)
    still.pose.bones["shin.L"].constraints.new("IK").chain_count = 2
    return save(tmp_path / "two.blend")


def checked(path):
    return [shot["rig"] for shot in json.loads(path.read_text("utf-8"))["shots"]]


def test_a_rig_that_stands_still_is_left_out_with_a_word(
    main, one_walks_one_stands, tmp_path, capsys
):
    out = tmp_path / "out.json"
    assert main(["check", str(one_walks_one_stands), "--json", str(out)]) == 0
    assert checked(out) == ["walks"]
    assert "stands does not move in frames 1 to 40 and was left out." in one_sentence(capsys)


def test_of_named_rigs_one_that_cannot_be_judged_stops_no_other(
    main, one_walks_one_stands, tmp_path, capsys
):
    out, path = tmp_path / "out.json", str(one_walks_one_stands)
    assert main(["check", path, "--json", str(out), "--rig", "stands", "walks", "nobody"]) == 3
    assert checked(out) == ["walks"]
    told = capsys.readouterr().out
    assert f"not checked: {path}: stands does not move in frames 1 to 40, expected" in told
    assert f"not checked: {path}: there is no rig 'nobody'" in told
    assert main(["check", path, "--rig", "stands"]) == 2
    assert "stands does not move" in one_sentence(capsys)


def test_the_file_is_never_saved(main, walking):
    before = walking.read_bytes()
    main(["check", str(walking)])
    assert walking.read_bytes() == before


def test_clips_of_one_name_do_not_replace_each_other(main, walking, tmp_path):
    (tmp_path / "two").mkdir()
    again = save(tmp_path / "two" / "walking.blend")
    for _pass in range(2):
        main(["check", str(walking), str(again), "--clips", str(tmp_path / "clips")])
    written = sorted(p.name for p in (tmp_path / "clips").iterdir())
    assert written == ["walking-porter-2.npz", "walking-porter.npz"]


def test_a_file_after_the_rig(main, walking):
    assert main(["check", "--rig", "porter", str(walking)]) == 0


def test_checks_are_listed(main, capsys):
    assert main(["checks"]) == 0
    assert "loop_seam" in capsys.readouterr().out


def test_an_interrupt_is_one_line_and_code_130(ext, main, walking, capsys, monkeypatch):
    def interrupted(*_args, **_options):
        raise KeyboardInterrupt

    monkeypatch.setattr(ext.addon.command, "sample_each", interrupted)
    assert main(["check", str(walking)]) == 130
    assert one_sentence(capsys) == "plumbline: interrupted"


def test_an_empty_folder_stops_no_other_input(main, walking, tmp_path, capsys):
    (tmp_path / "empty" / "dir.blend").mkdir(parents=True)
    assert main(["check", str(tmp_path / "empty"), str(walking)]) == 3
    told = capsys.readouterr().out
    assert f"not checked: the folder {tmp_path / 'empty'} holds no .blend file" in told
    assert "1 shot checked" in told


def test_folders_are_searched_for_files_of_any_case_and_for_files_only(main, tmp_path):
    rigs.biped()
    shots = tmp_path / "shots"
    (shots / "dir.blend").mkdir(parents=True)
    save(shots / "b.blend").rename(shots / "dir.blend" / "UPPER.BLEND")
    save(shots / "a.blend")
    out = tmp_path / "out.json"
    assert main(["check", str(shots), "--json", str(out)]) == 0
    files = [shot["file"] for shot in json.loads(out.read_text("utf-8"))["shots"]]
    assert files == [str(shots / "a.blend"), str(shots / "dir.blend" / "UPPER.BLEND")]


def test_a_broken_rig_does_not_take_the_others_with_it(main, tmp_path, capsys):
    rigs.biped("good")
    rigs.biped("broken").data.pose_position = "REST"
    path = save(tmp_path / "two.blend")
    assert main(["check", str(path), "--json", str(tmp_path / "out.json")]) == 3
    (shot,) = json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"]
    assert shot["rig"] == "good"
    assert "not checked:" in (told := capsys.readouterr().out)
    assert "'broken' is shown in Rest Position" in told


def test_a_rig_that_is_named_twice_is_judged_once(main, walking, tmp_path):
    out = tmp_path / "out.json"
    assert main(["check", "--rig", "porter", "porter", "--json", str(out)]) == 0
    assert len(json.loads(out.read_text("utf-8"))["shots"]) == 1


def test_handlers_that_rest_are_named(main, walking, capsys):
    def pose_the_rig(_scene, _depsgraph=None):
        raise AssertionError("must rest")

    bpy.app.handlers.frame_change_post.append(pose_the_rig)
    try:
        assert main(["check"]) == 0
    finally:
        bpy.app.handlers.frame_change_post.remove(pose_the_rig)
    assert "pose_the_rig did not run while porter was sampled" in capsys.readouterr().err
