# SPDX-License-Identifier: GPL-3.0-or-later
"""Checks the code and runs the tests, without Blender and inside it.

    python3 blender_test_runner.py                       everything
    python3 blender_test_runner.py --blender PATH        inside an installed Blender
    python3 blender_test_runner.py --only pure -k loop   some tests
    python3 blender_test_runner.py -- tests/addon/test_panel.py -x
    python3 blender_test_runner.py --build dist          the extension's zip, nothing else

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

from tests.harness.errors import run_main
from tests.harness.suite import PARTS, Options, build_only, link_only, run_suite


def main() -> int:
    """Do what the command line asks for."""
    own, pytest_args = _split(sys.argv[1:])
    options = _parser().parse_args(own)
    if options.link:
        return link_only(options.link)
    if options.build:
        return build_only(options.build, options.blender)
    if options.k:
        pytest_args = [f"-k={options.k}", *pytest_args]
    return run_suite(Options(options.only, options.blender, tuple(pytest_args)))


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
        "that need no Blender, build the extension and run its tests inside the lowest and the "
        "highest Blender that this machine's Python versions can run.",
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
    return parser


if __name__ == "__main__":
    run_main(main)
