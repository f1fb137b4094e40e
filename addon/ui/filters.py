# SPDX-License-Identifier: GPL-3.0-or-later
"""Which lines of the list are in sight, in which order, and how many are filtered away."""

from typing import Any

import bpy

from ...analysis.list_order import GROUPS
from ...analysis.words import count_text
from .folding import order_of
from .redraw import redraw_viewports

# The box above the list holds so many; a shorter list needs none.
WORST = 3

_GROUP_TEXTS = {
    "body": ("Body", "The whole figure, root, pelvis, spine and chest"),
    "head": ("Head", "Head and neck"),
    "legs": ("Legs", "Legs and feet"),
    "arms": ("Arms", "Shoulders, arms and hands"),
    "rest": ("Rest", "Props, cameras, tails and all else"),
}


def _refiltered(_self: Any, context: bpy.types.Context) -> None:
    """What is read stays in sight: where it is filtered away, the first line that is not."""
    session: Any = context.window_manager.plumbline
    order = visible(session)
    if order and session.active not in order:
        session.active = order[0]
    redraw_viewports(context)


class PlumblineFilters(bpy.types.PropertyGroup):
    """How the list is sorted, and what it leaves out."""

    order: bpy.props.EnumProperty(
        name="Order",
        description="What stands first in the list",
        items=[
            (
                "fixing",
                "Fixing Order",
                "Body first, then outwards: what is mended early takes others along",
            ),
            (
                "size",
                "Biggest First",
                "Major before minor, then by how many times each is over its limit",
            ),
        ],
        update=_refiltered,
    )
    groups: bpy.props.EnumProperty(
        name="Parts",
        description="Which parts are listed",
        items=[(name, *_GROUP_TEXTS[name]) for name in GROUPS],
        options={"ENUM_FLAG"},
        default=set(GROUPS),
        update=_refiltered,
    )
    state: bpy.props.EnumProperty(
        name="Since Last Pass",
        description="List what has this state since the pass before",
        items=[
            ("all", "Any State", "Whether it is new or not"),
            ("new", "New", "What the pass before did not have"),
            ("back", "Back Again", "What was fixed in an earlier pass and has come back"),
            ("told_now", "Told Only Now", "What other choices, or a longer range, tell"),
            ("unchanged", "Still There", "What the pass before had as well"),
        ],
        update=_refiltered,
    )
    major: bpy.props.BoolProperty(
        name="Major Only",
        description="Leave out what is minor",
        update=_refiltered,
    )
    intended: bpy.props.BoolProperty(
        name="Kept as Intended",
        description="Also list what is kept as intended",
        update=_refiltered,
    )
    search: bpy.props.StringProperty(
        name="Search",
        description="List only what has this in its title",
        options={"TEXTEDIT_UPDATE"},
        update=_refiltered,
    )


def show_all(filters: Any) -> None:
    """Filter nothing away; the order, and what is kept as intended, stay as they are."""
    for name in ("groups", "state", "major", "search"):
        filters.property_unset(name)


def visible(session: Any) -> list[int]:
    """The numbers of the lines that are in sight, as they stand below each other."""
    lines, filters = session.findings, session.filters
    passing = [_passes(line, filters) for line in lines]
    shown = [n for n in range(len(lines)) if passing[n] and not _is_folded(session, n, passing)]
    places = _places(session)
    return sorted(shown, key=places.__getitem__)


def before(session: Any, number: int) -> int:
    """How many of the lines in sight stand before a line, in sight or not."""
    places = _places(session)
    if not 0 <= number < len(places):
        return 0
    return sum(1 for each in visible(session) if places[each] < places[number])


def is_folding(session: Any) -> bool:
    """Whether lines fold under others: the biggest first, each stands for itself."""
    return bool(session.folding) and session.filters.order == "fixing"


def worst(session: Any) -> list[int]:
    """The numbers of the worst lines, the worst first, whatever is filtered: what to mend first.

    Lines that go with another one's cause make that one as bad as the worst of them.
    """
    lines = session.findings
    loud = [n for n in range(len(lines)) if not lines[n].reason]
    if len(loud) <= WORST:
        return []
    heads: dict[int, int] = {}
    for number in sorted(loud, key=lambda n: lines[n].place):
        leader = lines[number].leader
        heads.setdefault(leader if leader >= 0 and not lines[leader].reason else number, number)
    return list(heads)[:WORST]


def hidden_text(session: Any) -> str:
    """How many lines filters leave out, and by what, as a sentence; empty where they leave none."""
    filters = session.filters
    lines = [line for line in session.findings if filters.intended or not line.reason]
    by_what = {"of other parts": 0, "minor": 0, "of another state": 0, "not what is searched": 0}
    for line in lines:
        if line.group not in filters.groups:
            by_what["of other parts"] += 1
        elif filters.major and not line.major:
            by_what["minor"] += 1
        elif not _has_state(line, filters):
            by_what["of another state"] += 1
        elif not _is_searched(line, filters):
            by_what["not what is searched"] += 1
    total = sum(by_what.values())
    if not total:
        return ""
    told = ", ".join(f"{count} {what}" for what, count in by_what.items() if count)
    return f"{count_text(total, 'finding')} filtered away: {told}."


def _places(session: Any) -> list[int]:
    lines = session.findings
    if session.filters.order == "size":
        return [line.place for line in lines]
    return order_of(lines) if session.folding else list(range(len(lines)))


def order_for_list(session: Any) -> list[int]:
    """The place of each line, as Blender's list asks for it; empty where they stay as they are."""
    if session.filters.order == "fixing" and not session.folding:
        return []
    return _places(session)


def _is_folded(session: Any, number: int, passing: list[bool]) -> bool:
    """Whether a line is out of sight under another one, which itself must be there; what is
    searched for is shown, folded or not."""
    if not is_folding(session) or session.filters.search:
        return False
    leader = session.findings[number].leader
    return leader >= 0 and passing[leader] and not session.findings[leader].open


def _passes(line: Any, filters: Any) -> bool:
    return (
        line.group in filters.groups
        and (filters.intended or not line.reason)
        and (line.major or not filters.major)
        and _has_state(line, filters)
        and _is_searched(line, filters)
    )


def _has_state(line: Any, filters: Any) -> bool:
    return filters.state in ("all", line.state)


def _is_searched(line: Any, filters: Any) -> bool:
    return filters.search.casefold() in line.title.casefold()
