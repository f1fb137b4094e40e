# SPDX-License-Identifier: GPL-3.0-or-later
"""What both command lines do alike: parse, check one input after another, end with a code."""

import argparse
import io
import sys
from collections.abc import Callable, Sequence
from typing import TypeVar

from ..checks import REGISTRY
from ..errors import PlumblineError
from ..finding import Shot
from ..pipeline import choose_checks
from ..report import EXIT_CLEAN, EXIT_USAGE, refuse_report_place
from ..settings import Settings
from .listing import checks_text
from .options import build_parser, settings_from, take_back_files
from .outputs import Failure, finish, show

Input = TypeVar("Input")


def run(
    prog: str,
    argv: Sequence[str] | None,
    check: Callable[[argparse.Namespace], int],
    *,
    blender: bool,
) -> int:
    """Run `check` or `checks`; returns the exit code and never raises an expected error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # names of any script, on terminals of any
            stream.reconfigure(errors="backslashreplace")
    try:
        options = build_parser(prog, blender=blender).parse_args(argv)
        if options.command == "checks":
            show(checks_text([each.info for each in REGISTRY]))
            return EXIT_CLEAN
        if blender:
            take_back_files(options)
        return check(options)
    except PlumblineError as error:
        say(prog, str(error))
        return EXIT_USAGE
    except SystemExit as leaving:  # --help and --version
        return int(leaving.code or 0)


def check_inputs(
    prog: str,
    options: argparse.Namespace,
    inputs: Sequence[Input],
    check_one: Callable[[Input, Settings], list[Shot]],
    *,
    blender: str | None = None,
) -> int:
    """Check inputs one after another; one that fails does not stop the rest."""
    settings = settings_from(options)
    choose_checks(settings)
    if options.json:
        refuse_report_place(options.json)
    shots: list[Shot] = []
    failed: list[Failure] = []
    for each in inputs:
        try:
            shots += check_one(each, settings)
        except PlumblineError as error:
            failed.append((str(each), str(error)))
    if not shots:
        for _input, reason in failed:
            say(prog, reason)
        return EXIT_USAGE
    return finish(options, settings, shots, failed, blender=blender)


def say(prog: str, text: str) -> None:
    """One line on standard error."""
    print(f"{prog}: {text}", file=sys.stderr)
