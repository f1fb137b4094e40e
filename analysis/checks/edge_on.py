# SPDX-License-Identifier: GPL-3.0-or-later
"""`edge_on`: does a prop show only its edge, or its end, to the camera?"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import runs
from ..carried import Carried, carried_in
from ..declared import is_declared
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..prop_view import LEAST_SHARE, View, view_of
from ..screen import has_camera
from .contract import CheckInfo
from .edge_on_words import advice_text, edge_text, good_text, style_text

Bools = NDArray[np.bool_]

# So long: 6 frames at 30, 5 at 24; where it is held, half of that.
LEAST_S, HELD_SHARE = 0.2, 0.5
# It is held where its tip goes slower than this, of the height a second (14 cm/s).
HELD_PACE = 0.08
# What shows its edge over this share of the time that it is seen is meant to.
STYLE_SHARE = 0.8
# Shares that differ by less are the same: the first of the worst frames is named.
SAME_SHARE = 0.005

INFO = CheckInfo(
    name="edge_on",
    question="Does a prop show only its edge to the camera?",
    definition=(
        "A held prop's length and, where it is flat, its width as the active camera sees them, "
        "against the true ones: the length by its angle to the line of sight, the width across "
        "it by that of its flat side. Under 15 % for a fifth of a second or more (half as long "
        "where the prop is held still) it shows only its edge or its end; what turns through "
        "faster is quiet, and so is what is out of the picture or smaller there than 2 % of its "
        "height. Its shape comes from the clip's points on it: base, tip and edge; without an "
        "edge only its length is asked. What does so over .8 of the shot is a style."
    ),
    unit="s",
    limit="seen under 15 % of its width or length for .2 s, .1 s where it is held still",
    source="common practice (staging: a clear silhouette; no source)",
    stages=("blocking", "spline", "polish"),
    mend="Turn the prop about its own length, or the hand, until its flat side shows.",
    asked_of="shot",
    spaces=("world", "camera"),
)


def find(basis: Basis, _cycle: Cycle) -> Evidence:
    """Stretches over which a prop shows only its edge or its end."""
    carried = [each for each in carried_in(basis) if each.length > 0.0]
    if not carried:
        return Evidence("edge_on", skipped="no hand holds a prop")
    if not has_camera(basis.clip):
        why = "the clip has no camera: choose one for the scene"
        return Evidence("edge_on", skipped=why)
    views = [view_of(basis, each) for each in carried]
    if not any(view.shows.any() for view in views):
        return Evidence("edge_on", skipped="no prop is seen by the camera, large enough to be read")
    styles = [view for view in views if _is_style(view)]
    events = [e for view in views if view not in styles for e in _events(basis, view)]
    habit = style_text(basis, [view.carried.body for view in styles])
    good = "" if events or habit else good_text(basis, views)
    return Evidence("edge_on", tuple(events), good=good, habit=habit)


def _is_style(view: View) -> bool:
    seen = int(view.shows.sum())
    low = int((view.shows & (view.share < LEAST_SHARE)).sum())
    return seen > 0 and low >= STYLE_SHARE * seen


def _events(basis: Basis, view: View) -> list[RawEvent]:
    factor = basis.settings.factor("edge_on")
    low = view.shows & (view.share < LEAST_SHARE)
    found = []
    for first, last in _between_cuts(basis, low):
        held = _is_held(basis, view.carried, first, last)
        limit = factor * LEAST_S * (HELD_SHARE if held else 1.0)
        count = last - first + 1
        if count < max(round(limit / basis.dt_s), 2):
            continue
        if not is_declared(basis, view.carried.body, first, last):
            found.append(_event(basis, view, (first, last), limit, held=held))
    return found


def _between_cuts(basis: Basis, low: Bools) -> list[tuple[int, int]]:
    """Runs that do not go over a cut."""
    cuts = basis.clip.camera_cut
    if cuts is None:
        return runs(low)
    found = []
    for first, last in runs(low):
        inner = [first, *(first + 1 + np.flatnonzero(cuts[first + 1 : last + 1])), last + 1]
        found += [(int(a), int(b) - 1) for a, b in pairwise(inner) if b > a]
    return found


def _is_held(basis: Basis, carried: Carried, first: int, last: int) -> bool:
    tip = carried.placed(basis, carried.tip)[first : last + 1]
    if len(tip) < 2:
        return False
    pace = np.linalg.norm(np.diff(tip, axis=0), axis=-1) / basis.dt_s
    return bool(pace.max() < HELD_PACE * basis.height.scene_m)


def _event(
    basis: Basis, view: View, span: tuple[int, int], limit: float, *, held: bool
) -> RawEvent:
    first, last = span
    seen = view.share[first : last + 1]
    peak = first + int(np.argmax(seen <= seen.min() + SAME_SHARE))
    end = bool(view.by_length[peak])
    whole = view.carried.length if end else view.carried.width
    return RawEvent(
        check="edge_on",
        body=view.carried.body,
        first=first,
        last=last,
        peak=peak,
        amount=(last - first + 1) * basis.dt_s,
        limit=limit,
        unit="s",
        # What the camera does not see of it; speed does not hide that, as it lasts.
        visible_m=(1.0 - float(view.share[peak])) * whole,
        step_m=0.0,
        says=edge_text(basis, span, float(view.share[peak]), end=end, held=held),
        suggestion=Suggestion(
            advice_text(basis, view, peak, end=end), frame=float(basis.frames[peak])
        ),
    )
