# SPDX-License-Identifier: GPL-3.0-or-later
"""What a check was asked with, in a few letters: the same letters where the same is asked."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from ..basis import Basis
from ..settings import Settings
from .keyed import stretch_of

# Frame rates are one where they differ by less than this share: reports round them.
ONE_RATE = 1e-4
# What is known by a report begins so.
REPORT = "report."


def asked_of(basis: Basis, *, stretch: float | None = None) -> str:
    """A text that differs where other choices were made: settings, house style, declared events,
    supports, parts, props and points, and how time is remapped. The range is none of them, as it
    goes along with frames that are put in or taken out; a pass has its frame rate besides.

    stretch   taken for the basis's own, where given
    """
    settings, meta = basis.settings, basis.clip.meta
    stretch = stretch_of(basis) if stretch is None else stretch
    checks = None if settings.checks is None else sorted(settings.checks)
    asked = {
        **settings.to_json(),
        "checks": checks,
        "off": sorted(settings.off),
        "plays": [meta.cycle, meta.loop_end],
        "height": meta.height_m,
        "events": sorted(json.dumps(each.to_json(), sort_keys=True) for each in meta.events),
        "supports": sorted(meta.supports),
        "roles": {part: list(names) for part, names in meta.roles.items()},
        "props": sorted((p.name, p.mass_kg or 0.0, p.held_by or "", p.fixed) for p in meta.props),
        "follow": sorted((each.name, each.point or "") for each in meta.follow),
    }
    if stretch != 1.0:  # without it the letters are those of older records
        asked["stretch"] = stretch
    scale = [settings.height_m, meta.height_m, settings.space, settings.masses]
    told = asked, scale, asked["roles"]
    return ".".join(_letters(each)[:most] for each, most in zip(told, (16, 6, 6), strict=True))


def asked_in(settings: Mapping[str, Any]) -> str:
    """What a report tells of what it was asked with, by the settings that stand in it: it knows of
    no events, parts and supports. Empty where its shots were asked for different stages."""
    if settings.get("stage") is None:
        return ""
    checks = settings.get("checks")
    told = {**settings, "checks": sorted(map(str, checks)) if isinstance(checks, list) else None}
    return f"{REPORT}{_letters(told)[:16]}"


def is_asked(asked: str, now: str, settings: Settings) -> bool:
    """Whether a pass was asked with what is asked now (`asked_of`, and the settings)."""
    return asked == (asked_in(settings.to_json()) if asked.startswith(REPORT) else now)


def is_other_rate(fps: float, other: float) -> bool:
    """Whether two frame rates differ; False where one is not known."""
    return min(fps, other) > 0.0 and abs(fps / other - 1.0) > ONE_RATE


def is_other_scale(asked: str, other: str) -> bool:
    """Whether sizes were told on another scale: of another height, table of masses or space."""
    return asked.split(".")[1:2] != other.split(".")[1:2]


def has_other_parts(asked: str, other: str) -> bool:
    """Whether parts were taken for other bones; False where that is not known."""
    parts = asked.split(".")[2:], other.split(".")[2:]
    return all(parts) and parts[0] != parts[1]


def _letters(asked: object) -> str:
    told = json.dumps(asked, sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()
