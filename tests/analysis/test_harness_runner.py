# SPDX-License-Identifier: GPL-3.0-or-later
"""The runner: exit codes that can fail, crashes in words, what a selection runs."""

import ast
import signal
import subprocess
import sys
import threading
import time
import zipfile
from pathlib import Path

import pytest

from tests.harness import ROOT
from tests.harness.captured_data import captured_variable, unpack
from tests.harness.causes import CauseOptions
from tests.harness.children import child_environment, describe_exit, exit_code, run_into
from tests.harness.errors import HarnessError, run_main
from tests.harness.quality import QualityOptions
from tests.harness.steps import Step, Steps
from tests.harness.suite import PARTS, Options

RUNNER = ROOT / "blender_test_runner.py"


def steps_with(*codes, may_match_nothing=False):
    steps = Steps(may_match_nothing=may_match_nothing)
    for code in codes:
        steps.run(f"step {code}", lambda code=code: code, tests=True)
    return steps


@pytest.mark.parametrize(
    ("codes", "expected"),
    [
        ((0, 0), 0),
        ((0, 1, 2), 1),
        ((0, 5), 5),
        ((0, -signal.SIGSEGV), 139),
        ((), 5),
        ((0xC0000005,), 1),
    ],
)
def test_the_first_failure_is_the_exit_code(codes, expected):
    assert steps_with(*codes).exit_code() == expected


@pytest.mark.parametrize(("codes", "expected"), [((5, 0), 0), ((5, 5), 5), ((5, 1), 1)])
def test_selected_tests_may_all_lie_in_one_step(codes, expected):
    assert steps_with(*codes, may_match_nothing=True).exit_code() == expected


def test_a_zip_that_was_built_is_no_test_that_ran():
    steps = Steps(may_match_nothing=True)
    steps.run("extension zip", lambda: 0)
    steps.run("tests", lambda: 5, tests=True)
    assert steps.exit_code() == 5


def test_an_expected_failure_is_a_sentence_and_the_next_step_runs(capsys):
    def fail():
        raise HarnessError("The wheel is gone.")

    steps = Steps()
    assert steps.run("first", fail) is False
    assert steps.run("second", lambda: 0) is True
    steps.print_summary()
    said = capsys.readouterr().out
    assert "The wheel is gone.\n" in said
    assert "Traceback" not in said
    assert steps.exit_code() == 2
    assert [result.outcome for result in steps.results] == ["could not run", "passed"]
    assert said.splitlines()[-1].endswith("exit code 2")


def child(text, code=0, wait_s=0.0):
    program = f"import time; time.sleep({wait_s}); print({text!r}); raise SystemExit({code})"
    return lambda output: run_into([sys.executable, "-c", program], output)


def test_steps_side_by_side_are_shown_in_their_order(capfd):
    def fail(_output):
        raise HarnessError("The wheel is gone.")

    steps = Steps()
    slow, quick = child("slow one", wait_s=0.5), child("quick one", code=3)
    steps.run_beside([Step("a", slow), Step("b", quick, tests=True), Step("c", fail)], jobs=2)
    said = capfd.readouterr().out
    order = [said.index(text) for text in ("] a", "slow one", "] b", "quick one", "] c", "wheel")]
    assert order == sorted(order)
    assert [result.code for result in steps.results] == [0, 3, 2]
    assert steps.exit_code() == 3
    assert sum(result.seconds for result in steps.results) < 5.0


@pytest.mark.parametrize(("jobs", "at_once"), [(1, 1), (2, 2)])
def test_so_many_steps_run_at_a_time(jobs, at_once):
    running, most, lock = [0], [0], threading.Lock()

    def action(_output):
        with lock:
            running[0] += 1
            most[0] = max(most[0], running[0])
        time.sleep(0.1)
        with lock:
            running[0] -= 1
        return 0

    steps = Steps()
    steps.run_beside([Step(str(n), action) for n in range(4)], jobs=jobs)
    assert most[0] == at_once
    assert [result.title for result in steps.results] == ["0", "1", "2", "3"]


@pytest.mark.parametrize("code", [-signal.SIGSEGV, 128 + signal.SIGSEGV])
def test_a_crash_is_told_in_words(code):
    assert describe_exit(code).startswith("crashed (")
    assert "SIGSEGV" in describe_exit(code)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (0xC0000005, "crashed (access violation)"),
        (5, "found no test to run"),
        (77, "ended with exit code 77"),
    ],
)
def test_other_exits_in_words(code, words):
    assert describe_exit(code) == words


def test_no_failure_becomes_success():
    assert [
        code for code in (*range(-200, 0), *range(1, 600)) if not 0 < exit_code(code) < 256
    ] == []
    assert exit_code(0) == 0


def test_children_do_not_inherit_the_callers_python_or_blender(monkeypatch):
    for name in ("PYTHONPATH", "PYTHONHOME", "BLENDER_USER_RESOURCES", "BLENDER_SYSTEM_SCRIPTS"):
        monkeypatch.setenv(name, "/elsewhere")
    monkeypatch.setenv("KEPT", "1")
    environment = child_environment({"BLENDER_USER_RESOURCES": "/ours"})
    assert "/elsewhere" not in environment.values()
    assert environment["KEPT"] == "1"
    assert environment["BLENDER_USER_RESOURCES"] == "/ours"


@pytest.mark.parametrize(
    ("arguments", "pure", "blender"),
    [
        ((), ["tests/analysis"], ["tests/addon"]),
        (
            ("-k=tests", "-x"),
            ["tests/analysis", "-k=tests", "-x"],
            ["tests/addon", "-k=tests", "-x"],
        ),
        (("tests/addon/conftest.py::x", "-x"), [], ["tests/addon/conftest.py::x", "-x"]),
        (
            ("-m", "analysis"),
            ["tests/analysis", "-m", "analysis"],
            ["tests/addon", "-m", "analysis"],
        ),
    ],
)
def test_pytest_arguments_go_where_their_tests_are(arguments, pure, blender):
    options = Options(pytest_args=arguments)
    assert options.arguments_for("tests/analysis") == pure
    assert options.arguments_for("tests/addon") == blender
    assert options.wants("pure") == bool(pure)
    assert options.wants("lint") == (not arguments)


def test_one_part_alone():
    options = Options(only="pure")
    assert [part for part in PARTS if options.wants(part)] == ["pure"]


def test_the_bench_is_part_of_a_whole_run_only():
    assert Options().wants("quality")
    assert not Options(pytest_args=("-k=loop",)).wants("quality")


def test_the_bench_of_causes_gets_what_was_asked_for(tmp_path):
    asked = CauseOptions(share=0.2, half="A", kinds="late", jobs=1, json=tmp_path / "out.json")
    assert asked.arguments == [
        "--gate",
        "--share=0.2",
        "--jobs=1",
        "--half=A",
        "--kinds=late",
        f"--json={tmp_path / 'out.json'}",
    ]


def test_the_bench_gets_what_was_asked_for(tmp_path):
    asked = QualityOptions(share=0.2, only_checks="pop,hitch", json=tmp_path / "out.json")
    assert asked.arguments == [
        "--gate",
        "--share=0.2",
        "--checks=pop,hitch",
        f"--json={tmp_path / 'out.json'}",
    ]


def test_old_pythons_can_read_the_runner():
    tree = ast.parse(RUNNER.read_text(encoding="utf-8"), feature_version=(3, 6))
    first = next(node for node in tree.body if isinstance(node, ast.If))
    after = [node for node in tree.body if node.lineno > first.lineno]
    assert "version_info" in ast.unparse(first.test)
    assert any(isinstance(node, ast.ImportFrom) and "tests" in node.module for node in after)


@pytest.mark.parametrize(
    ("arguments", "code", "text"),
    [
        (["--help"], 0, "Arguments after -- go to pytest"),
        (["--only", "nothing"], 2, "invalid choice"),
        (["--share", ".1"], 2, "go with --quality or --causes: add one."),
        (["--half", "A"], 2, "go with --causes: add it."),
        (["--blender", "no/such/blender"], 2, "There is no Blender at"),
        (["--link", str(ROOT)], 2, "not a staged Plumbline"),
    ],
)
def test_the_command_line(arguments, code, text):
    done = subprocess.run(
        [sys.executable, str(RUNNER), *arguments],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == code
    assert text in done.stdout + done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("error", "code"), [(HarnessError("Say this."), 2), (KeyboardInterrupt(), 130)]
)
def test_main_ends_in_a_sentence(capsys, error, code):
    def main():
        raise error

    with pytest.raises(SystemExit) as caught:
        run_main(main)
    assert caught.value.code == code
    assert len(capsys.readouterr().err.splitlines()) == 1


WHEEL = (
    "pybullet_data/data/motions/humanoid3d_walk.txt",
    "pybullet_data/data/motions/walker/turn.txt",
    "pybullet_data/humanoid/humanoid.urdf",
    "pybullet-3.2.7.dist-info/LICENSE.txt",
)
UNWANTED = ("pybullet.so", "pybullet_data/humanoid/other.urdf", "pybullet_data/data/plane.obj")


def wheel(path, names):
    with zipfile.ZipFile(path, "w") as archive:
        for name in names:
            archive.writestr(name, name)
    return path


def test_only_motions_body_and_licence_are_unpacked(tmp_path):
    unpack(wheel(tmp_path / "p.whl", [*WHEEL, *UNWANTED]), tmp_path / "out")
    files = {path.relative_to(tmp_path / "out") for path in (tmp_path / "out").rglob("*.*")}
    assert {path for path in files if (tmp_path / "out" / path).is_file()} == set(map(Path, WHEEL))


def test_a_wheel_without_motions_is_refused(tmp_path):
    with pytest.raises(HarnessError, match="does not hold the captured motions"):
        unpack(wheel(tmp_path / "p.whl", WHEEL[2:]), tmp_path / "out")


def test_a_folder_that_the_caller_names_is_passed_on(monkeypatch):
    monkeypatch.setenv("PLUMBLINE_CAPTURED", "/data")
    assert captured_variable() == {"PLUMBLINE_CAPTURED": "/data"}
