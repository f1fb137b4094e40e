# SPDX-License-Identifier: GPL-3.0-or-later
"""A house style: what approved shots do is no finding any more, what goes beyond them is."""

import json
from functools import cache

import numpy as np
import pytest
from command_line import one_sentence, run
from figures import figure, names, spike

from analysis import Settings, SettingsError, check_clip, save_clip
from analysis.house_style import LEAST, learn
from analysis.style_file import read_style, write_style

POP = Settings(checks=("pop",), cycle="no")


def _shot(size, at=24):
    shift = spike(48, at, size)[:, None] * np.array([0.0, 0, 1])
    return figure(shift=shift)


@cache
def _style(*sizes):
    shots = [(f"shot{n}", _shot(size)) for n, size in enumerate(sizes)]
    return {each.check: each for each in learn(shots, POP)}


def _like(learned):
    return Settings(
        checks=("pop",), cycle="no", style={name: each.factor for name, each in learned.items()}
    )


def test_what_approved_shots_do_is_quiet_and_what_is_clearly_more_is_not():
    """The same pop, one step of the walk later: there it hides as much as in the approved shots."""
    assert names(check_clip(_shot(0.03), POP)) == [("pop", "root")]
    settings = _like(_style(0.03, 0.03, 0.03))
    assert names(check_clip(_shot(0.03, at=36), settings)) == []
    assert names(check_clip(_shot(0.045, at=36), settings)) == [("pop", "root")]


def test_the_factor_is_the_one_at_which_the_check_falls_silent():
    pop = _style(0.03)["pop"]
    at, below = (
        check_clip(_shot(0.03), Settings(checks=("pop",), cycle="no", style={"pop": factor}))
        for factor in (pop.factor, pop.factor * 0.95)
    )
    assert names(at) == []
    assert names(below) != []
    assert pop.widest == ("shot0", pytest.approx(pop.factor, abs=1e-3))


def test_percentiles_of_the_shots_as_numpy_gives_them():
    sizes = (0.0, 0.02, 0.025, 0.03)
    each = [_style(size)["pop"].factor for size in sizes]
    assert each == sorted(each)
    assert _style(*sizes)["pop"].factor == pytest.approx(max(each), abs=1e-3)
    many = [0.0] * 19 + [0.03]
    expected = np.percentile([each[0]] * 19 + [each[-1]], 95, method="higher")
    assert _style(*many)["pop"].factor == pytest.approx(expected, abs=1e-3)


def test_what_was_learned_from_few_shots_blames_none_of_them():
    sizes = (0.0, 0.0, 0.02, 0.025, 0.03)
    settings = _like(_style(*sizes))
    assert [names(check_clip(_shot(size), settings)) for size in sizes] == [[]] * 5


def test_quiet_shots_make_limits_strict_and_no_narrower():
    assert _style(0.0, 0.0)["pop"].factor == LEAST == 0.75


def test_a_plain_fault_in_an_approved_shot_is_not_learned():
    pop = _style(0.03, 0.6)["pop"]
    assert pop.beyond == ("shot1",)
    assert pop.factor == _style(0.03)["pop"].factor


def test_a_check_that_cannot_be_asked_is_not_learned():
    assert learn([("a", _shot(0.0))], Settings(checks=("loop_seam",), cycle="no")) == ()


def test_the_file_comes_back_and_replaces_only_styles(tmp_path):
    learned = learn([("a", _shot(0.03))], POP)
    path = write_style(tmp_path / "style.json", learned, ["a"])
    assert read_style(path) == {"pop": learned[0].factor}
    write_style(path, learned, ["a"])
    other = tmp_path / "other.json"
    other.write_text("{}")
    with pytest.raises(Exception, match="is no Plumbline style"):
        write_style(other, learned, ["a"])


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "cannot be read"),
        ("[]", "does not say"),
        ('{"style": "plumbline-style/1"}', "holds no checks"),
        ('{"style": "plumbline-style/1", "checks": {"pop": {"factor": 0}}}', "no factor above 0"),
        ('{"style": "plumbline-style/1", "checks": {"pop": true}}', "no factor above 0"),
    ],
)
def test_what_is_no_style_is_refused_in_a_sentence(tmp_path, content, says):
    path = tmp_path / "style.json"
    path.write_text(content)
    with pytest.raises(SettingsError, match=says):
        read_style(path)


def test_checks_of_another_version_are_left_out(tmp_path):
    path = tmp_path / "style.json"
    checks = {"pop": {"factor": 2}, "unheard": {"factor": 3}}
    path.write_text(json.dumps({"style": "plumbline-style/1", "checks": checks}))
    assert read_style(path) == {"pop": 2.0}


def test_learn_and_like_on_the_command_line(tmp_path):
    clip, style = tmp_path / "clip.npz", tmp_path / "style.json"
    save_clip(clip, _shot(0.03))
    alone = run("check", clip, "--checks", "pop", "--cycle", "no", "--fail-on", "minor")
    assert alone.returncode == 10
    result = run("learn", clip, "--out", style, "--cycle", "no")
    assert result.returncode == 0, result.stderr
    assert "pop" in result.stdout
    like = ("--checks", "pop", "--cycle", "no", "--like", style, "--fail-on", "minor")
    assert run("check", clip, *like).returncode == 0
    report = tmp_path / "report.json"
    run("check", clip, *like, "--json", report)
    assert json.loads(report.read_text())["settings"]["style"]["pop"] > 1.0


def test_learn_says_what_it_cannot_use(tmp_path):
    result = run("learn", tmp_path / "none.npz", "--out", tmp_path / "style.json")
    assert result.returncode == 2
    assert "none.npz" in one_sentence(result)
    assert not (tmp_path / "style.json").exists()
