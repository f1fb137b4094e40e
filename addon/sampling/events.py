# SPDX-License-Identifier: GPL-3.0-or-later
"""What the user declares to reach a character from outside: hits, pulls, catches, loads, freezes.

The declaration is a custom property of the rig, see `kept`; its entries are those of a clip's
`meta.events`.
"""

from typing import Any

import bpy

from ...analysis.errors import FieldError
from ...analysis.meta import Event
from ...analysis.meta_fields import shown, wrong
from ...analysis.notices import first_few
from ...analysis.parts import is_spelt
from .kept import entries_of, keep_entries, why_unread

EVENTS = "plumbline_events"
EXAMPLE = '[{"frames": [84, 96], "part": "foot.R", "kind": "hit"}]'
_ENTRY = "an object with frames: [first, last]"
_PART = "a part such as root or hand.L, or null for the whole body"


def declared_events(scene: bpy.types.Scene, rig: bpy.types.Object) -> list[Event]:
    """A rig's events in time's order; what nobody of us wrote is left alone."""
    found = (_event(entry) for entry in entries_of(scene, rig, EVENTS))
    return sorted((event for event in found if isinstance(event, Event)), key=_order)


def unread_events(scene: bpy.types.Scene, rig: bpy.types.Object) -> list[str]:
    """What stands where a rig's events are kept and is none, in a sentence each: what was found,
    what was expected, what to do."""
    if why := why_unread(scene, rig, EVENTS):
        return [
            f"{why}, expected JSON text such as {EXAMPLE}: nothing of it is used; write such a "
            "text there, or delete it and declare the events in the panel."
        ]
    found = (_event(entry) for entry in entries_of(scene, rig, EVENTS))
    told = [
        f"Entry {number} of the property {EVENTS} of {rig.name!r} is not used: {each.what}; "
        "correct or delete it."
        for number, each in enumerate(found, 1)
        if isinstance(each, FieldError)
    ]
    return first_few(told)


def declare(scene: bpy.types.Scene, rig: bpy.types.Object, event: Event) -> None:
    """Declare an event as well."""
    _keep(scene, rig, [*declared_events(scene, rig), event])


def take_back(scene: bpy.types.Scene, rig: bpy.types.Object, event: Event) -> None:
    """Declare an event no longer."""
    _keep(scene, rig, [each for each in declared_events(scene, rig) if each != event])


def _keep(scene: bpy.types.Scene, rig: bpy.types.Object, events: list[Event]) -> None:
    """Keep events instead of those that were kept; entries that are none stay, after them."""
    once = sorted(dict.fromkeys(events), key=_order)
    kept = entries_of(scene, rig, EVENTS)
    others = [entry for entry in kept if not isinstance(_event(entry), Event)]
    keep_entries(scene, rig, EVENTS, [*(event.to_json() for event in once), *others])


def _event(entry: Any) -> Event | FieldError:
    """The event that an entry says, or what is wrong with it."""
    if not isinstance(entry, dict):
        return wrong("it", entry, _ENTRY)
    try:
        event = Event.from_json(entry)
    except FieldError as error:
        return error
    if event.part is not None and not is_spelt(event.part):
        return FieldError(f"events.part is {shown(event.part)}, expected {_PART}")
    return event


def _order(event: Event) -> tuple[tuple[float, float], str, str]:
    return event.frames, event.part or "", event.kind
