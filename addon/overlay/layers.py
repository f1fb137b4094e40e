# SPDX-License-Identifier: GPL-3.0-or-later
"""The layers of the picture: each can be switched, and is built only when what it shows changes."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Layer:
    """name, label and tooltip; whether it is on where nobody chose; and whether it lies on the
    floor of the scene, while all others go with the camera where that is asked."""

    name: str
    label: str
    tooltip: str
    on: bool = True
    on_floor: bool = False


LAYERS = (
    Layer("trails", "Trails", "The paths of the picked parts, a dot a frame"),
    Layer(
        "numbers", "Frame Numbers", "The numbers of frames beside their dots, where there is room"
    ),
    Layer("tops", "Hang Time", "The top of each flight, and how long it stays there"),
    Layer(
        "paths",
        "Free Paths",
        "Dashed: where gravity alone would carry the body, with a cross where it would land",
    ),
    Layer("targets", "Suggested Places", "Hollow dots: where a point had better be"),
    Layer(
        "upright",
        "Arcs of the Ball",
        "Of a ball that is checked: how far it is off its free path on each frame, the foot that "
        "pushes it back at each turn, and its path as its upright copies go",
        on_floor=True,
    ),
    Layer(
        "pushes",
        "Pushes",
        "Arrows: how hard the ground pushes, in weights of the body",
        on=False,
        on_floor=True,
    ),
    Layer(
        "footprints",
        "Footprints",
        "Where each foot stands, and how it slips there",
        on=False,
        on_floor=True,
    ),
    Layer(
        "ruler",
        "Floor Ruler",
        "A ruler along the way, with a fine mark for each frame",
        on=False,
        on_floor=True,
    ),
)
# Below all others; where there was a pass before, and it is asked for.
EARLIER = "earlier"
NAMES = tuple(layer.name for layer in LAYERS)
# As they lie on each other, the uppermost first: a point's ring would hide a suggestion beside it.
TOPMOST_FIRST = ("targets", *(name for name in NAMES if name != "targets"))
ON_FLOOR = frozenset(layer.name for layer in LAYERS if layer.on_floor)
