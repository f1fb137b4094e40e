# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs the runner's steps one after the other, prints headlines and the table at the end."""

import time
from collections.abc import Callable
from dataclasses import dataclass

from .children import describe_exit, exit_code
from .errors import USAGE_EXIT, HarnessError, say

NOTHING_COLLECTED = 5


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
        begun = time.monotonic()
        say(f"\n[{begun - self._start:6.1f} s] {title}")
        try:
            code = action()
            outcome = describe_exit(code) if tests or code < 0 else _plain_outcome(code)
        except HarnessError as error:
            say(str(error))
            code, outcome = USAGE_EXIT, "could not run"
        if code not in (0, 1):
            say(f"{title}: {outcome}")
        self.results.append(Result(title, code, outcome, time.monotonic() - begun, tests))
        return code == 0

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


def _plain_outcome(code: int) -> str:
    return "failed" if code else "passed"
