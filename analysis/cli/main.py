# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis`: check clips without Blender."""

import argparse
from collections.abc import Sequence

from ..causes.asking import plan_trials
from ..causes.rank import find_causes
from ..clip import Clip
from ..clip_io import load_clip
from ..errors import ClipError
from ..finding import Shot
from ..pipeline import Examination, examine
from ..settings import Settings
from ..words import frame_text
from .answer import Answer
from .learning import learn_from
from .run import check_inputs, run

PROG = "python -m analysis"


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line over clips; returns the exit code."""
    return run(PROG, argv, {"check": _check, "learn": _learn}, blender=False)


def _check(options: argparse.Namespace) -> int:
    def check_file(path: str, settings: Settings) -> Answer:
        clip = _read(path, options)
        used = stage_of(clip, options, settings)
        examination = examine(clip, used, file=path)
        shot = _explained(examination) if options.causes else examination.shot
        return Answer(judged=((shot, used),))

    return check_inputs(PROG, options, list(dict.fromkeys(options.inputs)), check_file)


def _explained(examination: Examination) -> Shot:
    """The findings with their causes, as far as they are known with no rig to ask."""
    plan = plan_trials(examination)
    return find_causes(examination, plan, [None] * len(plan.trials))


def _learn(options: argparse.Namespace) -> int:
    inputs = list(dict.fromkeys(options.inputs))
    return learn_from(PROG, options, inputs, lambda path: [_read(path, options)])


def _read(path: str, options: argparse.Namespace) -> Clip:
    """The clip in a file, over the range that was asked for; it moves."""
    if path.lower().endswith(".blend"):
        raise ClipError(
            f"{path} is a Blender file, expected clips (.npz): use it inside Blender, with "
            f"`blender --background --command plumbline {options.command} {path}`."
        )
    clip = load_clip(path)
    if options.range:
        clip = clip.cut(*options.range)
    if not clip.moves:
        raise ClipError(f"{path}: {still_text(clip)}")
    return clip


def stage_of(clip: Clip, options: argparse.Namespace, settings: Settings) -> Settings:
    """The settings, with the clip's own stage where none was asked for."""
    if options.stage is None and clip.meta.stage is not None:
        return settings.at_stage(clip.meta.stage)
    return settings


def still_text(clip: Clip) -> str:
    """Why a clip in which nothing moves is not checked, in a sentence."""
    first, last = (frame_text(frame) for frame in clip.frames[[0, -1]])
    name, frames = clip.meta.name or "the clip", f"in frames {first} to {last}"
    if clip.has_no_size:
        return (
            f"{name} is scaled to nothing {frames}, expected a size: scale it up, or choose "
            "another range."
        )
    return f"{name} does not move {frames}, expected motion: key it, or choose another range."
