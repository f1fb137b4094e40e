# SPDX-License-Identifier: GPL-3.0-or-later
"""What `python -m analysis check` leaves in files, and what it never replaces."""

import json
import os
import sys

import pytest
from command_line import one_sentence, run
from figures import figure

from analysis import save_clip
from analysis.cli.file_names import FileNames, safe_name


def test_findings_reports_and_codes(clean, popping, tmp_path):
    result = run(
        "check", clean, popping, "--json", tmp_path / "all.json", "--out", tmp_path / "each"
    )
    assert result.returncode == 10
    assert "2 shots checked, 1 finding (1 major)." in result.stdout
    report = json.loads((tmp_path / "all.json").read_text("utf-8"))
    assert [len(shot["findings"]) for shot in report["shots"]] == [0, 1]
    assert report["shots"][1]["findings"][0]["part"] == "root"
    assert sorted(p.name for p in (tmp_path / "each").iterdir()) == ["clean.json", "popping.json"]
    assert run("check", popping, "--fail-on", "never").returncode == 0
    assert run("check", popping, "--checks", "double_frame").returncode == 0


def test_what_is_no_report_is_never_replaced(clean, tmp_path):
    notes = tmp_path / "notes.json"
    notes.write_text('{"mine": 1}')
    for place, told in ((clean, "no Plumbline report"), (notes, "no Plumbline report")):
        before = place.read_bytes()
        result = run("check", clean, "--json", place)
        assert result.returncode == 2
        assert told in one_sentence(result)
        assert place.read_bytes() == before
    assert "is a folder" in one_sentence(run("check", clean, "--json", tmp_path))
    report = tmp_path / "report.json"
    assert [run("check", clean, "--json", report).returncode for _ in range(2)] == [0, 0]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["clean.npz", "notes.json", "report.json"]


def test_a_report_goes_into_a_pipe_and_through_a_link(clean, tmp_path):
    result = run("check", clean, "--json", "/dev/stdout")
    assert '"schema": "plumbline/1"' in result.stdout
    kept, link = tmp_path / "kept.json", tmp_path / "link.json"
    link.symlink_to(kept)
    assert run("check", clean, "--json", link).returncode == 0
    assert link.is_symlink()
    assert kept.is_file()


@pytest.mark.skipif(sys.platform != "linux", reason="other systems decode file names otherwise")
def test_a_file_name_that_is_no_text(tmp_path):
    path = os.fsdecode(bytes(tmp_path) + b"/odd\xff.npz")
    save_clip(path, figure())
    result = run("check", path, "--json", tmp_path / "out.json", "--out", tmp_path / "each")
    assert result.returncode == 0
    assert json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"][0]["file"] == path
    assert [p.name for p in (tmp_path / "each").iterdir()] == ["odd_.json"]


def test_names_become_files():
    assert safe_name("a/b:c*?.x") == "a_b_c__.x"
    assert safe_name("...") == "unnamed"
    assert safe_name("ё" * 300) == "ё" * 100


def test_files_of_one_name_get_numbers(tmp_path):
    names = FileNames(tmp_path, ".json")
    given = [names.new(name).name for name in ("Walk", "walk", "walk-2", "a/b", "a:b")]
    assert given == ["Walk.json", "walk-2.json", "walk-2-2.json", "a_b.json", "a_b-2.json"]


def test_one_bad_clip_does_not_stop_the_rest(clean, tmp_path):
    result = run("check", tmp_path / "none.npz", clean, "--json", tmp_path / "out.json")
    assert result.returncode == 3
    assert "not checked:" in result.stdout
    assert "none.npz does not exist" in result.stdout
    assert len(json.loads((tmp_path / "out.json").read_text("utf-8"))["shots"]) == 1


def test_one_report_of_everything_among_the_reports_of_each(clean, popping, tmp_path):
    each = tmp_path / "each"
    for name in ("clean.json", "Popping.JSON"):
        result = run("check", clean, popping, "--out", each, "--json", each / name)
        assert result.returncode == 10
        assert len(json.loads((each / name).read_text("utf-8"))["shots"]) == 2
    assert sorted(p.name for p in each.iterdir()) == [
        "Popping.JSON",
        "clean-2.json",
        "clean.json",
        "popping-2.json",
        "popping.json",
    ]


def test_files_that_a_run_writes_elsewhere_keep_their_names(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path)
    names = FileNames(tmp_path, ".json", taken=[tmp_path / "link" / "a.json", "b.json"])
    assert [names.new(name).name for name in "ab"] == ["a-2.json", "b.json"]
