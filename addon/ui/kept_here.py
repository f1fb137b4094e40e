# SPDX-License-Identifier: GPL-3.0-or-later
"""All that this extension keeps in the open file: found, counted and cleared, kind by kind.

It is known by its custom properties, whose names begin alike. What is linked or overridden is
told and left: it stands in another file.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import bpy

from ..record import shots
from ..record.text_block import count_record, find_text, has_changed
from ..sampling.kept import keeps_properties
from ..signals.ours import SIGNALS_OF, holders, remove_holders
from ..sphere.facts import OF_BALLS
from ..sphere.hiding import HIDDEN, show_again
from ..sphere.ours import (
    COLLECTION,
    SPHERE_OF,
    TURNED,
    UPRIGHT_OF,
    is_upright,
    remove_sphere,
    remove_unused,
    remove_upright,
    spheres_in,
)
from . import last_check
from .markers import MARKERS, remove_markers, standing_markers

PREFIX = "plumbline_"
_OF_SPHERES = frozenset((SPHERE_OF, UPRIGHT_OF, TURNED, COLLECTION, HIDDEN)) | OF_BALLS
_NOT_DECLARED = frozenset((*_OF_SPHERES, MARKERS, SIGNALS_OF))


@dataclass(frozen=True)
class Held:
    """A property of ours: who carries it, its name, and whether it stands in this file."""

    carrier: Any
    key: str
    here: bool


@dataclass(frozen=True, kw_only=True)
class Kind:
    """name    what the operator calls it
    title   what the panel calls it
    what    what it is, a sentence without its full stop
    count   how many of them the file holds, by a `survey`
    clear   takes them out of the file
    """

    name: str
    title: str
    what: str
    count: Callable[[Sequence[Held]], int]
    clear: Callable[[], object]


def survey() -> list[Held]:
    """Every property of ours in the open file and in what it links."""
    return [
        Held(carrier, key, keeps_properties(block))
        for block, carrier in _carriers()
        for key in carrier.keys()  # noqa: SIM118 - no dict
        if key.startswith(PREFIX)
    ]


def elsewhere(found: Sequence[Held]) -> list[str]:
    """Names of what carries something of ours and stands in other files."""
    return list(dict.fromkeys(each.carrier.name for each in found if not each.here))


def _carriers() -> Iterator[tuple[Any, Any]]:
    """(block, what carries properties): the block itself, and the view layers of a scene."""
    lists = (
        getattr(bpy.data, each.identifier)
        for each in bpy.data.bl_rna.properties
        if each.type == "COLLECTION" and each.identifier != "window_managers"
    )
    # 5.2 has one list more, of all blocks together.
    for block in dict.fromkeys(block for blocks in lists for block in blocks):
        yield block, block
    for scene in bpy.data.scenes:
        yield from ((scene, layer) for layer in scene.view_layers)


def _declared(found: Sequence[Held]) -> list[Held]:
    return [each for each in found if each.here and each.key not in _NOT_DECLARED]


def _clear_declared() -> None:
    for each in _declared(survey()):
        del each.carrier[each.key]


def _count_spheres(found: Sequence[Held]) -> int:
    """Spheres; or, where all are deleted, whether anything of them is left."""
    left = [each for each in found if each.here and each.key in _OF_SPHERES]
    balls = [
        each
        for each in left
        if each.key == SPHERE_OF and isinstance(each.carrier, bpy.types.Object)
    ]
    return len(balls) or min(len(left), 1)


def _clear_spheres() -> None:
    """Show what is hidden for them, and delete them; what the user made of them stays his."""
    for scene in bpy.data.scenes:
        if not scene.library:
            show_again(scene)
            for sphere in spheres_in(scene):
                remove_sphere(scene, sphere)
            for copy in [item for item in scene.objects if is_upright(item)]:
                remove_upright(scene, copy)
    left: dict[Any, list[str]] = {}
    for each in survey():
        if each.here and each.key in _OF_SPHERES:
            left.setdefault(each.carrier, []).append(each.key)
    for carrier, keys in left.items():
        if {SPHERE_OF, UPRIGHT_OF} & set(keys) and not carrier.users:
            remove_unused(carrier)
            continue
        for key in keys:
            del carrier[key]


def _count_markers(found: Sequence[Held]) -> int:
    """Markers that stand as written; or, where none does, whether their list is left."""
    lists = [each.carrier for each in found if each.here and each.key == MARKERS]
    return sum(len(standing_markers(scene)) for scene in lists) or min(len(lists), 1)


def _clear_markers() -> None:
    for each in survey():
        if each.here and each.key == MARKERS:
            remove_markers(each.carrier)
            each.carrier.pop(MARKERS, None)  # what cannot be read as well


def _clear_record() -> None:
    """The text, and what is held in memory, which the next save would write into a new one."""
    shown = find_text()
    held = "" if shown is None else shown.as_string()
    while (text := find_text()) is not None:
        bpy.data.texts.remove(text)
    has_changed()  # the next undo is compared with this
    shots.put_aside(held)
    last_check.put_outcomes_aside()


KINDS = (
    Kind(
        name="record",
        title="Notes and Passes",
        what="What is kept as intended, notes, choices and the last passes: the text Plumbline",
        count=lambda _found: count_record(),
        clear=_clear_record,
    ),
    Kind(
        name="declared",
        title="Declarations",
        what="What bears weight, is fixed, heavy or followed, events and corrected parts",
        count=lambda found: len(_declared(found)),
        clear=_clear_declared,
    ),
    Kind(
        name="spheres",
        title="Root Spheres",
        what=(
            "Spheres with their keys and their upright copies; what is hidden for them is shown "
            "again"
        ),
        count=_count_spheres,
        clear=_clear_spheres,
    ),
    Kind(
        name="markers",
        title="Timeline Markers",
        what="Markers that were written for findings; those that you changed stay",
        count=_count_markers,
        clear=_clear_markers,
    ),
    Kind(
        name="signals",
        title="Signal Curves",
        what="Measured signals that the Graph Editor shows; they are never saved",
        count=lambda _found: len(holders()),
        clear=remove_holders,
    ),
)
