# SPDX-License-Identifier: GPL-3.0-or-later
"""Which Blenders are chosen, what is said if none can run, and how a script is started in one."""

import os
import stat
from pathlib import Path

import pytest

from tests.harness import ROOT, blenders, pythons
from tests.harness.blenders import (
    DEBIAN_PACKAGES,
    Blender,
    blender_command,
    environment_for,
    home_blender,
    installed_blender,
    lowest_and_highest,
    packages_for,
    script_arguments,
)
from tests.harness.errors import HarnessError
from tests.harness.pythons import Python

README = ROOT / "README.md"
posix_only = pytest.mark.skipif(os.name == "nt", reason="writes a shell script")


def have_pythons(monkeypatch, *versions, running="3.11.7"):
    found = {v.rpartition(".")[0]: Python(Path(f"/py{v}"), v, True) for v in versions}
    monkeypatch.setattr(pythons, "find", found.get)
    monkeypatch.setattr(pythons, "running", lambda: Python(Path("/py"), running, True))


def program(path, text):
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


@pytest.mark.parametrize(
    ("versions", "chosen"),
    [
        (("3.11.7", "3.13.0"), ["4.2.23", "5.2.3"]),
        (("3.11.7",), ["4.2.23", "4.5.15"]),
        (("3.13.0",), ["5.2.3"]),
        (("3.12.1", "3.13.0"), ["5.2.3"]),
    ],
)
def test_lowest_and_highest(monkeypatch, versions, chosen):
    have_pythons(monkeypatch, *versions)
    assert [blender.version for blender in lowest_and_highest()] == chosen


@pytest.mark.parametrize(("running", "version"), [("3.11.7", "4.5.15"), ("3.13.0", "5.2.3")])
def test_home_blender(monkeypatch, running, version):
    have_pythons(monkeypatch, running, running=running)
    assert home_blender().version == version


def test_a_python_without_blender_is_told_what_to_do(monkeypatch):
    have_pythons(monkeypatch, "3.12.1", running="3.12.1")
    for ask in (home_blender, lowest_and_highest):
        with pytest.raises(HarnessError) as caught:
            ask()
        for part in ("Python 3.12.1", "python3.11 or python3.13", "--blender PATH"):
            assert part in str(caught.value)
    have_pythons(monkeypatch, "3.12.1", "3.13.0", running="3.12.1")
    with pytest.raises(HarnessError, match=r"\(found here: .*py3\.13\.0\)"):
        home_blender()


@posix_only
def test_an_installed_blender_is_asked_for_its_versions(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    path = program(
        tmp_path / "blender",
        """echo 'Blender 5.1.2'; echo 'plumbline-blender: ["5.1.2", "3.13"]'; echo quit""",
    )
    for named in (path, tmp_path, Path("blender")):
        assert installed_blender(named) == Blender("5.1.2", "3.13", path)


@posix_only
@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("""echo 'plumbline-blender: ["3.6.9", "3.10"]'""", "is Blender 3.6.9; .* 4.2 or newer"),
        ("exit 3", r"does not say which Blender it is \(exit code 3\)"),
        ("kill -SEGV $$", "does not say which Blender it is .*SIGSEGV"),
    ],
)
def test_what_is_no_usable_blender_is_said(tmp_path, text, sentence):
    path = program(tmp_path / "blender", text)
    with pytest.raises(HarnessError, match=sentence):
        installed_blender(path)


def test_a_path_without_a_blender_is_said(tmp_path):
    with pytest.raises(HarnessError, match="There is no Blender at"):
        installed_blender(tmp_path)


def test_a_script_gets_its_arguments_back(monkeypatch):
    monkeypatch.setattr(blenders, "environment_for", lambda blender: Path("/env/bin/python"))
    script, arguments = Path("/there/script.py"), ["--zip", "a b", "-k", "--"]
    wheel = blender_command(Blender("5.2.3", "3.13"), script, arguments)
    assert wheel[0] == str(Path("/env/bin/python"))
    assert script_arguments(wheel[1:], str(script)) == arguments
    installed = blender_command(Blender("5.2.2", "3.14", Path("/b/blender")), script, arguments)
    assert installed.index("--python-exit-code") < installed.index("--python")
    assert "--background" in installed
    assert script_arguments(installed, str(script)) == arguments


def test_an_installed_blender_has_no_environment_and_a_wheel_no_packages():
    with pytest.raises(HarnessError, match="no environment"):
        environment_for(Blender("5.2.2", "3.14", Path("/b/blender")))
    assert packages_for(Blender("5.2.3", "3.13")) is None


@posix_only
def test_a_missing_library_is_named_with_the_line_that_brings_it(monkeypatch, tmp_path):
    missing = "ImportError: libX11.so.6: cannot open shared object file: No such file or directory"
    python = program(tmp_path / "python", f"echo '{missing}' >&2; exit 1")
    have_pythons(monkeypatch, "3.11.7")
    monkeypatch.setattr(blenders, "environment", lambda *args, **kwargs: python)
    with pytest.raises(HarnessError) as caught:
        environment_for(Blender("4.2.23", "3.11"))
    assert "needs the shared library libX11.so.6" in str(caught.value)
    assert str(caught.value).endswith(DEBIAN_PACKAGES)


@posix_only
def test_any_other_import_failure_is_passed_on(monkeypatch, tmp_path):
    python = program(tmp_path / "python", "echo 'ImportError: numpy is broken' >&2; exit 1")
    have_pythons(monkeypatch, "3.11.7")
    monkeypatch.setattr(blenders, "environment", lambda *args, **kwargs: python)
    with pytest.raises(HarnessError, match=r"cannot be imported .ImportError: numpy is broken"):
        environment_for(Blender("4.2.23", "3.11"))


@pytest.mark.skipif(not README.is_file(), reason="there is no README.md in this tree")
def test_the_readme_names_the_debian_packages():
    assert DEBIAN_PACKAGES in README.read_text(encoding="utf-8")
