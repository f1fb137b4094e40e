# SPDX-License-Identifier: GPL-3.0-or-later
"""The record of each rig in each scene: what was said of it, and its last pass.

In the text a rig goes by its names, as nothing of ours may stand on a linked or overridden one.
While Blender runs, a scene and a rig that are renamed are known by their numbers, and their new
names go into the text the next time that it is written. Renamed without the extension, a rig is
found by its bones where only one can be meant (`lost.py`); else the text keeps its record, and
renaming the rig back finds it again.
"""

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import bpy

from ...analysis.passes import (
    Pass,
    Said,
    pass_from_json,
    pass_to_json,
    said_to_json,
)
from .lost import BONES, bones_of, left_behind, of_the_original
from .readable import read_said, unread_text, with_unread
from .text_block import find_text, read_record, write_record

Names = tuple[str, str]
Numbers = tuple[int, int]
# A record's entry: the name of the report that was opened, a few letters.
OPENED = "opened"

# The numbers of scene and rig that names in the text stood for, as long as Blender runs; and what
# was measured, by those numbers.
_numbers: dict[Names, Numbers] = {}
_passes: dict[Numbers, Pass] = {}
# What was measured before the text was taken out of the file, by what the text held; and all that
# texts held which were taken out.
_aside: dict[str, tuple[dict[Names, Numbers], dict[Numbers, Pass]]] = {}
_taken: set[str] = set()


def said_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> Said:
    """What was said of a rig in a scene; raises PlumblineError for what cannot be read."""
    text = find_text()
    shot = None if text is None else _read(read_record(), scene, rig)
    if text is None or shot is None or "said" not in shot:
        return Said()
    return read_said(shot["said"], text.name)


def unread_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> str:
    """Which entries of what was said cannot be read, a sentence or empty; raises as above."""
    text = find_text()
    shot = None if text is None else _read(read_record(), scene, rig)
    if text is None or shot is None or "said" not in shot:
        return ""
    return unread_text(shot["said"], text.name, rig.name)


def keep_said(
    scene: bpy.types.Scene, rig: bpy.types.Object, said: Said, *, opened: str = ""
) -> None:
    """Write what was said, and the name of a report that was opened, where one was; raises
    PlumblineError where the text cannot be read, and keeps it."""
    data = read_record()
    _rename(data)
    shot = _made(data, scene, rig)
    shot["said"] = with_unread(said_to_json(said), shot.get("said"))
    if opened:
        shot[OPENED] = opened
    write_record(data)


def opened_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> str:
    """The name of the report that was opened of a rig; empty where none was. Raises as above."""
    shot = _read(read_record(), scene, rig) if find_text() is not None else None
    return "" if shot is None else str(shot.get(OPENED, ""))


def pass_before(scene: bpy.types.Scene, rig: bpy.types.Object) -> Pass | None:
    """The last pass, of this session or else of the file; raises PlumblineError as above."""
    numbers = _numbers_of(scene, rig)
    if numbers in _passes:
        return _passes[numbers]
    shot = _read(read_record(), scene, rig) if find_text() is not None else None
    return None if shot is None or "pass" not in shot else pass_from_json(shot["pass"])


def keep_pass(scene: bpy.types.Scene, rig: bpy.types.Object, done: Pass) -> None:
    """Hold a pass until the file is saved."""
    _passes[_numbers_of(scene, rig)] = done


def drop_pass(scene: bpy.types.Scene, rig: bpy.types.Object, done: Pass) -> None:
    """Hold a pass no longer; where another one is held by now, that one stays."""
    if _passes.get(_numbers_of(scene, rig)) is done:
        del _passes[_numbers_of(scene, rig)]


def has_passes() -> bool:
    """Whether anything was measured since the file was opened."""
    return bool(_passes)


def write_all(choices: Mapping[str, Mapping[str, Any]], *, passes: bool) -> None:
    """Write what was measured and chosen, as the file is saved.

    choices  by the scene's name
    passes   whether passes are kept in the file; those that it has go where they are not

    Raises PlumblineError where the text cannot be read, and keeps it.
    """
    data = read_record()
    data["choices"].update({name: dict(each) for name, each in choices.items()})
    _rename(data)
    for shot in data["shots"]:
        if not passes:
            shot.pop("pass", None)
    for numbers, done in _passes.items() if passes else ():
        meant = _thing(numbers)
        if meant is not None:
            _made(data, *meant)["pass"] = pass_to_json(done)
    write_record(data)


def choices_of(scene: bpy.types.Scene) -> Mapping[str, Any]:
    """What was chosen in a scene as the file was saved; raises PlumblineError as above."""
    found = read_record()["choices"].get(scene.name) if find_text() is not None else None
    return found if isinstance(found, dict) else {}


def meet() -> None:
    """After a file was opened: forget the last one, and which rigs the names in the text mean.

    Raises PlumblineError where the text cannot be read.
    """
    forget()
    if find_text() is None:
        return
    for shot in read_record()["shots"]:
        scene: bpy.types.Scene | None = bpy.data.scenes.get(shot["scene"])
        rig = None if scene is None else _object_of(scene, shot["rig"])
        if scene is not None and rig is not None:
            _numbers[_names(shot)] = _numbers_of(scene, rig)


def forget() -> None:
    """Forget what was measured."""
    _numbers.clear()
    _passes.clear()
    _aside.clear()
    _taken.clear()


def put_aside(text: str) -> None:
    """After the text was taken out: what was measured goes with it, until undo brings it back."""
    _taken.add(text)
    _aside[text] = dict(_numbers), dict(_passes)
    _numbers.clear()
    _passes.clear()


def bring_back() -> bool:
    """After an undo: take up what was measured, where a text is back that had been taken out."""
    text = find_text()
    kept = None if text is None else _aside.pop(text.as_string(), None)
    if kept is None:
        return False
    numbers, passes = kept  # what was measured since is newer, and stays
    _numbers.update({**numbers, **_numbers})
    _passes.update({**passes, **_passes})
    return True


def is_taken_again(text: str) -> bool:
    """After a redo: whether this text, which was there, is taken out once more."""
    return text in _taken and find_text() is None


def _made(data: dict[str, Any], scene: bpy.types.Scene, rig: bpy.types.Object) -> dict[str, Any]:
    """A rig's record, made where there is none."""
    shot = _shot(data, scene, rig)
    if shot is None:
        shot = deepcopy(of_the_original(data["shots"], scene, rig) or {})
        data["shots"].append(shot)
    shot["scene"], shot["rig"] = scene.name, rig.name_full
    if bones := bones_of(rig):
        shot[BONES] = bones
    _numbers[_names(shot)] = _numbers_of(scene, rig)
    return shot


def _read(
    data: dict[str, Any], scene: bpy.types.Scene, rig: bpy.types.Object
) -> dict[str, Any] | None:
    """A rig's record; of a copy that has none yet, that of the original."""
    return _shot(data, scene, rig) or of_the_original(data["shots"], scene, rig)


def _shot(
    data: dict[str, Any], scene: bpy.types.Scene, rig: bpy.types.Object
) -> dict[str, Any] | None:
    """A rig's record: the one whose names have stood for it, else the one of its names, else one
    that a renaming has left behind."""
    numbers = _numbers_of(scene, rig)
    known = [shot for shot in data["shots"] if _numbers.get(_names(shot)) == numbers]
    named = [shot for shot in data["shots"] if _names(shot) == (scene.name, rig.name_full)]
    # A rig that is linked or appended anew takes the record of the one that had its name.
    named = [shot for shot in named if _meant(shot) is None]
    found: dict[str, Any] | None = next(iter(known + named), None)
    lost = [] if found is not None else [each for each in data["shots"] if _meant(each) is None]
    return found or left_behind(lost, scene, rig)


def _meant(shot: Mapping[str, Any]) -> tuple[bpy.types.Scene, bpy.types.Object] | None:
    """The scene and the rig that a record is known to be of, where they are still there."""
    return _thing(_numbers.get(_names(shot), (0, 0)))


def _thing(numbers: Numbers) -> tuple[bpy.types.Scene, bpy.types.Object] | None:
    """The scene and the rig of these numbers, where they are still there."""
    scene = next((each for each in bpy.data.scenes if each.session_uid == numbers[0]), None)
    rigs = [] if scene is None else [o for o in scene.objects if o.session_uid == numbers[1]]
    return (scene, rigs[0]) if scene is not None and rigs else None


def _rename(data: dict[str, Any]) -> None:
    """Give the records the names that their rigs have now; two may have swapped theirs."""
    for shot, meant in [(shot, _meant(shot)) for shot in data["shots"]]:
        if meant is not None:
            shot["scene"], shot["rig"] = meant[0].name, meant[1].name_full
            _numbers[_names(shot)] = _numbers_of(*meant)


def _names(shot: Mapping[str, Any]) -> Names:
    return shot["scene"], shot["rig"]


def _numbers_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> Numbers:
    return scene.session_uid, rig.session_uid


def _object_of(scene: bpy.types.Scene, full_name: str) -> bpy.types.Object | None:
    return next((item for item in scene.objects if item.name_full == full_name), None)
