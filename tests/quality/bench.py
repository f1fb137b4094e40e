# SPDX-License-Identifier: GPL-3.0-or-later
"""The quality bench: plants faults into clean motion and counts what the checks find.

    python -m tests.quality.bench                          all of it, both halves
    python -m tests.quality.bench --checks pop --half A --share .2 --list

It needs numpy and PLUMBLINE_CAPTURED; `blender_test_runner.py --quality` sees to both.
"""

import argparse
import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from . import one_thread  # noqa: F401 - before whatever imports numpy
from .cells import all_cells
from .gate import failures
from .plant import KINDS
from .printout import listing, rate_text, recall_text
from .report import rates, recalls
from .sets import SETS
from .share import share_of_cases
from .work import CellResult, CleanResult, registered, run_cells, run_clean
from .written import to_json, to_markdown


def main(arguments: Sequence[str] | None = None) -> int:
    """Run what is asked for and print it; returns 1 where `--gate` finds a gross regression."""
    options = _parser().parse_args(arguments)
    begun = time.monotonic()
    checks = _names(options.checks)
    cells = [] if options.clean_only else _planted(options, checks)
    clean = [] if options.faults_only else _clean(options)
    found = recalls(cells, registered())
    alarms = rates(clean, [name for name in registered() if checks is None or name in checks])
    for text in (recall_text(found) if found else "", rate_text(alarms) if alarms else ""):
        if text:
            print(text)
    if options.list:
        print(listing(cells, clean, checks))
    if options.json:
        data = to_json(found, alarms, options.share)
        options.json.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
    if options.markdown:
        options.markdown.write_text(to_markdown(found, alarms), encoding="utf-8")
    wrong = failures(found, alarms) if options.gate else []
    print("\n".join(["", *wrong, f"{time.monotonic() - begun:.0f} s"]))
    return 1 if wrong else 0


def _planted(options: argparse.Namespace, checks: Sequence[str] | None) -> list[CellResult]:
    """The cells' results; a check that does not exist yet has cells without cases."""
    sets, there = _names(options.sets) or SETS, registered()
    wanted = all_cells(checks, _names(options.kinds), sets, options.half)
    asked = [cell for cell in wanted if cell.check in there]
    missing = [CellResult(cell, ()) for cell in wanted if cell.check not in there]
    return run_cells(asked, options.share, options.jobs) + missing


def _clean(options: argparse.Namespace) -> list[CleanResult]:
    share = options.clean_share or options.share
    return run_clean(_names(options.sets) or SETS, options.half, share, options.jobs)


def _names(text: str | None) -> tuple[str, ...] | None:
    return None if text is None else tuple(name.strip() for name in text.split(",") if name.strip())


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.quality.bench",
        description="Plant faults of known kind, size, part and frame into clean motion, and "
        "count what the checks find of them, and what they find on clean motion.",
    )
    kinds = ", ".join(KINDS)
    parser.add_argument("--checks", metavar="A,B", help="these checks alone")
    parser.add_argument("--kinds", metavar="A,B", help=f"these kinds of faults alone: {kinds}")
    parser.add_argument("--sets", metavar="A,B", help=f"these clean sets alone: {', '.join(SETS)}")
    parser.add_argument("--half", choices=("A", "B", "AB"), default="AB", help="half of the clips")
    parser.add_argument("--share", type=share_of_cases, default=1.0, help="share of the cases (.2)")
    parser.add_argument("--clean-share", type=share_of_cases, help="share of the clean clips")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default: 2)")
    parser.add_argument("--list", action="store_true", help="list what was missed and falsely said")
    parser.add_argument("--clean-only", action="store_true", help="plant nothing")
    parser.add_argument("--faults-only", action="store_true", help="leave clean motion out")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write every figure as JSON")
    parser.add_argument("--markdown", type=Path, metavar="FILE", help="write tables for reading")
    parser.add_argument("--gate", action="store_true", help="end with 1 on a gross regression")
    return parser


if __name__ == "__main__":
    sys.exit(main())
