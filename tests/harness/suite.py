# SPDX-License-Identifier: GPL-3.0-or-later
"""What `blender_test_runner.py` does: lint, tests without Blender, a bench, tests in Blenders.

The last are run in Blender as a Python module, and by mouse in Blenders with a window.
"""

import contextlib
import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from . import ROOT
from .beforehand import Fetch, fetched_beside
from .blenders import (
    Blender,
    blender_command,
    environment_for,
    home_blender,
    installed_blender,
    lowest_and_highest,
    packages_for,
)
from .captured_data import captured_variable
from .children import Output, run_into
from .environments import checks_environment
from .errors import HarnessError, say
from .extension import USER_FOLDER
from .extension_zip import build_zip
from .quality import clean_sets_variable, run_fortieth
from .simulated_data import simulated_variable
from .staging import EXTENSION_ID, stage
from .steps import Step, Steps
from .window_tests import WindowOptions, fetches, window_steps

PURE_TESTS = "tests/analysis"
BLENDER_TESTS = "tests/addon"
PARTS = ("lint", "pure", "quality", "blender")
AT_ONCE = 2  # steps: a Blender with a scene takes a core and up to 2 GB
# The arrays are small: threads would only fight with the step beside for the cores.
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
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
        if part == "window":
            return not (self.pytest_args or self.blender)
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
    targets = _targets(options) if options.wants("blender") else []
    with fetched_beside(_fetches(options, targets)):
        return _run_steps(options, targets)


def _run_steps(options: Options, targets: Sequence[Blender]) -> int:
    steps = Steps(may_match_nothing=bool(options.pytest_args))
    if options.wants("lint"):
        _lint(steps)
    with tempfile.TemporaryDirectory(prefix="plumbline-zip-") as folder:
        inside = _in_blenders(steps, targets, options, Path(folder)) if targets else []
        sets = clean_sets_variable(Path(folder))
        # Long steps first, so that two cores are done at nearly the same time. The bench begins
        # when the tests without Blender have ended: by then they have built most of its clips.
        bench, windows = _quality(options, sets), _with_a_window(options, targets, Path(folder))
        beside = [*_without_blender(options, sets), *inside, *bench, *windows]
        steps.run_beside(beside, jobs=_jobs())
    steps.print_summary()
    return steps.exit_code()


def _fetches(options: Options, targets: Sequence[Blender]) -> list[list[Fetch]]:
    """What an empty cache lacks, in the order in which steps need it."""
    wheels = [partial(environment_for, blender) for blender in targets if not blender.executable]
    data: list[Fetch] = []
    if any(options.wants(part) for part in ("pure", "quality", "blender")):
        data.append(captured_variable)
    if options.wants("pure") or options.wants("quality"):
        data.append(simulated_variable)
    windows = fetches(targets[0]) if targets and options.wants("window") else []
    return [row for row in ([*wheels[:1], *data, *wheels[1:]], windows) if row]


def _without_blender(options: Options, sets: Mapping[str, str]) -> list[Step]:
    """The tests that need no Blender."""
    if not options.wants("pure"):
        return []
    # Those of the corpus itself go with the bench, unless they are named.
    every = [] if options.pytest_args else ["-m", "not corpus"]
    tests = partial(_run_pure, [*options.arguments_for(PURE_TESTS), *every], sets)
    return [Step("tests without Blender", tests, tests=True)]


def _quality(options: Options, sets: Mapping[str, str]) -> list[Step]:
    """The bench, in one process: tests run beside it."""
    if not options.wants("quality"):
        return []
    bench = partial(run_fortieth, jobs=1, sets=sets)
    return [Step("a fortieth of the quality bench", bench)]


def _jobs() -> int:
    return min(AT_ONCE, os.cpu_count() or 1)


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
    analysis = partial(_run_module, "mypy", "analysis")
    types = [
        Step("mypy analysis", lambda output: analysis(output=output)),
        Step("mypy addon", _type_check_addon),
    ]
    steps.run_beside(types, jobs=_jobs())


def _type_check_addon(output: Output) -> int:
    stage(_TYPED_STAGE, link=True)
    # A cache of its own: the step beside writes its own.
    cache = _TYPED_STAGE.parent / "cache"
    options = [f"--config-file={ROOT / 'pyproject.toml'}", f"--cache-dir={cache}"]
    package = f"{EXTENSION_ID}.addon"
    return _run_module("mypy", *options, "-p", package, folder=_TYPED_STAGE.parent, output=output)


def _run_pure(arguments: Sequence[str], sets: Mapping[str, str], output: Output) -> int:
    extra = {**captured_variable(), **simulated_variable(), **sets, **ONE_THREAD}
    return _run_module("pytest", *arguments, extra=extra, output=output)


def _run_module(
    module: str,
    *arguments: str,
    extra: Mapping[str, str] | None = None,
    folder: Path = ROOT,
    output: Output = None,
) -> int:
    command = [str(checks_environment()), "-m", module, *arguments]
    return run_into(command, output, extra, folder=folder)


def _in_blenders(
    steps: Steps, targets: Sequence[Blender], options: Options, folder: Path
) -> list[Step]:
    """Every Blender gets the same zip, built by the lowest: that is what users install."""
    if not steps.run("extension zip", lambda: _build_into(folder, targets[0])):
        return []
    (path,) = folder.glob("*.zip")
    arguments = options.arguments_for(BLENDER_TESTS)
    return [
        Step(f"tests in {blender}", partial(_test_in, blender, path, arguments), tests=True)
        for blender in targets
    ]


def _with_a_window(options: Options, targets: Sequence[Blender], folder: Path) -> list[Step]:
    """The scenarios, with the zip that was built into a folder: beside others nothing is timed."""
    built = [*folder.glob("*.zip")] if options.wants("window") else []
    return window_steps(built[0], targets[0], WindowOptions(timed=False)) if built else []


def _build_into(folder: Path, blender: Blender) -> int:
    say(f"Built and validated {build_zip(folder, blender).name} with {blender}")
    return 0


def _test_in(blender: Blender, path: Path, arguments: Sequence[str], output: Output) -> int:
    own = ["--zip", str(path)]
    packages = packages_for(blender)
    if packages:
        own += ["--packages", str(packages)]
    command = blender_command(blender, _IN_BLENDER, [*own, *arguments])
    with tempfile.TemporaryDirectory(prefix="plumbline-user-") as user:
        extra = {USER_FOLDER: user, **captured_variable(), **ONE_THREAD}
        return run_into(command, output, extra, folder=ROOT)


def _names_tests(argument: str) -> bool:
    """Whether it is a path of tests, with or without ::test, rather than an option's value."""
    return _is_inside(argument, "tests") and (ROOT / argument.partition("::")[0]).exists()


def _is_inside(argument: str, folder: str) -> bool:
    path = (ROOT / argument.partition("::")[0]).resolve()
    return path.is_relative_to(ROOT / folder)
