# SPDX-License-Identifier: GPL-3.0-or-later
"""The check JSON: its schema, its order, its bytes, its exit codes."""

import json
from dataclasses import replace
from itertools import pairwise

import jsonschema
import numpy as np
import pytest
from figures import figure, spike
from schema import SCHEMA, VALIDATOR

import analysis
from analysis import Settings, build_report, check_clip, dump_report
from analysis.checks import REGISTRY
from analysis.cli.listing import checks_text
from analysis.errors import PlumblineError
from analysis.report import exit_code, write_report
from analysis.summary import shot_text, total_text


def faulty_shot(**options):
    shift = np.outer(spike(49, 20, 0.03), [0, 0, 1])
    settings = Settings(cycle="yes", **options)
    return check_clip(figure(frames=49, shift=shift), settings, file="walk.npz"), settings


def test_the_schema_is_a_schema_and_the_report_fits_it():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    for frames in (49, 48, 6, 2):
        shot = check_clip(figure(frames=frames), Settings(), file="a.npz", scene="Scene")
        VALIDATOR.validate(build_report([shot], Settings(), blender="5.2.0"))
    shot, settings = faulty_shot()
    report = build_report([shot], settings)
    VALIDATOR.validate(report)
    assert len(report["shots"][0]["findings"]) == 2


@pytest.mark.parametrize("broken", ["severity", "part", "says", "extra", "frames"])
def test_the_schema_refuses_what_is_wrong(broken):
    shot, settings = faulty_shot()
    report = json.loads(dump_report(build_report([shot], settings)))
    finding = report["shots"][0]["findings"][0]
    finding.update(
        {
            "severity": {"severity": "huge"},
            "part": {"part": "left hand"},
            "says": {"says": ""},
            "extra": {"colour": "red"},
            "frames": {"frames": [1]},
        }[broken]
    )
    assert not VALIDATOR.is_valid(report)


def test_every_key_of_the_contract_is_there():
    shot, settings = faulty_shot()
    report = build_report([shot], settings)
    assert report["schema"] == "plumbline/1"
    assert report["plumbline"] == analysis.__version__
    finding = report["shots"][0]["findings"][-1]
    assert finding["id"] == "pop:root:21"
    assert finding["frames"] == [21, 21]
    assert finding["suggest"]["frame"] == 21
    assert len(finding["suggest"]["position"]) == 3


def test_the_same_input_gives_the_same_bytes():
    one, two = (dump_report(build_report([faulty_shot()[0]], Settings())) for _ in range(2))
    assert one == two


def test_writing_is_whole_or_not_at_all(tmp_path):
    shot, settings = faulty_shot()
    path = write_report(tmp_path / "new" / "out.json", build_report([shot], settings))
    VALIDATOR.validate(json.loads(path.read_text("utf-8")))
    assert [p.name for p in path.parent.iterdir()] == ["out.json"]
    blocked = tmp_path / "file"
    blocked.write_text("here")
    with pytest.raises(PlumblineError, match="file is a file, expected a folder"):
        write_report(blocked / "out.json", {})


def test_exit_codes():
    bad, _settings = faulty_shot()
    good = check_clip(figure(), Settings(cycle="yes"))
    assert exit_code([good], failed=0, fail_on="major") == 0
    assert exit_code([good, bad], failed=0, fail_on="major") == 10
    assert exit_code([bad], failed=0, fail_on="never") == 0
    assert exit_code([bad], failed=1, fail_on="major") == 3
    assert exit_code([], failed=1, fail_on="major") == 2


def test_the_mark_stays_when_the_shot_is_moved_in_time_and_place():
    shift = np.outer(spike(48, 20, 0.03), [0, 0, 1])
    clip = figure(shift=shift)
    late = replace(clip, frames=clip.frames + 100, positions=clip.positions + [5.0, -3.0, 0.0])
    one, two = (check_clip(each, Settings(cycle="no")).findings[0] for each in (clip, late))
    assert one.mark == two.mark
    assert one.id != two.id
    elsewhere = figure(shift=np.outer(spike(48, 26, 0.03), [0, 0, 1]))
    assert check_clip(elsewhere, Settings(cycle="no")).findings[0].mark != one.mark


def test_text_fits_eighty_columns_and_says_it_all():
    shot, _settings = faulty_shot()
    text = shot_text(shot)
    assert max(map(len, text.splitlines())) <= 80
    assert "\x1b" not in text
    for finding in shot.findings:
        assert finding.says.split()[0] in text
        assert f"[{finding.check}]" in text
    assert total_text([shot], [("b.npz", "b.npz does not exist.")]) == (
        "not checked: b.npz does not exist.\n1 shot checked, 2 findings (2 major)."
    )


@pytest.mark.parametrize("width", range(40, 81))
def test_no_line_ends_between_a_number_and_its_unit(width):
    told = "It slips 4.2 cm, falls at 9.8 m/s2, turns by 12 degrees, and hangs for 50 % of 1.75 m."
    text = shot_text(replace(check_clip(figure()), good=(told,)), width=width)
    ends = [line.split()[-1] for line in text.splitlines()]
    assert not [end for end in ends if end in ("4.2", "9.8", "12", "50", "1.75")]
    assert told in " ".join(text.split())
    assert max(len(line) for line in text.splitlines()[1:]) <= width


def test_a_shot_that_no_check_could_judge_says_so_and_why():
    short = check_clip(figure(frames=3), Settings(), file="short.npz")
    text = " ".join(shot_text(short).split())
    assert "nothing could be judged (double_frame, loop_seam: the range" in text
    assert "; pop, knee_pop, stuck_turn: needs 9 frames" in text
    assert "skipped" not in text
    assert total_text([short], []) == "1 shot read, nothing could be judged."
    assert total_text([short, faulty_shot()[0]], []) == (
        "2 shots checked, 2 findings (2 major); in 1 of them nothing could be judged."
    )


def test_checks_that_nobody_asked_for_are_no_news():
    settings = Settings(checks=("pop",))
    shot = check_clip(figure(), settings, file="walk.npz")
    assert len(build_report([shot], settings)["shots"][0]["skipped"]) == len(REGISTRY) - 1
    assert "skipped" not in shot_text(shot)


def test_names_that_steer_a_terminal_are_written_out():
    shot, _settings = faulty_shot()
    odd = replace(
        shot,
        file="a\x1b[2J.npz",
        rig="b\nc",
        findings=tuple(replace(each, says=f"\x07{each.says}") for each in shot.findings),
    )
    text = shot_text(odd) + total_text([odd], [("d", "d\x1b[1m does not exist.")])
    assert not set(text) & {"\x1b", "\x07"}
    assert r"b\nc: frames" in text


def test_what_is_good_over_the_whole_range_does_not_say_the_range_again():
    shot = check_clip(figure(frames=40), Settings(cycle="no"), file="walk.npz")
    text = shot_text(shot, width=300)
    assert "Nothing stops dead from frame 1 to 40." in shot.good
    assert "  good    Nothing stops dead.\n" in text
    assert "  good    No point leaves its path from frame 4 to 37.\n" in text
    assert text.count("1 to 40") == 1


def test_every_check_describes_itself():
    for check in REGISTRY:
        info = check.info
        for name, value in vars(info).items():
            assert value or name == "limit_in_full", info.name
        assert info.question.endswith("?")
        assert set(info.stages) <= {"blocking", "spline", "polish"}
    assert len({check.info.name for check in REGISTRY}) == len(REGISTRY)


def test_a_limit_is_one_line_and_its_rules_stand_below_it():
    lines = checks_text([check.info for check in REGISTRY], width=100).splitlines()
    assert max(map(len, lines)) <= 100
    after = dict(pairwise(lines))
    for check in REGISTRY:
        line = f"  limit   {check.info.limit}"
        assert after[line].startswith("  in full - " if check.info.limit_in_full else "  mend  ")
    rules = [line for line in lines if line.startswith(("  in full - ", "          - "))]
    full = [check.info.limit_in_full for check in REGISTRY if check.info.limit_in_full]
    assert len(rules) == sum(1 + each.count("; ") for each in full) > len(full) > 0
