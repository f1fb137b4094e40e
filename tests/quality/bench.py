# SPDX-License-Identifier: GPL-3.0-or-later
"""The quality bench: plants faults into clean motion and counts what the checks find.

    python -m tests.quality.bench                          all of it, both halves
    python -m tests.quality.bench --checks pop --half A --share .2 --list

It needs numpy and PLUMBLINE_CAPTURED; `blender_test_runner.py --quality` sees to both.
"""

import argparse
import sys
import time
from collections.abc import Sequence

from . import one_thread  # noqa: F401 - before whatever imports numpy
from .cells import all_cells
from .plant import KINDS
from .printout import rate_text, recall_text
from .report import ALL, rates, recalls
from .sets import SETS
from .work import CellResult, CleanResult, registered, run_cells, run_clean


def main(arguments: Sequence[str] | None = None) -> int:
    """Run what is asked for and print it; returns 0."""
    options = _parser().parse_args(arguments)
    begun = time.monotonic()
    checks = _names(options.checks)
    sets = _names(options.sets) or SETS
    cells: list[CellResult] = []
    if not options.clean_only:
        there = registered()
        wanted = all_cells(checks, _names(options.kinds), sets, options.half)
        asked = [cell for cell in wanted if cell.check in there]
        missing = [CellResult(cell, ()) for cell in wanted if cell.check not in there]
        cells = run_cells(asked, options.share, options.jobs) + missing
        print(recall_text(recalls(cells, there)))
    clean: list[CleanResult] = []
    if not options.faults_only:
        clean = run_clean(sets, options.half, options.clean_share or options.share, options.jobs)
        print(rate_text(_asked(rates(clean, registered()), checks)))
    if options.list:
        print(_list(cells, clean, checks))
    print(f"\n{time.monotonic() - begun:.0f} s")
    return 0


def _asked(rows: list, checks: Sequence[str] | None) -> list:
    return [row for row in rows if checks is None or row.check in (*checks, ALL)]


def _list(
    cells: Sequence[CellResult], clean: Sequence[CleanResult], checks: Sequence[str] | None
) -> str:
    """Every fault that was missed and every finding on clean motion, a line each."""
    lines = ["", "missed"]
    for result in cells:
        cell = result.cell
        for outcome in result.outcomes:
            if not outcome.found:
                lines.append(f"  {cell.kind} {cell.set} {cell.half} {outcome.told}")
    lines += ["", "findings on clean motion"]
    for result in clean:
        for alarm in result.alarms:
            if checks is None or alarm.check in checks:
                lines.append(f"  {alarm.case} [{alarm.check}, {alarm.severity}] {alarm.told}")
    return "\n".join(lines)


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
    parser.add_argument("--share", type=float, default=1.0, help="share of the cases, such as .2")
    parser.add_argument("--clean-share", type=float, help="share of the clean clips (as --share)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default: 2)")
    parser.add_argument("--list", action="store_true", help="list what was missed and falsely said")
    parser.add_argument("--clean-only", action="store_true", help="plant nothing")
    parser.add_argument("--faults-only", action="store_true", help="leave clean motion out")
    return parser


if __name__ == "__main__":
    sys.exit(main())
