# SPDX-License-Identifier: GPL-3.0-or-later
"""What a clip says of a ball that stands for the body: its entry `ball` in the meta."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from . import meta_fields as fields
from .meta_items import Follow, Prop, read_follow, read_prop, read_roles


@dataclass(frozen=True, kw_only=True)
class Ball:
    """The clip's first joint is a ball, and it alone is judged.

    figure          whether the other joints are a figure, which tells height, floor and feet;
                    else the ball is alone, and its own bounces are its contacts
    on              the joint of the figure that it was put on, whose place the centre of mass keeps
                    to; "" where that is not told: the ball is the centre of mass itself
    roles, props, follow   what that figure's own clip says of these
    falls           whether it stands for what falls freely and strides: the body, and no hand
    by_itself       whether what is asked of the centre of mass is asked of the ball's own place
    scene_height_m  of a ball that is alone: how tall its figure is, metres of the scene; None
                    where that is not known: then the scene's metres are true ones
    """

    figure: bool
    on: str = ""
    roles: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    props: tuple[Prop, ...] = ()
    follow: tuple[Follow, ...] = ()
    falls: bool = True
    by_itself: bool = False
    scene_height_m: float | None = None

    def to_json(self) -> dict[str, Any]:
        """Its entry in the meta; what is unset is left out."""
        entry: dict[str, Any] = {
            "on": self.on,
            "roles": {part: list(names) for part, names in self.roles.items()},
            "props": [dict(vars(prop)) for prop in self.props],
            "follow": [dict(vars(each)) for each in self.follow],
            "scene_height_m": self.scene_height_m,
            "by_itself": self.by_itself,
        }
        told = {key: told for key, told in entry.items() if told}
        return {"figure": self.figure} | told | ({} if self.falls else {"falls": False})

    @classmethod
    def from_json(cls, item: Any) -> "Ball":
        """A ball from its entry; raises ClipError in one sentence for what is none."""
        if not isinstance(item, dict) or "figure" not in item:
            raise fields.wrong("ball", item, 'an object such as {"figure": true}')
        fields.no_misspelt_keys("ball", item, tuple(cls.__dataclass_fields__))
        told = {key: value for key, value in item.items() if value is not None}
        return cls(
            figure=fields.flag("ball.figure")(item["figure"]),
            **{key: read(told[key]) for key, read in _READERS.items() if key in told},
        )


_READERS: dict[str, Callable[[Any], Any]] = {
    "on": fields.text("ball.on"),
    "roles": read_roles,
    "props": fields.objects("ball.props", read_prop),
    "follow": fields.objects("ball.follow", read_follow),
    "falls": fields.flag("ball.falls"),
    "by_itself": fields.flag("ball.by_itself"),
    "scene_height_m": fields.number("ball.scene_height_m", positive=True),
}
