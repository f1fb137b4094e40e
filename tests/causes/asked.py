# SPDX-License-Identifier: GPL-3.0-or-later
"""Asks what makes a planted fault, as who sees it: at the part and frame that differ most."""

import time
from typing import Any

import numpy as np

from analysis.basis import Basis, build_basis
from analysis.pipeline import Examination

from .case import Faulted
from .inside import addon
from .score import ranked

Json = dict[str, Any]


def asked(faulted: Faulted, examination: Examination) -> Json:
    """Where it was asked, what was answered, and what of that is right; and what it took."""
    basis = examination.basis
    body, at = furthest_off(basis, build_basis(faulted.clean, basis.settings))
    joint, frame = basis.bodies[body].name, float(basis.frames[at])
    begun = time.monotonic()
    search = addon("causes.search").AskedSearch(
        faulted.take.scene, faulted.take.rig, examination, joint=joint, frame=frame
    )
    while not search.is_done:
        search.step(float("inf"))
    causes = [each.to_json() for each in search.causes()]
    return {
        "joint": joint,
        "frame": frame,
        "causes": causes,
        "why_none": search.why_none,
        "seconds": round(time.monotonic() - begun, 3),
        **ranked(causes, faulted.truths[0]),
    }


def furthest_off(basis: Basis, clean: Basis) -> tuple[int, int]:
    """The judged body and the sample at which joint or tip are furthest off the clean motion."""
    off = np.linalg.norm(basis.marks[:, :, :2] - clean.marks[:, :, :2], axis=-1).max(axis=-1)
    off[:, [not body.judged for body in basis.bodies]] = -1.0
    at, body = np.unravel_index(int(off.argmax()), off.shape)
    return int(body), int(at)
