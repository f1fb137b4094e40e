# SPDX-License-Identifier: GPL-3.0-or-later
"""Which checks are asked at all: a checkbox for each, in groups by what they watch over."""

from typing import Any

import bpy

from ...analysis.checks import REGISTRY

# In the order of the list; each check is in one of them.
GROUPS = {
    "Smooth Motion": (
        "pop",
        "hitch",
        "frozen",
        "hard_stop",
        "hard_start",
        "straight_run",
        "off_arc",
        "stuck_turn",
        "stop_together",
    ),
    "Loops": ("double_frame", "loop_seam"),
    "Feet on the Floor": ("slide", "sink", "stomp"),
    "Limbs and Spine": ("locked_knee", "knee_pop", "overreach", "torso_break"),
    "Weight and Flight": ("hang_time", "gravity", "push", "carry", "balance", "sway"),
    "Props and Camera": ("stiff_prop", "prop_clash", "edge_on", "camera_jump"),
}
WHY_OFF = "switched off in the preferences"


def _checkboxes() -> dict[str, Any]:
    """One property a check: a check that a later version brings begins switched on."""
    return {
        check.info.name: bpy.props.BoolProperty(
            name=check.info.name.replace("_", " ").title(),
            description=f"{check.info.question} {check.info.definition}".rstrip("."),
            default=True,
        )
        for check in REGISTRY
    }


# Made here and not written as a class: its properties are those of the list of checks.
PlumblineAskedChecks: Any = type(
    "PlumblineAskedChecks",
    (bpy.types.PropertyGroup,),
    {
        "__doc__": "The checks that are asked.",
        "__module__": __name__,
        "__annotations__": _checkboxes(),
    },
)


def switched_off(asked: Any) -> dict[str, str]:
    """Name -> why, of the checks that are switched off in a `PlumblineAskedChecks`."""
    names = (check.info.name for check in REGISTRY)
    return {name: WHY_OFF for name in names if not getattr(asked, name)}


def draw_asked_checks(layout: Any, asked: Any) -> None:
    """The checkboxes, a box a group, in two columns."""
    row = layout.row()
    titles = list(GROUPS)
    half = len(titles) // 2  # as many checks as on the other side
    for side in (titles[:half], titles[half:]):
        column = row.column()
        for title in side:
            box = column.box().column()
            box.label(text=title)
            for name in GROUPS[title]:
                box.prop(asked, name)
