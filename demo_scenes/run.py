# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the demo scenes, checks them headless in Blender, and leaves a folder to look at.

    python3 demo_scenes/run.py                     with Blender as a Python module
    python3 demo_scenes/run.py --blender PATH      with an installed Blender
    python3 demo_scenes/run.py --out FOLDER        somewhere else than demo_scenes/out

What it needs is installed into the user's cache folder, and it says what and where. Any
Python 3 can read this file, to be told what it lacks.
"""

import argparse
import sys

if sys.version_info < (3, 11):  # noqa: UP036 - older ones shall say this, not a syntax error
    sys.stderr.write(
        "Plumbline's demo needs Python 3.11 or 3.13; this is {}.{}: run python3.11 or python3.13 "
        "demo_scenes/run.py instead.\n".format(*sys.version_info)
    )
    sys.exit(2)

import json
import subprocess
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from demo_scenes.folder import REPORT, demo_folder, mark  # noqa: E402
from demo_scenes.matching import match  # noqa: E402
from demo_scenes.registry import (  # noqa: E402
    BESIDE,
    CAPTURED_LOOPS,
    TWO_PASSES,
    captured_file,
    pass_file,
    scene_files,
    truth_file,
)
from tests.harness import blenders, captured_data  # noqa: E402
from tests.harness.children import child_environment, crash_reason  # noqa: E402
from tests.harness.errors import HarnessError, run_main, say  # noqa: E402
from tests.harness.extension import USER_FOLDER  # noqa: E402

DEFAULT_OUT = ROOT / "demo_scenes" / "out"
NAME_WIDTH = 14  # of a scene's name in the summary


def main() -> int:
    """Build, check, compare with the truth, say where everything lies."""
    options = _parser().parse_args()
    out = demo_folder(options.out, default=DEFAULT_OUT)
    if options.blender:
        blender = blenders.installed_blender(options.blender)
    else:
        blender = blenders.home_blender()
    say(f"Using {blender}")
    with tempfile.TemporaryDirectory(prefix="plumbline-user-") as user:
        extra = {USER_FOLDER: user, **captured_data.captured_variable()}
        say(f"Building the demo scenes in {out}")
        try:
            _run(blender, ROOT / "demo_scenes" / "build.py", [str(out)], extra, quiet=True)
        finally:
            mark(out, [*scene_files(), *map(truth_file, TWO_PASSES), *BESIDE])
        say("Checking them headless in Blender\n")
        report = out / REPORT
        arguments = ["check", *(str(out / name) for name in scene_files()), "--json", str(report)]
        arguments += ["--out", str(out / "findings"), "--fail-on", "never"]
        _run(blender, ROOT / "addon" / "headless.py", arguments, extra, quiet=False)
    found = json.loads(report.read_text("utf-8"))
    say("\nWhat was planted in the first passes, and what was found")
    wrong = [name for name in TWO_PASSES if not _compare(out, name, found)]
    _say_where(out, report)
    if wrong:
        sys.stderr.write(
            f"\nIn {', '.join(wrong)} not all that was planted was found as major, or something "
            "else was: see the lists above.\n"
        )
    return 1 if wrong else 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description="Build and check Plumbline's demo scenes.")
    parser.add_argument("--blender", type=Path, metavar="PATH", help="an installed Blender to use")
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FOLDER",
        default=DEFAULT_OUT,
        help="where scenes and findings go (default demo_scenes/out)",
    )
    return parser


def _run(
    blender: blenders.Blender,
    script: Path,
    arguments: list[str],
    extra: dict[str, str],
    *,
    quiet: bool,
) -> None:
    """Run a script in Blender; what it prints is shown, or only when it fails."""
    command = blenders.blender_command(blender, script, arguments)
    done = subprocess.run(
        command,
        env=child_environment(extra),
        stdin=subprocess.DEVNULL,
        capture_output=quiet,
        encoding="utf-8",
        errors="replace",
        check=False,
    )
    if done.returncode != 0:
        if quiet:
            sys.stderr.write(done.stdout[-4000:] + done.stderr[-4000:])
        raise HarnessError(_failure(script, done.returncode, blender))


def _failure(script: Path, code: int, blender: blenders.Blender) -> str:
    """How a script ended, in a sentence; what it printed stands before that."""
    crash = crash_reason(code)
    ended = f"crashed ({crash})" if crash else f"ended with exit code {code}"
    return f"{script.name} {ended} in {blender}: what it said stands above."


def _compare(out: Path, name: str, report: dict[str, Any]) -> bool:
    """Say for each planted fault whether it was found.

    True when all were, as major findings, and nothing else is major in either pass.
    """
    faults = json.loads((out / truth_file(name)).read_text("utf-8"))["faults"]
    first = _findings(report, pass_file(name, "first"))
    polished = _findings(report, pass_file(name, "polished"))
    found = match(faults, first)
    for fault, finding in zip(faults, found, strict=True):
        answer = f"found, {finding['severity']}" if finding else "NOT FOUND"
        part = fault["part"] or "whole body"
        say(f"  {name:<{NAME_WIDTH}} {fault['check']:<12} {part:<12} {_frames(fault):<15} {answer}")
    others = [finding for finding in first if finding not in found]
    stray, left = _majors(others), _majors(polished)
    rest = (
        f"other findings: {len(others)}, {stray} major; in the polished pass: {len(polished)}, "
        f"{left} major"
    )
    say(f"  {'':<{NAME_WIDTH}} {rest}")
    return _majors(found) == len(faults) and stray == left == 0


def _majors(findings: Iterable[dict[str, Any] | None]) -> int:
    """How many of them are major; a fault that was not found is None."""
    return sum(1 for each in findings if each is not None and each["severity"] == "major")


def _frames(fault: dict[str, Any]) -> str:
    first, last = fault["frames"]
    return f"frame {first}" if first == last else f"frames {first} to {last}"


def _findings(report: dict[str, Any], file: str) -> list[dict[str, Any]]:
    (shot,) = [shot for shot in report["shots"] if Path(shot["file"]).name == file]
    return list(shot["findings"])


def _say_where(out: Path, report: Path) -> None:
    say(f"\nIn {out}")
    say("in two passes, as NAME_first.blend and NAME_polished.blend (NAME_truth.json says what was")
    say("planted, measured on the two passes):")
    for name, scene in TWO_PASSES.items():
        say(f"  {name:<20} {scene.shows}")
    say("and beside them:")
    beside = {captured_file(motion): shows for motion, shows in CAPTURED_LOOPS.items()} | BESIDE
    beside[report.name] = "all findings (findings/ has one file a scene)"
    for name, shows in beside.items():
        say(f"  {name:<20} {shows}")


if __name__ == "__main__":
    run_main(main)
