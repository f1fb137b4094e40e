# SPDX-License-Identifier: GPL-3.0-or-later
"""What `python -m analysis check` leaves in files, and what it never replaces."""

import json
import os
import sys

import pytest
from command_line import one_sentence, run, run_alone
from figures import figure
from schema import VALIDATOR

from analysis import save_clip
from analysis.cli.file_names import FileNames, safe_name


def test_findings_reports_and_codes(clean, popping, tmp_path):
    result = run_alone(
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
    result = run_alone("check", clean, "--json", "/dev/stdout")
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
    result = run_alone("check", path, "--json", tmp_path / "out.json", "--out", tmp_path / "each")
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


def test_a_place_that_cannot_be_written_is_refused_before_any_work(clean, tmp_path):
    """The clip does not even exist: what is told is the place, the first thing looked at."""
    notes = tmp_path / "notes.txt"
    notes.write_text("mine")
    for option in ("--out", "--json"):
        result = run("check", "none.npz", option, notes if option == "--out" else notes / "a.json")
        assert result.returncode == 2
        assert f"{notes} is a file, expected a folder" in one_sentence(result)
    each = tmp_path / "each"
    each.mkdir()
    (each / "clean.json").write_text('{"mine": 1}')
    result = run("check", clean, "none.npz", "--out", each)
    assert result.returncode == 2
    assert "clean.json exists and is no Plumbline report" in one_sentence(result)
    assert result.stdout == ""


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_folder_that_may_not_be_written_is_refused(clean, tmp_path):
    (tmp_path / "shut").mkdir(mode=0o500)
    for option, name in (("--out", "shut/new"), ("--json", "shut/a.json")):
        sentence = one_sentence(run("check", "none.npz", option, tmp_path / name))
        assert "may not be written" in sentence


def test_what_was_found_is_printed_whatever_happens_to_the_reports(popping, tmp_path):
    """A name that only writing shows to be too long."""
    result = run("check", popping, "--json", tmp_path / ("a" * 300), "--out", tmp_path / "each")
    assert result.returncode == 2
    assert "could not be written" in one_sentence(result)
    assert "1 shot checked, 1 finding" in result.stdout
    assert (tmp_path / "each" / "popping.json").is_file()


def test_each_input_keeps_its_report_s_name_when_another_fails(clean, tmp_path):
    (tmp_path / "two").mkdir()
    again = save_clip(tmp_path / "two" / "clean.npz", figure())
    first = json.loads(_second_report([clean, again], tmp_path / "both"))
    clean.write_bytes(b"broken")
    second = json.loads(_second_report([clean, again], tmp_path / "one"))
    assert first == second


def _second_report(clips, folder):
    run("check", *clips, "--out", folder)
    return (folder / "clean-2.json").read_text("utf-8")


def test_the_stage_in_the_report_is_the_one_that_was_judged(clean, tmp_path):
    block = save_clip(tmp_path / "block.npz", figure(stage="blocking"))
    everything, each = tmp_path / "all.json", tmp_path / "each"

    def stage(path):
        report = json.loads(path.read_text("utf-8"))
        VALIDATOR.validate(report)
        return report["settings"]["stage"]

    run("check", clean, block, "--json", everything, "--out", each)
    assert stage(everything) is None
    assert stage(each / "block.json") == "blocking"
    assert stage(each / "clean.json") == "polish"
    run("check", clean, block, "--json", everything, "--stage", "spline")
    assert stage(everything) == "spline"
