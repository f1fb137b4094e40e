# SPDX-License-Identifier: GPL-3.0-or-later
"""Blenders with a window: a machine that cannot have them says why, and nothing fails for it."""

import os
import sys

import pytest

from tests.harness import windows
from tests.harness.errors import HarnessError, SkippedError
from tests.harness.steps import Steps
from tests.harness.suite import Options
from tests.harness.window_tests import WindowOptions


def test_a_step_that_cannot_be_had_here_is_skipped_with_a_sentence(capsys):
    def skip():
        raise SkippedError("There is no such Debian.")

    steps = Steps()
    assert steps.run("window", skip) is True
    assert steps.exit_code() == 0
    assert steps.results[0].outcome == "skipped"
    assert "Skipped: There is no such Debian.\n" in capsys.readouterr().out


def test_without_root_it_is_skipped_before_anything_is_fetched(monkeypatch, tmp_path):
    monkeypatch.setenv("PLUMBLINE_CACHE", str(tmp_path))
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)
    with pytest.raises(SkippedError, match="needs root"):
        windows.system_of(windows.WINDOWED[0])
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("printed", ["Blender 4.4.1\n", "no such program\n"])
def test_a_release_with_another_blender_is_skipped(monkeypatch, tmp_path, printed):
    monkeypatch.setattr(windows, "run_quietly", lambda _command: (0, printed))
    with pytest.raises(SkippedError, match="Debian trixie"):
        windows._refuse_version(windows.Windowed("trixie", "4.3"), tmp_path)


def test_a_normal_run_has_them_and_selected_tests_do_not():
    assert Options().wants("window")
    assert not Options(pytest_args=("-k=loop",)).wants("window")
    assert not Options(only="pure").wants("window")


def test_a_release_without_a_blender_is_refused():
    assert [each.blender for each in WindowOptions(release="sid").wanted] == ["5.2"]
    with pytest.raises(HarnessError, match="expected one of trixie and sid"):
        _ = WindowOptions(release="woody").wanted
