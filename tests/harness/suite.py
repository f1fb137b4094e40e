# SPDX-License-Identifier: GPL-3.0-or-later
"""What `blender_test_runner.py` does: lint, tests without Blender, a bench, tests in Blenders."""

import contextlib
import subprocess
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from . import ROOT
from .blenders import (
    Blender,
    blender_command,
    home_blender,
    installed_blender,
    lowest_and_highest,
    packages_for,
)
from .captured_data import captured_variable
from .children import child_environment
from .environments import checks_environment
from .errors import HarnessError, say
from .extension import USER_FOLDER
from .extension_zip import build_zip
from .quality import run_twentieth
from .simulated_data import simulated_variable
from .staging import EXTENSION_ID, stage
from .steps import Steps

PURE_TESTS = "tests/analysis"
BLENDER_TESTS = "tests/addon"
PARTS = ("lint", "pure", "quality", "blender")
_IN_BLENDER = Path(__file__).with_name("in_blender.py")
# The type checker has to see the extension under a package name: `from ..analysis` needs a parent.
_TYPED_STAGE = ROOT / ".mypy_cache" / "stage" / EXTENSION_ID


@dataclass(frozen=True)
class Options:
    """What the command line asks for; no `only` means every part."""

    only: str | None = None
    blender: Path | None = None
    pytest_args: tuple[str, ...] = ()

    def wants(self, part: str) -> bool:
        """Whether that part of `PARTS` is to run; selected tests are run alone."""
        if self.only:
            return self.only == part
        if part in ("lint", "quality"):
            return not self.pytest_args
        folder = PURE_TESTS if part == "pure" else BLENDER_TESTS
        return bool(self.arguments_for(folder))

    def arguments_for(self, folder: str) -> list[str]:
        """pytest's arguments for one test folder; empty if tests were named and none lies there."""
        named = [argument for argument in self.pytest_args if _names_tests(argument)]
        others = [argument for argument in self.pytest_args if argument not in named]
        if not named:
            return [folder, *others]
        inside = [argument for argument in named if _is_inside(argument, folder)]
        return [*inside, *others] if inside else []


def run_suite(options: Options) -> int:
    """Run what the options ask for; returns the exit code."""
    steps = Steps(may_match_nothing=bool(options.pytest_args))
    targets = _targets(options) if options.wants("blender") else []
    if options.wants("lint"):
        _lint(steps)
    if options.wants("pure"):
        arguments = options.arguments_for(PURE_TESTS)
        steps.run("tests without Blender", lambda: _run_pure(arguments), tests=True)
    if options.wants("quality"):
        steps.run("a twentieth of the quality bench", run_twentieth)
    if targets:
        _test_in_blenders(steps, targets, options.arguments_for(BLENDER_TESTS))
    steps.print_summary()
    return steps.exit_code()


def build_only(out_dir: Path, blender: Path | None) -> int:
    """Build and validate the zip, and nothing else."""
    builder = installed_blender(blender) if blender else home_blender()
    with _writing_to(out_dir):
        say(f"Built and validated {build_zip(out_dir, builder)}")
    return 0


def link_only(dest: Path) -> int:
    """Write the stage for developers: edits in the checkout are live after Reload Scripts."""
    with _writing_to(dest):
        say(f"Linked the checkout as an extension in {stage(dest.absolute(), link=True)}")
    return 0


@contextlib.contextmanager
def _writing_to(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise HarnessError(f"{folder} cannot be written: {error.strerror}.") from error


def _targets(options: Options) -> list[Blender]:
    return [installed_blender(options.blender)] if options.blender else lowest_and_highest()


def _lint(steps: Steps) -> None:
    steps.run("ruff check", lambda: _run_module("ruff", "check", "."))
    steps.run("ruff format --check", lambda: _run_module("ruff", "format", "--check", "."))
    steps.run("mypy analysis", lambda: _run_module("mypy", "analysis"))
    steps.run("mypy addon", _type_check_addon)


def _type_check_addon() -> int:
    stage(_TYPED_STAGE, link=True)
    options = [f"--config-file={ROOT / 'pyproject.toml'}", f"--cache-dir={ROOT / '.mypy_cache'}"]
    return _run_module("mypy", *options, "-p", f"{EXTENSION_ID}.addon", folder=_TYPED_STAGE.parent)


def _run_pure(arguments: Sequence[str]) -> int:
    extra = {**captured_variable(), **simulated_variable()}
    return _run_module("pytest", *arguments, extra=extra)


def _run_module(
    module: str, *arguments: str, extra: Mapping[str, str] | None = None, folder: Path = ROOT
) -> int:
    command = [str(checks_environment()), "-m", module, *arguments]
    return subprocess.run(command, cwd=folder, env=child_environment(extra), check=False).returncode


def _test_in_blenders(steps: Steps, targets: Sequence[Blender], arguments: Sequence[str]) -> None:
    """Every Blender gets the same zip, built by the lowest: that is what users install."""
    with tempfile.TemporaryDirectory(prefix="plumbline-zip-") as folder:
        if not steps.run("extension zip", lambda: _build_into(Path(folder), targets[0])):
            return
        (path,) = Path(folder).glob("*.zip")
        for blender in targets:
            title = f"tests in {blender}"
            steps.run(title, lambda target=blender: _test_in(target, path, arguments), tests=True)


def _build_into(folder: Path, blender: Blender) -> int:
    say(f"Built and validated {build_zip(folder, blender).name} with {blender}")
    return 0


def _test_in(blender: Blender, path: Path, arguments: Sequence[str]) -> int:
    own = ["--zip", str(path)]
    packages = packages_for(blender)
    if packages:
        own += ["--packages", str(packages)]
    command = blender_command(blender, _IN_BLENDER, [*own, *arguments])
    with tempfile.TemporaryDirectory(prefix="plumbline-user-") as user:
        extra = {USER_FOLDER: user, **captured_variable()}
        done = subprocess.run(command, cwd=ROOT, env=child_environment(extra), check=False)
    return done.returncode


def _names_tests(argument: str) -> bool:
    """Whether it is a path of tests, with or without ::test, rather than an option's value."""
    return _is_inside(argument, "tests") and (ROOT / argument.partition("::")[0]).exists()


def _is_inside(argument: str, folder: str) -> bool:
    path = (ROOT / argument.partition("::")[0]).resolve()
    return path.is_relative_to(ROOT / folder)
