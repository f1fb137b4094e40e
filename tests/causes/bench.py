# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench of causes: starts Blender on faults planted in known keys and counts what is blamed.

python3 blender_test_runner.py --causes
python3 -m tests.causes.bench --half A --kinds late,held --share .2 --list
"""

import argparse
import json
import subprocess
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.harness import ROOT
from tests.harness.blenders import WHEELS, Blender, blender_command, home_blender, runnable
from tests.harness.captured_data import captured_variable
from tests.harness.children import child_environment
from tests.harness.errors import HarnessError, run_main
from tests.harness.extension import USER_FOLDER
from tests.quality.share import share_of_cases

from .gate import failures
from .kinds import KINDS
from .plan import TRIPLE, Task, shared_out, tasks
from .report import counted
from .written import listing, to_markdown, to_text

Json = dict[str, Any]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run what is asked for and print it; 1 where `--gate` finds a gross regression."""
    options = _parser().parse_args(arguments)
    begun = time.monotonic()
    kinds = [each.strip() for each in options.kinds.split(",")] if options.kinds else None
    wanted = tasks(half=options.half, kinds=kinds, share=options.share)
    lines = run_tasks(wanted, options.jobs, options.bases)
    cases = [each for each in lines if "kind" in each]
    clean = [each for each in lines if "clean_base" in each]
    figures = counted(cases, clean)
    print(to_text(figures))
    if options.list:
        print(listing(cases))
    if options.json:
        data = {"figures": figures.to_json(), "cases": cases, "clean": clean}
        options.json.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
    if options.markdown:
        options.markdown.write_text(to_markdown(figures), encoding="utf-8")
    wrong = failures(figures) if options.gate else []
    print("\n".join(["", *wrong, f"{time.monotonic() - begun:.0f} s"]))
    return 1 if wrong else 0


def run_tasks(wanted: Sequence[Task], jobs: int, bases: Path | None) -> list[Json]:
    """Every case's answer, in the order of the tasks' processes; raises HarnessError."""
    extra = captured_variable()
    with tempfile.TemporaryDirectory(prefix="plumbline-causes-") as name:
        folder = Path(name)
        kept = folder / "bases" if bases is None else bases
        running = [
            (_start(hand, folder, n, kept, extra), folder / f"{n}.jsonl")
            for n, hand in enumerate(shared_out(wanted, jobs))
        ]
        codes = [process.wait() for process, _results in running]
        if any(codes):
            logs = "".join(path.read_text("utf-8")[-3000:] for path in folder.glob("*.log"))
            raise HarnessError(f"A Blender that ran the bench of causes ended early.\n{logs}")
        texts = [results.read_text("utf-8") for _process, results in running]
    return [json.loads(line) for text in texts for line in text.splitlines()]


def _start(
    hand: Sequence[Task], folder: Path, n: int, bases: Path, extra: dict[str, str]
) -> "subprocess.Popen[bytes]":
    listed = folder / f"{n}.tasks.json"
    listed.write_text(json.dumps([[t.base.name, t.kind, t.number] for t in hand]), "utf-8")
    script = Path(__file__).with_name("worker.py")
    arguments = [str(listed), str(folder / f"{n}.jsonl"), str(bases)]
    command = blender_command(_blender(), script, arguments)
    user = {USER_FOLDER: str(folder / f"user-{n}")}
    with (folder / f"{n}.log").open("wb") as log:
        return subprocess.Popen(
            command,
            cwd=ROOT,
            env=child_environment({**extra, **user}),
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
        )


def _blender() -> Blender:
    """The latest wheel where its Python is found."""
    return WHEELS[-1] if WHEELS[-1] in runnable() else home_blender()


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python3 -m tests.causes.bench",
        description="Plant faults in known controls and keys inside Blender, check each shot, "
        "and count how often the right control and key are blamed.",
    )
    kinds = ", ".join([*KINDS, TRIPLE])
    parser.add_argument("--share", type=share_of_cases, default=1.0, help="share of the cases (.2)")
    parser.add_argument("--half", choices=("A", "B", "AB"), default="AB", help="half of the shots")
    parser.add_argument("--kinds", metavar="A,B", help=f"these kinds alone: {kinds}")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default: 2)")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write every case as JSON")
    parser.add_argument("--markdown", type=Path, metavar="FILE", help="write tables for reading")
    parser.add_argument("--bases", type=Path, metavar="DIR", help="keep the clean shots here")
    parser.add_argument("--list", action="store_true", help="list what was missed")
    parser.add_argument("--gate", action="store_true", help="end with 1 on a gross regression")
    return parser


if __name__ == "__main__":
    run_main(main)
