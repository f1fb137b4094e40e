# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs the runner's steps, one after the other or side by side, and prints how each ended."""

import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from .children import Output, describe_exit, exit_code
from .errors import USAGE_EXIT, HarnessError, SkippedError, say

NOTHING_COLLECTED = 5
SKIPPED = "skipped"
POLL_S = 0.2


@dataclass(frozen=True)
class Step:
    """A step that may run beside others: its action gets the output that its children write to."""

    title: str
    action: Callable[[Output], int]
    tests: bool = False


@dataclass(frozen=True)
class Result:
    """How one step ended."""

    title: str
    code: int
    outcome: str
    seconds: float
    ran_tests: bool


class Steps:
    """The steps of one run; a failed one does not keep the others from running."""

    def __init__(self, *, may_match_nothing: bool = False) -> None:
        """`may_match_nothing`: tests were selected, so one step may have none of them."""
        self.results: list[Result] = []
        self._may_match_nothing = may_match_nothing
        self._start = time.monotonic()

    def run(self, title: str, action: Callable[[], int], *, tests: bool = False) -> bool:
        """Run one step, whose action returns an exit code; whether it ended with 0.

        `tests`: the action runs pytest, so that its code speaks of tests.
        """
        self._headline(title)
        result, said = _ended(Step(title, lambda _output: action(), tests), None)
        self._keep(result, said)
        return result.code == 0

    def run_beside(self, steps: Sequence[Step], jobs: int) -> None:
        """Run steps, so many at a time, in their order; what they print is shown in that order."""
        with tempfile.TemporaryDirectory(prefix="plumbline-steps-") as folder:
            files = [Path(folder) / str(n) for n in range(len(steps))]
            for path in files:
                path.touch()
            with ThreadPoolExecutor(max_workers=jobs) as pool:
                ends = [pool.submit(_into, s, f) for s, f in zip(steps, files, strict=True)]
                try:
                    for step, path, end in zip(steps, files, ends, strict=True):
                        self._headline(step.title)
                        _follow(path, end)
                        self._keep(*end.result())
                finally:  # interrupted, nothing more is to begin
                    pool.shutdown(wait=False, cancel_futures=True)

    def _headline(self, title: str) -> None:
        say(f"\n[{time.monotonic() - self._start:6.1f} s] {title}")

    def _keep(self, result: Result, said: str) -> None:
        if said:
            say(said)
        if result.code not in (0, 1):
            say(f"{result.title}: {result.outcome}")
        self.results.append(result)

    def exit_code(self) -> int:
        """The first failing step's code; 0 only if all passed and something was run."""
        codes = [result.code for result in self.results]
        test_codes = {result.code for result in self.results if result.ran_tests}
        if self._may_match_nothing and test_codes - {NOTHING_COLLECTED}:
            codes = [code for code in codes if code != NOTHING_COLLECTED]
        failing = [code for code in codes if code]
        return exit_code(failing[0]) if failing else (0 if codes else NOTHING_COLLECTED)

    def print_summary(self) -> None:
        """One line a step: what, how it ended, how long it took."""
        width = max((len(result.title) for result in self.results), default=0)
        say("\n" + "-" * (width + 28))
        for result in self.results:
            say(f"{result.title:{width}}  {result.seconds:7.1f} s  {result.outcome}")
        total = time.monotonic() - self._start
        verdict = "all passed" if self.exit_code() == 0 else f"exit code {self.exit_code()}"
        say(f"{'total':{width}}  {total:7.1f} s  {verdict}")


def _into(step: Step, path: Path) -> tuple[Result, str]:
    with path.open("wb") as output:
        return _ended(step, output)


def _ended(step: Step, output: Output) -> tuple[Result, str]:
    """How a step ended, and the sentence that says why it could not run."""
    begun, said = time.monotonic(), ""
    try:
        code = step.action(output)
        outcome = describe_exit(code) if step.tests or code < 0 else _plain_outcome(code)
    except SkippedError as why:
        said, code, outcome = f"Skipped: {why}", 0, SKIPPED
    except HarnessError as error:
        said, code, outcome = str(error), USAGE_EXIT, "could not run"
    return Result(step.title, code, outcome, time.monotonic() - begun, step.tests), said


def _follow(path: Path, end: Future[tuple[Result, str]]) -> None:
    """Show a file while it grows, until its step has ended."""
    with path.open("rb") as written:
        while True:
            over = end.done()
            sys.stdout.buffer.write(written.read())
            sys.stdout.flush()
            if over:
                return
            time.sleep(POLL_S)


def _plain_outcome(code: int) -> str:
    return "failed" if code else "passed"
