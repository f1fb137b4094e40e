# SPDX-License-Identifier: GPL-3.0-or-later
"""The checks of flights on what is no proper shot: pieces, noise, gaps, held, lifted, still."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES
from walker import hop, joined

from analysis import Settings, check_clip

SHOT = joined(hop(tuck=0.0), hop(gravity=20.0, tuck=0.1), hop(tuck=0.0))
KINDS = ("piece", "noise", "gaps", "held", "lifted", "still")


def spoilt(kind, rng):
    """A random piece of a shot of three hops, spoilt in one way."""
    first = int(rng.integers(0, len(SHOT.frames) - 2))
    last = int(rng.integers(first + 1, len(SHOT.frames)))
    clip = SHOT.cut(SHOT.frames[first], SHOT.frames[last])
    count = len(clip.frames)
    place, turn, valid = (
        np.array(each) for each in (clip.positions, clip.rotations, clip.valid_mask)
    )
    if kind == "noise":
        place += rng.normal(0.0, 0.05, place.shape)
    elif kind == "gaps":
        for _ in range(4):
            start = int(rng.integers(0, count))
            gap = slice(start, start + int(rng.integers(1, count + 1))), rng.integers(len(NAMES))
            place[gap], valid[gap] = np.nan, False
    elif kind == "held":
        keys = np.unique(np.append(rng.integers(0, count, 6), 0))
        source = keys[np.searchsorted(keys, np.arange(count), side="right") - 1]
        place, turn = place[source], turn[source]
    elif kind == "lifted":
        place[..., 2] += np.linspace(0.0, 3.0, count)[:, None]
    elif kind == "still":
        place, turn = np.repeat(place[:1], count, axis=0), np.repeat(turn[:1], count, axis=0)
    return replace(clip, positions=place, rotations=turn, valid=valid)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("stage", "cycle"), [("polish", "no"), ("polish", "yes"), ("blocking", "no")]
)
def test_answers_are_numbers_or_reasons(kind, stage, cycle):
    checks = ("gravity", "carry", *(("hang_time",) if stage == "polish" else ()))
    for seed in range(8):
        clip = spoilt(kind, np.random.default_rng([seed, KINDS.index(kind)]))
        shot = check_clip(clip, Settings(cycle=cycle, stage=stage, checks=checks))
        for finding in shot.findings:
            assert np.isfinite([finding.amount, finding.limit]).all()
            assert "nan" not in finding.says + finding.suggestion.text
        measures = [value for value in shot.measures.values() if isinstance(value, float)]
        assert np.isfinite(measures).all()
        answered = {f.check for f in shot.findings} | {check for check, _why in shot.skipped}
        assert answered or shot.good or shot.style
