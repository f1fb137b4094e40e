# SPDX-License-Identifier: GPL-3.0-or-later
"""Checks the code and runs the tests, without Blender and inside it.

    python3 blender_test_runner.py                       everything
    python3 blender_test_runner.py --blender PATH        inside an installed Blender
    python3 blender_test_runner.py --only pure -k loop   some tests
    python3 blender_test_runner.py -- tests/addon/test_panel.py -x
    python3 blender_test_runner.py --build dist          the extension's zip, nothing else
    python3 blender_test_runner.py --quality             how good the checks are, 45 minutes
    python3 blender_test_runner.py --causes              how good the causes are, 20 minutes
    python3 blender_test_runner.py --window              by mouse, in Blenders with a window

What it needs is installed into the user's cache folder, see tests/harness. The exit code is
pytest's, of the first step that failed. Any Python can read this file, to be told what it lacks.
"""

import argparse
import sys

if sys.version_info < (3, 11):  # noqa: UP036 - older ones shall say this, not a syntax error
    sys.stderr.write(
        "Plumbline's tests need Python 3.11 or newer; this is {}.{}: run python3.11 or python3.13 "
        "blender_test_runner.py instead.\n".format(*sys.version_info)
    )
    sys.exit(2)

from pathlib import Path

from tests.harness.causes import CauseOptions, run_causes
from tests.harness.errors import run_main
from tests.harness.quality import QualityOptions, run_quality
from tests.harness.suite import PARTS, Options, build_only, link_only, run_suite
from tests.harness.window_tests import WindowOptions, run_windows

JOBS = 2


def main() -> int:
    """Do what the command line asks for."""
    own, pytest_args = _split(sys.argv[1:])
    parser = _parser()
    options = parser.parse_args(own)
    _check(parser, options)
    if options.link:
        return link_only(options.link)
    if options.build:
        return build_only(options.build, options.blender)
    if options.quality:
        return run_quality(
            QualityOptions(options.share, options.only_checks, options.json, options.markdown)
        )
    if options.causes:
        return run_causes(
            CauseOptions(
                share=options.share,
                half=options.half,
                kinds=options.kinds,
                jobs=options.jobs,
                json=options.json,
                markdown=options.markdown,
            )
        )
    if options.window:
        return run_windows(WindowOptions(options.k or "", options.captures, options.release or ""))
    if options.k:
        pytest_args = [f"-k={options.k}", *pytest_args]
    return run_suite(Options(options.only, options.blender, tuple(pytest_args)))


def _check(parser: argparse.ArgumentParser, options: argparse.Namespace) -> None:
    """End with a sentence where options stand alone that go with others."""
    if options.only_checks and not options.quality:
        parser.error("--only-checks goes with --quality: add it.")
    if (options.half or options.kinds or options.jobs != JOBS) and not options.causes:
        parser.error("--half, --kinds and --jobs go with --causes: add it.")
    if (options.captures or options.release) and not options.window:
        parser.error("--captures and --release go with --window: add it.")
    both = (options.json, options.markdown, options.share != 1.0)
    if any(both) and not (options.quality or options.causes):
        parser.error("--share, --json and --markdown go with --quality or --causes: add one.")


def _split(arguments: list[str]) -> tuple[list[str], list[str]]:
    """What stands before and after `--`."""
    if "--" not in arguments:
        return arguments, []
    at = arguments.index("--")
    return arguments[:at], arguments[at + 1 :]


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        description="Check the code and run the tests, without Blender and inside it.",
        epilog="Arguments after -- go to pytest as they are. The default is to lint, run the tests "
        "that need no Blender and a fortieth of the quality bench, build the extension and run "
        "its tests inside the lowest and the highest Blender that this machine's Python versions "
        "can run, and by mouse in Blenders with a window where the machine can.",
    )
    parser.add_argument("--only", choices=PARTS, help="one part instead of all")
    parser.add_argument("--blender", type=Path, metavar="PATH", help="an installed Blender to use")
    parser.add_argument("-k", metavar="EXPR", help="only tests whose names match, as in pytest")
    parser.add_argument(
        "--build",
        type=Path,
        metavar="DIR",
        nargs="?",
        const=Path("dist"),
        help="build and validate the extension's zip only (default: dist)",
    )
    parser.add_argument(
        "--link", type=Path, metavar="DIR", help="lay the checkout out as an extension, with links"
    )
    _add_window(parser.add_argument_group("in a Blender with a window"))
    _add_quality(parser.add_argument_group("how good the checks are"))
    return parser


def _add_window(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--window",
        action="store_true",
        help="play the scenarios by mouse in whole Blenders with a window alone, with those that "
        "time what a redraw costs, which no other run does; -k takes those whose names hold a text "
        "(root and Debian only, 5 minutes)",
    )
    group.add_argument("--captures", type=Path, metavar="DIR", help="keep the pictures there")
    group.add_argument("--release", metavar="NAME", help="trixie or sid alone, instead of both")


def _add_quality(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--quality",
        action="store_true",
        help="plant faults into clean motion and count what is found, and what is found there "
        "without faults (no Blender, 45 minutes on 2 cores)",
    )
    group.add_argument(
        "--causes",
        action="store_true",
        help="plant faults in known controls and keys inside Blender and count how often these "
        "are blamed (20 minutes on 2 cores)",
    )
    group.add_argument("--half", choices=("A", "B"), help="with --causes: half of the shots")
    group.add_argument("--kinds", metavar="A,B", help="with --causes: these kinds of faults alone")
    group.add_argument("--jobs", type=int, default=JOBS, help="with --causes: processes")
    group.add_argument("--only-checks", metavar="A,B", help="these checks alone")
    group.add_argument("--share", type=float, default=1.0, help="share of the cases, such as .05")
    group.add_argument("--json", type=Path, metavar="FILE", help="write every figure as JSON")
    group.add_argument("--markdown", type=Path, metavar="FILE", help="write tables for reading")


if __name__ == "__main__":
    run_main(main)
