# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis check --causes`: causes without Blender, in text and report."""

import json

import pytest
from command_line import run
from schema import VALIDATOR


def test_causes_are_told_where_they_are_asked_for(popping, tmp_path):
    out = tmp_path / "out.json"
    result = run("check", popping, "--causes", "--json", out)
    assert result.returncode == 10, result.stderr
    assert "\n  cause   " in result.stdout
    report = json.loads(out.read_text("utf-8"))
    VALIDATOR.validate(report)
    (finding,) = report["shots"][0]["findings"]
    assert sum(cause["share"] for cause in finding["causes"]) == pytest.approx(1.0, abs=0.02)
    assert {cause["action"] for cause in finding["causes"]} == {None}  # the clip has no curves


def test_causes_are_not_looked_for_unless_asked(popping, tmp_path):
    out = tmp_path / "out.json"
    assert "\n  cause   " not in run("check", popping, "--json", out).stdout
    finding = json.loads(out.read_text("utf-8"))["shots"][0]["findings"][0]
    assert finding["causes"] == []
