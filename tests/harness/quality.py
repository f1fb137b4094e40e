# SPDX-License-Identifier: GPL-3.0-or-later
"""The quality bench as the runner starts it: in the checks environment, with captured and
simulated motion.

A full run takes three quarters of an hour on two cores; a fortieth of it, the same cases each
time, is a step of every run.
"""

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from . import ROOT
from .captured_data import captured_variable
from .children import Output, run_into
from .environments import checks_environment
from .simulated_data import simulated_variable

# What a normal run takes of the bench.
FORTIETH = 0.025
# See tests/quality/kept.py, which this one cannot import: it needs numpy.
_CLEAN_SETS = "PLUMBLINE_CLEAN_SETS"


@dataclass(frozen=True)
class QualityOptions:
    """What is asked of the bench: a share of its cases, some checks alone, files to write, and in
    how many processes (None: as many as it takes by itself)."""

    share: float = 1.0
    only_checks: str | None = None
    json: Path | None = None
    markdown: Path | None = None
    jobs: int | None = None

    @property
    def arguments(self) -> list[str]:
        """The bench's own arguments."""
        found = ["--gate", f"--share={self.share:g}"]
        if self.only_checks:
            found.append(f"--checks={self.only_checks}")
        if self.jobs:
            found.append(f"--jobs={self.jobs}")
        for name in ("json", "markdown"):
            path = getattr(self, name)
            if path is not None:
                found.append(f"--{name}={path.absolute()}")
        return found


def run_quality(options: QualityOptions) -> int:
    """Run the bench; its exit code is 1 on a gross regression. A whole run measures the corpus
    itself before, with the tests that take too long for every run."""
    if options.share == 1.0 and not options.only_checks:
        code = _in_checks(["pytest", "-m", "corpus", "tests/analysis"])
        if code:
            return code
    return _run(options.arguments)


def run_fortieth(
    output: Output = None, *, jobs: int | None = None, sets: Mapping[str, str] | None = None
) -> int:
    """Run the fixed fortieth of the bench; `sets`: what `clean_sets_variable` gave for the run."""
    return _run(QualityOptions(share=FORTIETH, jobs=jobs).arguments, output, sets)


def clean_sets_variable(folder: Path) -> dict[str, str]:
    """The environment variable that lets processes of one run share clean sets in that folder."""
    place = folder / "clean-sets"
    place.mkdir()
    return {_CLEAN_SETS: str(place)}


def _run(
    arguments: Sequence[str], output: Output = None, extra: Mapping[str, str] | None = None
) -> int:
    return _in_checks(["tests.quality.bench", *arguments], output, extra)


def _in_checks(
    arguments: Sequence[str], output: Output = None, extra: Mapping[str, str] | None = None
) -> int:
    command = [str(checks_environment()), "-m", *arguments]
    sys.stdout.flush()
    every = {**captured_variable(), **simulated_variable(), **(extra or {})}
    return run_into(command, output, every, folder=ROOT)
