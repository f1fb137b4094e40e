# SPDX-License-Identifier: GPL-3.0-or-later
"""Expected failures, and how a command-line program of this project ends."""

import sys
from collections.abc import Callable
from typing import NoReturn

USAGE_EXIT = 2
INTERRUPTED_EXIT = 130


class HarnessError(Exception):
    """Something outside the code went wrong; the text is a sentence for the person who ran it."""


class SkippedError(HarnessError):
    """What was asked for cannot be had on this machine, through no fault of the code."""


def say(text: str) -> None:
    """Print a line at once, so that it stands before what a child process prints next."""
    print(text, flush=True)


def run_main(main: Callable[[], int]) -> NoReturn:
    """Exit with what `main` returns; an expected failure becomes its sentence and exit code 2."""
    try:
        code = main()
    except HarnessError as error:
        sys.stdout.flush()
        print(error, file=sys.stderr)
        code = USAGE_EXIT
    except KeyboardInterrupt:
        print("Interrupted.", file=sys.stderr)
        code = INTERRUPTED_EXIT
    sys.exit(code)
