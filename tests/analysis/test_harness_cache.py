# SPDX-License-Identifier: GPL-3.0-or-later
"""A folder in the cache is either complete or not there, whoever is interrupted or quicker."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.harness import ROOT
from tests.harness.cache import cache_folder, discard, publish
from tests.harness.errors import HarnessError


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_cache_folder_is_the_named_one(monkeypatch, tmp_path):
    monkeypatch.setenv("PLUMBLINE_CACHE", str(tmp_path / "here"))
    assert cache_folder() == tmp_path / "here"


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="their cache lies elsewhere")
def test_cache_folder_follows_xdg(monkeypatch, tmp_path):
    monkeypatch.delenv("PLUMBLINE_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "plumbline"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert cache_folder() == tmp_path / "home" / ".cache" / "plumbline"


def test_publish_builds_once(tmp_path):
    calls = []

    def build(partial):
        calls.append(partial)
        (partial / "file").write_text("x")

    for _ in range(2):
        assert publish(tmp_path / "folder", build) == tmp_path / "folder"
    assert len(calls) == 1
    assert names(tmp_path) == ["folder"]
    assert names(tmp_path / "folder") == ["file"]


@pytest.mark.parametrize("error", [HarnessError("no"), KeyboardInterrupt()])
def test_a_build_that_stops_leaves_nothing(tmp_path, error):
    def build(partial):
        (partial / "half").write_text("x")
        raise error

    with pytest.raises(type(error)):
        publish(tmp_path / "folder", build)
    assert names(tmp_path) == []


def test_a_killed_build_is_not_used_and_is_swept_after_a_day(tmp_path):
    script = "import os, sys; from pathlib import Path; from tests.harness.cache import publish\n"
    script += "publish(Path(sys.argv[1]), lambda partial: os._exit(9))"
    killed = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "folder")], cwd=ROOT, check=False
    )
    assert killed.returncode == 9
    (left,) = tmp_path.iterdir()
    assert left.name.startswith("folder.partial-")
    publish(tmp_path / "folder", lambda partial: (partial / "whole").touch())
    assert names(tmp_path) == ["folder", left.name]
    os.utime(left, (0, 0))
    publish(tmp_path / "another", lambda partial: None)
    assert names(tmp_path) == ["another", "folder"]


def test_the_quicker_of_two_builds_is_kept(tmp_path):
    def slow(partial):
        (partial / "by").write_text("slow")
        publish(tmp_path / "folder", lambda other: (other / "by").write_text("quick"))

    assert publish(tmp_path / "folder", slow) == tmp_path / "folder"
    assert (tmp_path / "folder" / "by").read_text() == "quick"
    assert names(tmp_path) == ["folder"]


def test_a_broken_folder_is_discarded_also_if_it_is_gone(tmp_path):
    publish(tmp_path / "folder", lambda partial: (partial / "file").touch())
    discard(tmp_path / "folder")
    discard(tmp_path / "folder")
    assert names(tmp_path) == []


def test_a_cache_that_cannot_be_written_is_a_sentence(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(HarnessError, match="PLUMBLINE_CACHE"):
        publish(Path(tmp_path / "file" / "folder"), lambda partial: None)
