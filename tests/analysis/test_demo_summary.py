# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo's registry names scenes that are there; its summary says what was found in them."""

import json
from pathlib import Path

import pytest

from demo_scenes import registry, run

FAULTS = [
    {"check": "pop", "part": "root", "frames": [12, 12]},
    {"check": "double_frame", "part": None, "frames": [49, 49]},
    {"check": "slide", "part": "foot.L", "frames": [30, 41]},
]
FOUND = [
    {"check": "pop", "part": "root", "peak_frame": 12, "severity": "major"},
    {"check": "double_frame", "part": None, "peak_frame": 49, "severity": "major"},
    {"check": "slide", "part": "foot.L", "peak_frame": 43, "severity": "major"},
]


def test_every_scene_of_the_registry_is_there():
    folder = Path(registry.__file__).parent
    for name, scene in registry.TWO_PASSES.items():
        place = folder.joinpath(*scene.module.split("."))
        assert place.name == name
        assert place.with_suffix(".py").is_file() or (place / "__init__.py").is_file()
        assert len(name) <= run.NAME_WIDTH
    files = registry.scene_files()
    assert len(files) == len(set(files)) == 2 * len(registry.TWO_PASSES) + 2
    assert files[:2] == ["brisk_walk_first.blend", "brisk_walk_polished.blend"]


def compared(tmp_path, capsys, first, polished=()):
    (tmp_path / "hop_truth.json").write_text(json.dumps({"faults": FAULTS}))
    shots = [
        {"file": f"/out/hop_{kind}.blend", "findings": list(findings)}
        for kind, findings in (("first", first), ("polished", polished))
    ]
    complete = run._compare(tmp_path, "hop", {"shots": shots})
    return complete, capsys.readouterr().out.splitlines()


def test_a_line_for_each_fault_and_one_for_the_rest(tmp_path, capsys):
    stray = {"check": "pop", "part": "head", "peak_frame": 12, "severity": "minor"}
    complete, lines = compared(tmp_path, capsys, [*FOUND, stray], [stray])
    assert complete
    assert [line.split() for line in lines] == [
        ["hop", "pop", "root", "frame", "12", "found,", "major"],
        ["hop", "double_frame", "whole", "body", "frame", "49", "found,", "major"],
        ["hop", "slide", "foot.L", "frames", "30", "to", "41", "found,", "major"],
        [
            "other",
            "findings:",
            "1,",
            "0",
            "major;",
            "in",
            "the",
            "polished",
            "pass:",
            "1,",
            "0",
            "major",
        ],
    ]
    assert max(len(line) for line in lines) <= 80


@pytest.mark.parametrize("change", [{"peak_frame": 44}, {"part": "foot.R"}, {"severity": "minor"}])
def test_a_fault_that_is_missed_or_only_minor_is_not_complete(tmp_path, capsys, change):
    complete, lines = compared(tmp_path, capsys, [*FOUND[:2], FOUND[2] | change])
    assert not complete
    assert lines[2].endswith("found, minor" if "severity" in change else "NOT FOUND")


def test_a_major_finding_in_the_polished_pass_is_not_complete(tmp_path, capsys):
    complete, lines = compared(tmp_path, capsys, FOUND, FOUND[:1])
    assert not complete
    assert lines[-1].endswith("in the polished pass: 1, 1 major")


def test_a_major_finding_that_nobody_planted_is_not_complete(tmp_path, capsys):
    stray = {"check": "pop", "part": "head", "peak_frame": 30, "severity": "major"}
    complete, lines = compared(tmp_path, capsys, [*FOUND, stray])
    assert not complete
    assert "other findings: 1, 1 major;" in lines[-1]
