# SPDX-License-Identifier: GPL-3.0-or-later
"""Environments are keyed by what is in them; interpreters count only if they start."""

import os
import re
import stat
import sys
from pathlib import Path

import pytest

from tests.harness import environments, pins, pythons
from tests.harness.environments import environment, pip_environment, python_in
from tests.harness.errors import HarnessError
from tests.harness.pip import run_pip
from tests.harness.pythons import Python

OLD = Python(Path("/usr/bin/python3.11"), "3.11.2", True)
NEW = Python(Path("/usr/bin/python3.13"), "3.13.0", True)
posix_only = pytest.mark.skipif(os.name == "nt", reason="writes a shell script")


@pytest.fixture
def builds(monkeypatch, tmp_path):
    """The names of the environments that were built, in an empty cache, without pip."""
    built = []

    def build(partial, name, requirements, python):
        built.append(name)
        python_in(partial).parent.mkdir()
        python_in(partial).touch()

    monkeypatch.setenv("PLUMBLINE_CACHE", str(tmp_path))
    monkeypatch.setattr(environments, "_build", build)
    return built


def program(path, text):
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


def test_an_environment_is_built_once_and_says_where(builds, capsys, tmp_path):
    first = environment("checks", ("a==1", "b==2"), OLD, size="9 MB")
    said = capsys.readouterr().out
    assert environment("checks", ("b==2", "a==1"), OLD) == first
    assert builds == ["checks"]
    assert said.count("\n") == 1
    assert "2 packages, 9 MB" in said
    assert str(tmp_path) in said
    assert capsys.readouterr().out == ""


def test_other_pins_or_another_python_are_another_environment(builds):
    made = {
        environment("checks", ("a==1",), OLD),
        environment("checks", ("a==2",), OLD),
        environment("checks", ("a==1",), NEW),
        environment("other", ("a==1",), OLD),
    }
    assert len(made) == len(builds) == 4


def test_an_environment_whose_python_is_gone_is_built_again(builds):
    path = environment("checks", (), OLD)
    path.unlink()
    assert environment("checks", (), OLD) == path
    assert path.is_file()
    assert builds == ["checks", "checks"]


def test_without_ensurepip_the_package_to_install_is_named(monkeypatch, tmp_path):
    monkeypatch.setenv("PLUMBLINE_CACHE", str(tmp_path))
    with pytest.raises(HarnessError, match="apt-get install python3-venv"):
        environment("checks", (), Python(Path("/usr/bin/python3"), "3.11.2", False))


def test_pip_is_silent_until_it_fails(capfd):
    python = pip_environment()
    capfd.readouterr()  # it says so where it is built
    run_pip(python, ["--version"], purpose="say its version")
    assert capfd.readouterr() == ("", "")
    with pytest.raises(HarnessError, match=r"(?s)pip could not install it\. Its last .*ERROR"):
        run_pip(python, ["install", "--no-index", "plumbline-no-such"], purpose="install it")


def test_every_pin_is_exact():
    every = [*pins.CHECKS, *pins.PYTEST_ALONE, pins.CAPTURED]
    every += [pin for listed in pins.BPY.values() for pin in listed]
    assert [pin for pin in every if not re.fullmatch(r"[a-z0-9-]+==[\w.]+", pin)] == []


def test_the_lowest_blenders_get_numpy_1():
    assert "numpy==1.26.4" in pins.BPY["4.2.23"]
    assert [pin for pin in pins.BPY["5.2.3"] if pin.startswith("numpy==2.")]


def test_the_running_python_is_known():
    python = pythons.running()
    assert python.version == ".".join(map(str, sys.version_info[:3]))
    assert python.minor == "{}.{}".format(*sys.version_info)


@posix_only
def test_a_shim_that_does_not_start_is_not_a_python(tmp_path):
    shim = program(tmp_path / "python3.99", "echo 'command not found' >&2; exit 127")
    assert pythons.ask((str(shim),)) is None
    assert pythons.ask((str(tmp_path / "missing"),)) is None


@posix_only
def test_find_passes_over_shims_and_wrong_versions(monkeypatch, tmp_path):
    broken = program(tmp_path / "broken", "exit 1")
    bare = program(tmp_path / "bare", """echo '["/bare", "3.99.1", false]'""")
    whole = program(tmp_path / "whole", """echo '["/whole", "3.99.2", true]'""")
    wrong = program(tmp_path / "wrong", """echo '["/wrong", "3.9.9", true]'""")

    def candidates_are(*paths):
        pythons.find.cache_clear()
        monkeypatch.setattr(pythons, "_candidates", lambda minor: [(str(p),) for p in paths])

    candidates_are(broken, wrong, bare, whole)
    assert pythons.find("3.99") == Python(Path("/whole"), "3.99.2", True)
    candidates_are(broken, wrong, bare)
    assert pythons.find("3.99") == Python(Path("/bare"), "3.99.1", False)
    candidates_are(broken, wrong)
    assert pythons.find("3.99") is None
    pythons.find.cache_clear()


@posix_only
def test_pyenv_is_searched_newest_first(monkeypatch, tmp_path):
    for version in ("3.99.9", "3.99.10", "3.9.1"):
        folder = tmp_path / "versions" / version / "bin"
        folder.mkdir(parents=True)
        program(folder / "python3.99", f"""echo '["{folder}", "{version}", true]'""")
    monkeypatch.setenv("PYENV_ROOT", str(tmp_path))
    monkeypatch.setenv("PATH", "/bin:/usr/bin")
    found = pythons.find("3.99")
    assert found is not None
    assert found.version == "3.99.10"
