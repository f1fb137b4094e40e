# SPDX-License-Identifier: GPL-3.0-or-later
"""The options of the commands, the same on both sides of the border to Blender."""

import argparse
import math
import os
from collections.abc import Sequence
from typing import Any, NoReturn

from .._version import __version__
from ..errors import SettingsError
from ..finding import SEVERITIES
from ..meta import STAGES
from ..settings import CYCLES, MASSES, SPACES, TOLERANCES, Settings
from ..story_height import EXAMPLE
from ..style_file import read_style

# Options that only one side can take, and what to say on the other.
_BLENDER_ONLY = {
    "--rig": "picks a rig inside a .blend file, and a clip holds one character already",
    "--scene": "picks a scene inside a .blend file, and a clip comes from one already",
    "--clips": "writes what Blender samples, and these are clips already",
    "--allow-scripts": "is about scripts inside .blend files, and clips hold none",
}


class OneSentenceParser(argparse.ArgumentParser):
    """An argument parser whose errors are one sentence, raised as SettingsError."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing the usage and leaving."""
        raise SettingsError(f"{message}; see `{self.prog} --help`.")


def build_parser(prog: str, *, blender: bool) -> OneSentenceParser:
    """The parser for `check` and `checks`; `blender` says on which side it stands."""
    parser = OneSentenceParser(
        prog=prog,
        description="Measure character motion and say what to mend.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"Plumbline {__version__}")
    commands = parser.add_subparsers(
        dest="command", required=True, metavar="check|checks|learn", parser_class=OneSentenceParser
    )
    check = commands.add_parser(
        "check",
        help="ask the checks of files",
        description="Ask the checks of every character.",
        epilog="exit codes: 0 nothing at or above --fail-on, 10 findings, 3 some input could not "
        "be checked, 2 wrong usage or no input usable",
        allow_abbrev=False,
    )
    _add_inputs(check, blender=blender)
    _add_outputs(check, blender=blender)
    _add_settings(check)
    _add_tolerance(check)
    commands.add_parser("checks", help="list every check with its definition", allow_abbrev=False)
    learn = commands.add_parser(
        "learn",
        help="learn limits from approved shots",
        description="Learn limits from shots that are approved; `check --like` takes them.",
        allow_abbrev=False,
    )
    _add_inputs(learn, blender=blender)
    learn.add_argument(
        "--out", type=_path, metavar="STYLE.json", required=True, help="where the style goes"
    )
    _add_settings(learn)
    learn.set_defaults(tolerance="normal", like=None)
    return parser


def _add_inputs(check: argparse.ArgumentParser, *, blender: bool) -> None:
    if blender:
        what = ".blend files or folders of them; without any, the open file"
        check.add_argument("inputs", nargs="*", type=_path, metavar="FILE.blend|FOLDER", help=what)
        names = {"nargs": "+", "action": "extend", "metavar": "NAME"}
        check.add_argument("--rig", **names, help="only the rigs, or objects, of these names")  # type: ignore[arg-type]
        check.add_argument("--scene", metavar="NAME", help="this scene, not the active one")
        check.add_argument(
            "--allow-scripts", action="store_true", help="run scripts inside the files"
        )
    else:
        check.add_argument("inputs", nargs="+", type=_path, metavar="CLIP.npz", help="clip files")
        for option, reason in _BLENDER_ONLY.items():
            check.add_argument(option, nargs="*", action=_Misplaced, const=reason)
    check.add_argument(
        "--range", nargs=2, type=_frame, metavar=("A", "B"), help="frames A to B, both included"
    )


def take_back_files(options: argparse.Namespace) -> None:
    """Of `--rig NAME ... FILE.blend` the parser takes the file for a rig: it is an input."""
    names = options.rig or []
    files = [name for name in names if name.lower().endswith(".blend")]
    files += [name for name in names if name.endswith(("/", os.sep)) and os.path.isdir(name)]
    options.inputs += files
    options.rig = [name for name in names if name not in files] or None


def _path(text: str) -> str:
    if not text:
        raise argparse.ArgumentTypeError("an empty name, expected a path")
    return text


def _frame(text: str) -> float:
    try:
        frame = float(text)
    except ValueError:
        frame = math.nan
    if not math.isfinite(frame):
        raise argparse.ArgumentTypeError(f"{text!r} is no frame number, expected one such as 24")
    return frame


def _metres(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no height, {EXAMPLE}") from None


class _Misplaced(argparse.Action):
    """An option that belongs to the other side: says so in a sentence."""

    def __init__(self, option_strings: Sequence[str], dest: str, **kwargs: Any) -> None:
        super().__init__(option_strings, dest, **{**kwargs, "help": argparse.SUPPRESS})

    def __call__(self, *args: Any, **_kwargs: Any) -> None:
        raise SettingsError(f"{args[3]} {self.const}: leave it out here.")


def _add_outputs(check: argparse.ArgumentParser, *, blender: bool) -> None:
    if blender:
        check.add_argument(
            "--clips", type=_path, metavar="DIR", help="also write the sampled clips"
        )
    check.add_argument("--json", type=_path, metavar="FILE", help="write one report of everything")
    check.add_argument(
        "--out", type=_path, metavar="DIR", help="write one report per input, as NAME.json"
    )
    check.add_argument(
        "--causes",
        action="store_true",
        help="also find the control and the key that cause each finding"
        if blender
        else "also find the key that causes each finding, or in a clip without curves the joint; "
        "surest in Blender, where the rig is asked",
    )
    check.add_argument(
        "--fail-on",
        choices=[*SEVERITIES, "never"],
        default="major",
        help="exit with 10 from this severity on (default major)",
    )


def _add_settings(check: argparse.ArgumentParser) -> None:
    check.add_argument(
        "--cycle", choices=CYCLES, default="auto", help="does the range play as a loop?"
    )
    check.add_argument(
        "--stage", choices=STAGES, default=None, help="how far the work is (default polish)"
    )
    check.add_argument(
        "--height",
        type=_metres,
        metavar="M",
        help="the character's height in the story, in metres, such as 1.75",
    )
    check.add_argument("--checks", metavar="A,B", help="only these checks")
    check.add_argument(
        "--masses", choices=MASSES, default="winter", help="table for the centre of mass"
    )
    check.add_argument(
        "--space",
        choices=SPACES,
        default="world",
        help="follow points in the world, or on the picture that the active camera sees",
    )


def _add_tolerance(check: argparse.ArgumentParser) -> None:
    check.add_argument(
        "--tolerance", choices=TOLERANCES, default="normal", help="limits times .75, 1 or 1.5"
    )
    check.add_argument(
        "--like", type=_path, metavar="STYLE.json", help="limits learned from approved shots"
    )


def settings_from(options: argparse.Namespace) -> Settings:
    """Settings as the options say; raises SettingsError for what does not fit."""
    checks = None
    if options.checks is not None:
        checks = tuple(name.strip() for name in options.checks.split(",") if name.strip())
        if not checks:
            raise SettingsError("--checks names no check; give names such as pop,loop_seam.")
    return Settings(
        stage=options.stage or "polish",
        tolerance=options.tolerance,
        cycle=options.cycle,
        height_m=options.height,
        checks=checks,
        masses=options.masses,
        space=options.space,
        style=read_style(options.like) if options.like else {},
    )
