# SPDX-License-Identifier: GPL-3.0-or-later
"""What a check was asked with, in a few letters: the same letters where the same is asked."""

import hashlib
import json

from ..basis import Basis


def asked_of(basis: Basis) -> str:
    """A text that differs where other choices were made: settings, house style, declared events,
    supports, parts, props and points. The range is none of them, as it goes along with frames that
    are put in or taken out.
    """
    settings, meta = basis.settings, basis.clip.meta
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
    scale = [settings.height_m, meta.height_m, settings.space, settings.masses]
    return f"{_letters(asked)[:16]}.{_letters(scale)[:6]}"


def is_other_scale(asked: str, other: str) -> bool:
    """Whether sizes were told on another scale: of another height, table of masses or space."""
    return asked.partition(".")[2] != other.partition(".")[2]


def _letters(asked: object) -> str:
    told = json.dumps(asked, sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()
