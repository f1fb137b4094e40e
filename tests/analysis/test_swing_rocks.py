# SPDX-License-Identifier: GPL-3.0-or-later
"""A body rocked on linear keys, from its stand to both sides and back: found at each turn, told in
one finding with what it does at its ends, and quiet where its advice is done."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, steered

from analysis import Settings, check_clip

ASKED = Settings(cycle="no", checks=("hang_time",), height_m=1.78)
ALL = Settings(cycle="no", height_m=1.78)
FIRST = 16  # the sample on which it leaves its stand


def even(u):
    return u


def sine(u):
    return 0.5 - 0.5 * np.cos(np.pi * u)


def smoothstep(u):
    """What keys with flat handles give, a third of the way long (Blender's, eased)."""
    return u**2 * (3.0 - 2.0 * u)


def keyed(spacing, each_way, *, way=12, fps=24.0, extremes=2, drift=0.0, back=True, first=None):
    """A figure rocked `each_way` metres to both sides, `way` samples from its stand to the first
    extreme and twice that to the next; drift: metres a second that it goes on when it stands;
    first: another spacing of the first way."""
    places = [0.0, *(each_way * (-1.0) ** n for n in range(extremes)), *([0.0] if back else [])]
    keys = [FIRST, *(FIRST + way * (2 * n + 1) for n in range(extremes))]
    keys += [keys[-1] + way] if back else []
    count = keys[-1] + round(1.6 * fps)
    path = np.zeros(count)
    path[keys[-1] :] = places[-1]
    spacings = [first or spacing] + [spacing] * len(keys)
    for a, b, low, high, each in zip(keys, keys[1:], places, places[1:], spacings, strict=False):
        at = np.arange(a, b + 1)
        path[at] = low + (high - low) * each((at - a) / (b - a))
    stood = np.arange(count) - FIRST
    path += drift / fps * np.where(stood < 0, stood, np.maximum(stood - (keys[-1] - FIRST), 0))
    own = 0.02 * np.sin(2.0 * np.pi * np.arange(count) / fps)  # what that figure sways by itself
    return steered(frames=count, fps=fps, root_shift=(path - own)[:, None] * [1.0, 0.0, 0.0])


def found(clip, settings=ASKED):
    return [(f.check, f.part) for f in check_clip(clip, settings).findings]


def frozen(clip, at):
    """The clip, in which all stands dead from a sample on."""
    held = [np.array(each) for each in (clip.positions, clip.rotations)]
    for each in held:
        each[at:] = each[at]
    return replace(clip, positions=held[0], rotations=held[1])


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("each_way", [0.06, 0.08, 0.10])
@pytest.mark.parametrize("seconds", [0.3, 0.5])
def test_a_rock_on_linear_keys_is_one_finding_with_all_its_turns(fps, each_way, seconds):
    way = round(seconds * fps)
    told = {"way": way, "fps": fps, "drift": 0.008}  # a body that stands drifts 8 mm a second
    (finding,) = check_clip(keyed(even, each_way, **told), ASKED).findings
    assert (finding.check, finding.part) == ("hang_time", "root")
    turns = [FIRST + 1 + way, FIRST + 1 + 3 * way]
    assert f"turns on frames {turns[0]} and {turns[1]}" in finding.says
    assert finding.frames == pytest.approx((FIRST + 1, FIRST + 1 + 4 * way), abs=2.0)
    for eased in (sine, smoothstep):
        assert found(keyed(eased, each_way, **told)) == []


def test_a_clear_rock_is_major():
    """Even ways of 20 cm are off a sine by .105 of them, 2.1 cm: more than .88 % of the height."""
    told = [check_clip(keyed(even, each), ASKED).findings[0] for each in (0.06, 0.1)]
    assert [finding.severity for finding in told] == ["minor", "major"]
    assert "puts it up to 1.3 cm off an eased swing" in told[0].says
    assert "puts it up to 2.1 cm off an eased swing" in told[1].says


def test_what_was_told_is_quiet_once_it_is_done():
    (finding,) = check_clip(keyed(even, 0.10, drift=0.008), ASKED).findings
    # A way of 20 cm in 24 frames: on a sine's, 0.09 cm beside the extreme, 5 cm after a third.
    assert (
        "1 frame before and after, be under 0.1 cm from it (evenly spaced 0.8 cm)"
        in finding.suggestion.text
    )
    assert (
        "8 frames before and after, 5.0 cm from it (evenly spaced 6.7 cm)"
        in finding.suggestion.text
    )
    assert "Ease out of the stand and into it" in finding.suggestion.text
    assert found(keyed(sine, 0.10), ALL) == []
    assert found(keyed(smoothstep, 0.10), ALL) == []


def test_turns_beside_one_that_is_even_are_told_with_it():
    """A first way that is bent by a tenth of its length is told beside an even turn, not alone."""

    def bent(u):
        return u + 0.09 * np.sin(np.pi * u)

    for first, turns in ((even, "frames 29 and 53"), (bent, "frames 29 and 53")):
        (finding,) = check_clip(keyed(even, 0.10, first=first), ASKED).findings
        assert turns in finding.says
    assert found(keyed(even, 0.10, first=bent, extremes=1)) == []
    assert found(keyed(even, 0.10, extremes=1)) == [("hang_time", "root")]


@pytest.mark.parametrize("back", [True, False], ids=["in the middle", "at an extreme"])
def test_a_rock_that_ends_in_a_dead_hold_is_one_finding(back):
    clip = keyed(even, 0.10, extremes=3, back=back)
    end = FIRST + 12 * (6 if back else 5)
    assert found(frozen(clip, end), ALL) == [("hang_time", "root")]
    alone = keyed(even, 0.10, extremes=1, back=False)  # no turn, but a way that stops dead
    assert {check for check, _part in found(frozen(alone, FIRST + 12), ALL)} & {
        "hard_stop",
        "stop_together",
    }


def test_turns_that_are_not_slow_are_not_said_to_be_slow():
    """Fast at both extremes, and not even: no fault, and nothing that is good."""

    def sharp(u):
        return u + 0.1 * np.sin(2.0 * np.pi * u)

    at = np.arange(96, dtype=float) - 16.0
    number = np.clip(np.floor(at / 12.0), 0, 4)
    for spacing, said in ((sharp, False), (sine, True)):
        up = spacing(np.clip(at / 12.0 - number, 0.0, 1.0))
        path = np.where(number % 2 == 0, up, 1.0 - up)
        turns = {"upper_arm.L": np.radians(40.0) * (path - 0.5)}
        shot = check_clip(figure(frames=96, speed=0.0, period_s=1e6, turns=turns), ASKED)
        assert shot.findings == ()
        assert shot.measures["swing_share"] > 0.0
        assert any("slow" in each for each in shot.good) == said
