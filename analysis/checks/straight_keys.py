# SPDX-License-Identifier: GPL-3.0-or-later
"""The events of lone linear keys (see `linear_runs`)."""

import numpy as np

from ..basis import Basis
from ..declared import is_declared
from ..evidence import RawEvent
from ..linear_runs import SEEN_SHARE, LinearRun, linear_runs
from .straight_words import linear_advice, linear_words


def lone_keys(basis: Basis) -> list[LinearRun]:
    """Lone linear keys that are seen and not declared."""
    return [
        each
        for each in linear_runs(basis, basis.settings.factor("straight_run"))
        if not any(is_declared(basis, each.body, at, at) for at in (each.first, each.last))
    ]


def lone_event(basis: Basis, lone: LinearRun) -> RawEvent:
    """What is told of one."""
    limit = basis.settings.factor("straight_run") * SEEN_SHARE * basis.height.scene_m
    path = basis.marks[lone.first : lone.last + 1, lone.body, lone.mark]
    steps = np.linalg.norm(np.diff(path, axis=0), axis=-1)
    return RawEvent(
        check="straight_run",
        body=lone.body,
        first=lone.first,
        last=lone.last,
        peak=lone.peak,
        amount=basis.amount(lone.size),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=lone.size,
        step_m=float(steps.mean()),
        says=linear_words(basis, lone),
        point=basis.mark_name(lone.body, lone.mark),
        suggestion=linear_advice(basis, lone),
    )
