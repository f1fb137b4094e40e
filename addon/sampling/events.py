# SPDX-License-Identifier: GPL-3.0-or-later
"""What the user declares to reach a character from outside: hits, pulls, catches, loads, freezes.

The declaration is a custom property of the rig, see `kept`; its entries are those of a clip's
`meta.events`.
"""

from typing import Any

import bpy

from ...analysis.errors import ClipError
from ...analysis.meta import Event
from ...analysis.parts import is_part
from .kept import entries_of, keep_entries

EVENTS = "plumbline_events"


def declared_events(scene: bpy.types.Scene, rig: bpy.types.Object) -> list[Event]:
    """A rig's events in time's order; what nobody of us wrote is left alone."""
    found = [event for entry in entries_of(scene, rig, EVENTS) if (event := _event(entry))]
    return sorted(found, key=_order)


def declare(scene: bpy.types.Scene, rig: bpy.types.Object, event: Event) -> None:
    """Declare an event as well."""
    _keep(scene, rig, [*declared_events(scene, rig), event])


def take_back(scene: bpy.types.Scene, rig: bpy.types.Object, event: Event) -> None:
    """Declare an event no longer."""
    _keep(scene, rig, [each for each in declared_events(scene, rig) if each != event])


def _keep(scene: bpy.types.Scene, rig: bpy.types.Object, events: list[Event]) -> None:
    once = sorted(dict.fromkeys(events), key=_order)
    keep_entries(scene, rig, EVENTS, [{**vars(event)} for event in once])


def _event(entry: Any) -> Event | None:
    try:
        event = Event.from_json(entry) if isinstance(entry, dict) else None
    except ClipError:
        return None
    return event if event and (event.part is None or is_part(event.part)) else None


def _order(event: Event) -> tuple[tuple[float, float], str, str]:
    return event.frames, event.part or "", event.kind
