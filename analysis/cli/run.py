# SPDX-License-Identifier: GPL-3.0-or-later
"""What both command lines do alike: parse, check one input after another, end with a code."""

import argparse
import io
import sys
import traceback
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from ..between import compare_shots
from ..checks import REGISTRY
from ..errors import PlumblineError
from ..finding import Shot
from ..measure_list import measures_text
from ..pipeline import choose_checks
from ..report import EXIT_CLEAN, EXIT_INTERRUPTED, EXIT_USAGE, exit_code
from ..rounds import NO_CAMERA
from ..settings import Settings
from .answer import Answer, CheckOne, Failure
from .learning import style_text
from .listing import checks_text
from .options import build_parser, settings_from, take_back_files
from .outputs import show, show_summary, text_width, write_reports
from .places import report_places
from .saying import say


def run(
    prog: str,
    argv: Sequence[str] | None,
    commands: Mapping[str, Callable[[argparse.Namespace], int]],
    *,
    blender: bool,
) -> int:
    """Run a command; returns the exit code and never raises an expected error.

    commands   what `check` and `learn` do with their options; `checks` is alike everywhere
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # names of any script, on terminals of any
            stream.reconfigure(errors="backslashreplace")
    try:
        options = build_parser(prog, blender=blender).parse_args(argv)
        if options.command == "checks":
            width = text_width()
            listed = checks_text([each.info for each in REGISTRY], width=width)
            show(f"{listed}\n\n{measures_text(width=width)}")
            return EXIT_CLEAN
        if blender:
            take_back_files(options)
        return commands[options.command](options)
    except PlumblineError as error:
        say(prog, str(error))
        return EXIT_USAGE
    except KeyboardInterrupt:
        say(prog, "interrupted")
        return EXIT_INTERRUPTED
    except SystemExit as leaving:  # --help and --version
        return int(leaving.code or 0)


def check_inputs(
    prog: str,
    options: argparse.Namespace,
    inputs: Sequence[str],
    check_one: CheckOne,
    *,
    failed: Sequence[Failure] = (),
    blender: str | None = None,
) -> int:
    """Check inputs one after another; one that fails does not stop the rest.

    What can be known to be in vain (settings, places of reports) is refused before; whatever
    happens to the reports afterwards, what was found is printed.

    failed   inputs that are known to be of no use, and why
    """
    settings = settings_from(options)
    choose_checks(settings)
    places = report_places(options, inputs)
    judged: list[tuple[Shot, Settings]] = []
    failed = list(failed)
    unwritten: list[str] = []
    for each in inputs:
        try:
            answer = check_one(each, settings)
        except PlumblineError as error:
            failed.append((each, str(error)))
        except Exception as error:  # one input's fault in our code must not cost the others
            failed.append((each, _unforeseen(each, error)))
        else:
            _say_notices(prog, each, answer)
            judged += [pair for pair in answer.judged if not _is_blind(pair[0])]
            failed += [
                (each, f"{shot.file or each}, {shot.rig}: {NO_CAMERA}.")
                for shot, _used in answer.judged
                if _is_blind(shot)
            ]
            failed += [(each, reason) for reason in answer.left_out]
            unwritten += answer.unwritten
    shots = compare_shots([shot for shot, _used in judged], factor=settings.factor("sway"))
    judged = [(shot, used) for shot, (_shot, used) in zip(shots, judged, strict=True)]
    if not shots:
        for reason in [*(reason for _input, reason in failed), *unwritten]:
            say(prog, reason)
        return EXIT_USAGE
    unwritten += write_reports(places, judged, settings, blender=blender)
    try:
        if settings.style:
            show(style_text(options.like, settings.style))
        show_summary(shots, failed)
    except PlumblineError as error:
        unwritten.append(str(error))
    for reason in unwritten:
        say(prog, reason)
    if unwritten:
        return EXIT_USAGE
    return exit_code(shots, failed=len(failed), fail_on=options.fail_on)


def _say_notices(prog: str, each: str, answer: Answer) -> None:
    for shot, _used in answer.judged:
        for notice in shot.notices:
            say(
                prog,
                f"{shot.file or each}, {shot.rig}: {notice}"
                if shot.rig
                else f"{shot.file or each}: {notice}",
            )


def _is_blind(shot: Shot) -> bool:
    """Whether a shot was asked on the picture of a camera that it does not have."""
    return any(why == NO_CAMERA for _check, why in shot.skipped)


def _unforeseen(each: str, error: Exception) -> str:
    place = traceback.extract_tb(error.__traceback__)[-1]
    return (
        f"{each}: Plumbline failed on it ({type(error).__name__}: {error}; "
        f"{Path(place.filename).name}, line {place.lineno}), which is our mistake: report it, and "
        "attach this file."
    )
