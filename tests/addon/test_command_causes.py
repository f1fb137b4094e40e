# SPDX-License-Identifier: GPL-3.0-or-later
"""`plumbline check --causes`: controls and keys in the text and in the report."""

import json

import bpy
import pytest
import rigs
from command_line import save


@pytest.fixture
def popping(tmp_path):
    """A saved file with a biped whose head pops at frame 25, still open."""
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.context.scene.frame_set(1)
    return save(tmp_path / "popping.blend")


def test_the_key_is_named_on_the_terminal_and_in_the_report(main, popping, tmp_path, capsys):
    out = tmp_path / "out.json"
    assert main(["check", str(popping), "--causes", "--json", str(out)]) == 10
    assert "cause   head, rotation, key 25" in capsys.readouterr().out
    report = json.loads(out.read_text("utf-8"))
    (finding,) = report["shots"][0]["findings"]
    first = finding["causes"][0]
    assert (first["control"], first["frame"]) == ("head", 25)
    assert sum(cause["share"] for cause in finding["causes"]) == pytest.approx(1.0, abs=0.02)


def test_nobody_asked_nobody_is_told(main, popping, tmp_path):
    out = tmp_path / "out.json"
    main(["check", str(popping), "--json", str(out)])
    assert json.loads(out.read_text("utf-8"))["shots"][0]["findings"][0]["causes"] == []
