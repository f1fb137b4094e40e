# SPDX-License-Identifier: GPL-3.0-or-later
"""`plumbline check`: the command inside Blender, over the open file or over many.

blender --background shot.blend --command plumbline check --json out.json
blender --background --command plumbline check shots/ --out reports/
"""

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import bpy

from ..analysis import Clip, PlumblineError, Settings, Shot, save_clip
from ..analysis.cli import (
    Answer,
    Failure,
    FileNames,
    check_inputs,
    clip_names,
    learn_from,
    run,
    say,
    stage_of,
    still_text,
)
from ..analysis.pipeline import Examination, examine
from ..analysis.words import frame_text
from .blend_files import find_files, missing_libraries, newer_libraries, open_file
from .causes.search import find_causes
from .record.recall import beside_the_last
from .sampling import sample_each
from .sampling.child import VERB, answer
from .sampling.pick import pick_rigs, pick_scene

PROG = "plumbline"
_handles: list[Any] = []


def register() -> None:
    """Make `blender --command plumbline` known."""
    _handles.append(bpy.utils.register_cli_command(PROG, main))


def unregister() -> None:
    """Take the command back."""
    while _handles:
        bpy.utils.unregister_cli_command(_handles.pop())


def main(argv: Sequence[str]) -> int:
    """Run the command line inside Blender; returns the exit code."""
    if argv and argv[0] == VERB:
        return answer(argv[1])
    return run(PROG, list(argv), {"check": _check, "learn": _learn}, blender=True)


def _check(options: argparse.Namespace) -> int:
    names = clip_names(options)

    def check_file(file: str, settings: Settings) -> Answer:
        scene, clips, left_out = _sample(file, options)
        unwritten = [] if names is None else _save(clips, Path(file).stem, names)
        used = [stage_of(clip, options, settings) for clip in clips]
        examined = [
            examine(clip, each, file=file, scene=scene)
            for clip, each in zip(clips, used, strict=True)
        ]
        explain = _explained if options.causes else _plainly
        shots = [explain(file, options, _remembered(file, options, each)) for each in examined]
        return Answer(
            judged=tuple(zip(shots, used, strict=True)),
            left_out=tuple(f"{file}: {reason}" for reason in left_out),
            unwritten=tuple(unwritten),
        )

    files, failed = _files(options)
    return check_inputs(
        PROG, options, files, check_file, failed=failed, blender=bpy.app.version_string
    )


def _remembered(file: str, options: argparse.Namespace, examination: Examination) -> Examination:
    """Beside what the file keeps of the panel's passes: ids go on, what is intended is quiet.

    Nothing is written into the file.
    """
    scene, rig = _rig_of(options, examination)
    outcome = beside_the_last(
        scene, rig, examination, lambda why: say(PROG, f"{file}, {rig.name}: {why}")
    )
    return replace(examination, shot=outcome.shot)


def _rig_of(
    options: argparse.Namespace, examination: Examination
) -> tuple[bpy.types.Scene, bpy.types.Object]:
    scene = pick_scene(options.scene)
    return scene, pick_rigs(scene, [examination.basis.clip.meta.name])[0]


def _plainly(_file: str, _options: argparse.Namespace, examination: Examination) -> Shot:
    return examination.shot


def _explained(file: str, options: argparse.Namespace, examination: Examination) -> Shot:
    """The findings with their causes; says why the rig itself could not be asked."""
    scene, rig = _rig_of(options, examination)
    return find_causes(
        scene, rig, examination, tell=lambda why: say(PROG, f"{file}, {rig.name}: {why}")
    )


def _learn(options: argparse.Namespace) -> int:
    def read_clips(file: str) -> list[Clip]:
        _scene, clips, left_out = _sample(file, options)
        for reason in left_out:
            say(PROG, f"{file}: {reason}")
        return clips

    files, failed = _files(options)
    return learn_from(PROG, options, files, read_clips, failed=failed)


def _files(options: argparse.Namespace) -> tuple[list[str], list[Failure]]:
    """The files that are meant, and inputs that are none and why."""
    if options.inputs:
        return find_files(options.inputs)
    return [bpy.data.filepath or "the open file"], []


def _sample(file: str, options: argparse.Namespace) -> tuple[str, list[Clip], list[str]]:
    """Open a file where files were named, then as `_sample_open_file`."""
    if options.inputs:
        open_file(Path(file), allow_scripts=options.allow_scripts)
    return _sample_open_file(file, options)


def _save(clips: Sequence[Clip], stem: str, names: FileNames) -> list[str]:
    """Write clips; returns why some could not be, as what is found is told all the same."""
    unwritten = []
    for clip in clips:
        try:
            save_clip(names.new(f"{stem}-{clip.meta.name}"), clip)
        except PlumblineError as error:
            unwritten.append(str(error))
    return unwritten


def _sample_open_file(file: str, options: argparse.Namespace) -> tuple[str, list[Clip], list[str]]:
    """The scene's name, the clips of the open file, and why others of its rigs gave none.

    Raises PlumblineError that names the file.
    """
    _say_what_is_missing(file, options)
    try:
        scene = pick_scene(options.scene)
        rigs, left_out = _pick(scene, options.rig)
        first, last = options.range or (None, None)
        results = sample_each(scene, rigs, first=first, last=last) if rigs else []
    except PlumblineError as error:
        raise PlumblineError(f"{file}: {error}") from None
    left_out += [str(result) for result in results if isinstance(result, PlumblineError)]
    clips = [result for result in results if isinstance(result, Clip)]
    for clip in clips:
        _say_what_is_left_out(file, clip)
    still = [clip for clip in clips if not clip.moves]
    moving = [clip for clip in clips if clip.moves]
    if moving and not options.rig:  # nobody asked for the others
        for clip in still:
            say(PROG, f"{file}: {_left_out(clip)}")
    else:
        left_out += [still_text(clip) for clip in still]
    return scene.name, moving, left_out


def _say_what_is_missing(file: str, options: argparse.Namespace) -> None:
    if bpy.app.autoexec_fail and not options.allow_scripts:
        say(PROG, f"{file} holds scripts that were not run; if a rig needs them: --allow-scripts.")
    saved, ours = bpy.data.version[:2], bpy.app.version[:2]
    if saved > ours:
        say(
            PROG,
            f"{file} was saved by Blender {saved[0]}.{saved[1]}, and this is {ours[0]}.{ours[1]}: "
            "what only the newer one knows is not there.",
        )
    missing = missing_libraries()
    if missing:
        say(PROG, f"{file} links {', '.join(missing)}, not found: what it holds is not there.")
    for path, version in newer_libraries():
        say(
            PROG,
            f"{file} links {path}, which Blender {version} saved: what Blender {ours[0]}.{ours[1]} "
            "cannot read of it is not there.",
        )


def _say_what_is_left_out(file: str, clip: Clip) -> None:
    for name in clip.meta.extra.get("not_followed", ()):
        say(PROG, f"{file}: {name} is to be followed with {clip.meta.name} and is gone.")
    resting = clip.meta.extra.get("resting_handlers")
    if resting:
        say(
            PROG,
            f"{file}: {', '.join(resting)} did not run while {clip.meta.name} was sampled; what "
            "they pose is not judged.",
        )


def _pick(
    scene: bpy.types.Scene, names: Sequence[str] | None
) -> tuple[list[bpy.types.Object], list[str]]:
    """The rigs to sample; of several named ones, one that cannot be picked stops no other."""
    if not names:
        return pick_rigs(scene, None), []
    rigs: list[bpy.types.Object] = []
    refused: list[str] = []
    for name in dict.fromkeys(names):
        try:
            rigs += pick_rigs(scene, [name])
        except PlumblineError as error:
            refused.append(str(error))
    return list(dict.fromkeys(rigs)), list(dict.fromkeys(refused))


def _left_out(clip: Clip) -> str:
    first, last = (frame_text(frame) for frame in clip.frames[[0, -1]])
    return f"{clip.meta.name} does not move in frames {first} to {last} and was left out."
