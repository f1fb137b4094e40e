# SPDX-License-Identifier: GPL-3.0-or-later
"""The command and the file's record: what the panel keeps counts there too."""

import json

import bpy
from command_line import save
from drawn import checked_session


def test_what_is_kept_as_intended_is_quiet_for_the_command_too(ext, main, tmp_path, capsys):
    checked_session(ext)
    file = save(tmp_path / "pop.blend")
    out = tmp_path / "out.json"
    assert main(["check", str(file), "--json", str(out)]) == 10
    session = bpy.context.window_manager.plumbline
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.keep_intended(reason="a nod")
    (identity,) = (item.finding for item in session.intended)
    bpy.data.objects["porter"].name = "stevedore"
    bpy.context.scene.frame_start, bpy.context.scene.frame_end = -9, 40
    bpy.context.scene.frame_set(1)
    save(file)
    held = file.read_bytes()
    assert main(["check", str(file), "--json", str(out)]) == 0
    assert file.read_bytes() == held
    (shot,) = json.loads(out.read_text("utf-8"))["shots"]
    assert [(f["id"], f["intended"]) for f in shot["findings"]] == [(identity, "a nod")]
    assert "1 kept as intended" in capsys.readouterr().out


def test_a_record_that_cannot_be_read_is_said_and_the_file_is_checked(ext, main, tmp_path, capsys):
    checked_session(ext)
    bpy.data.texts.new("Plumbline").from_string('{\n"plumbline_record": 1,\n')
    file = save(tmp_path / "broken.blend")
    assert main(["check", str(file)]) == 10
    told = capsys.readouterr().err
    assert "porter: The text 'Plumbline', which keeps what was said of this file, is cut" in told
