# SPDX-License-Identifier: GPL-3.0-or-later
"""`push`, of a body on both feet: it darts aside and stops, as no feet can make it."""

from dataclasses import replace

import numpy as np
import pytest
from figures import steered

from analysis import Event, Settings, check_clip

ASK = Settings(cycle="no", checks=("push",))
GRAVITY = 9.80665
BEGINS_S, COUNT_S = 2.0, 4.0


def darting(far_m, seconds, *, fps=24.0, begins_s=BEGINS_S, back_s=1.0, **meta):
    """A figure on both feet whose body goes `far_m` to its left in so many seconds, and comes
    back slowly; by minimum jerk (Flash & Hogan 1985, J Neurosci 5:1688-1703)."""
    count = round(COUNT_S * fps)
    time = np.arange(count) / fps - begins_s
    out, back = (
        np.clip(each, 0.0, 1.0) for each in (time / seconds, (time - seconds) / max(back_s, 1e-9))
    )
    gone = [u**3 * (10.0 - 15.0 * u + 6.0 * u**2) for u in (out, back)]
    shift = np.zeros((count, 3))
    shift[:, 0] = far_m * (gone[0] - gone[1])
    return steered(frames=count, fps=fps, root_shift=shift, **meta)


def peak_g(far_m, seconds):
    """Its highest acceleration, g: 10 / sqrt(3) of way over time squared (minimum jerk)."""
    return 10.0 / np.sqrt(3.0) * far_m / seconds**2 / GRAVITY


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize(("far_m", "seconds"), [(0.1, 0.2), (0.14, 0.25), (-0.12, 0.2)])
def test_a_body_that_darts_aside_on_both_feet_is_pushed(fps, far_m, seconds):
    assert peak_g(abs(far_m), seconds) > 1.0  # no foot gives that
    (found,) = check_clip(darting(far_m, seconds, fps=fps), ASK).findings
    assert (found.check, found.part) == ("push", "root")
    first = 1.0 + BEGINS_S * fps
    assert abs(found.frames[0] - first) <= 3.0 * fps / 24.0
    assert abs(found.frames[1] - first - seconds * fps) <= 3.0 * fps / 24.0
    way = "left" if far_m > 0.0 else "right"
    assert f"pushed to the {way}" in found.says
    back = found.suggestion.offset[:2]
    assert back @ [-np.sign(far_m), 0.0] > 0.95 * np.linalg.norm(back)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_body_that_shifts_its_weight_is_not(fps):
    """10 cm in .7 s need .12 g at most: a foot 12 cm beside a body 1 m up gives that."""
    assert peak_g(0.1, 0.7) < 0.125
    shot = check_clip(darting(0.1, 0.7, fps=fps), ASK)
    assert not shot.findings
    assert "no push" in " ".join(shot.good)


def test_inside_a_declared_event_it_is_measured():
    first = 1.0 + 24.0 * BEGINS_S
    event = Event(frames=(first - 1.0, first + 6.0), kind="hit", part="chest")
    clip = darting(0.12, 0.2)
    shot = check_clip(replace(clip, meta=replace(clip.meta, events=(event,))), ASK)
    assert not shot.findings
    assert shot.measures["event_force_peak_bw"] > 0.3


def test_what_is_left_and_not_blamed_is_no_good_sentence():
    """It goes on, and nothing stops it within half a second: no jolt, yet not all is well."""
    count = 96
    time = np.arange(count) / 24.0 - BEGINS_S
    shift = np.zeros((count, 3))
    for at in (0.0, 0.8, 1.6):  # three darts: too alike to stand alone, too few for a style
        u = np.clip((time + 0.8 - at) / 0.17, 0.0, 1.0)
        shift[:, 0] += (-1.0) ** round(at / 0.8) * 0.09 * u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    shot = check_clip(steered(frames=count, root_shift=shift), ASK)
    assert not shot.findings
    assert not shot.good
    assert "more than its contacts can give" in dict(shot.skipped)["push"]


def test_the_tolerance_widens_its_limit():
    (plain,) = check_clip(darting(0.16, 0.2), ASK).findings
    (loose,) = check_clip(darting(0.16, 0.2), replace(ASK, tolerance="loose")).findings
    assert loose.limit == pytest.approx(1.5 * plain.limit, rel=1e-6)
    assert loose.frames == plain.frames
