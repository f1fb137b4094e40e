# SPDX-License-Identifier: GPL-3.0-or-later
"""`hitch` on a figure with known faults: what, where, how large, and nothing else."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, steered
from walker import turned, walk

from analysis import Settings, check_clip
from analysis.meta import Event, Meta
from tests.quality.moves import ends_of, target
from tests.quality.timing import held, sampled, smooth_step

ONCE = Settings(cycle="no", checks=("hitch",))
# The clip's own keyword for its parts, so that the corpus's tools know them.
ROLES = {name: (name,) for name in figure().joints}


def strides(**how):
    """A figure that strides; its arms swing, its root travels."""
    return figure(**{"frames": 60, "roles": ROLES, **how})


def stuck(clip, at, count, part=None, space="parent"):
    """The clip with a part, or all of it, at sample `at` for `count` samples more."""
    when = np.arange(len(clip.frames), dtype=float)
    when[at + 1 : at + count + 1] = at
    if part is None:
        return sampled(clip, when)
    return held(clip, target(clip, part), when, space)


def hitches(clip, settings=ONCE):
    return check_clip(clip, settings)


def test_a_clean_stride_is_clean():
    shot = hitches(strides())
    assert names(shot) == []
    assert shot.good == ("No point sticks and catches up from frame 5 to 56.",)


@pytest.mark.parametrize("count", [1, 2, 4])
def test_the_whole_body(count):
    clip = strides()
    shot = hitches(stuck(clip, 29, count))
    assert names(shot) == [("hitch", "root")]
    finding = shot.findings[0]
    assert finding.frames == (31, 30 + count)
    assert finding.severity == "major"
    when = "for 1 frame, 31," if count == 1 else f"for {count} frames from 31 to {30 + count}"
    assert finding.says.startswith(f"The whole body sticks {when} and then catches up ")
    # Where the root should have been on the last of those frames: 1.4 m/s further on.
    assert finding.suggestion.frame == 30 + count
    np.testing.assert_allclose(
        finding.suggestion.position, clip.positions[29 + count, 0], atol=0.004
    )


@pytest.mark.parametrize("part", ["hand.L", "hand.R"])
@pytest.mark.parametrize("space", ["world", "parent"])
def test_a_hand_that_sticks(part, space):
    clip = strides(turns={f"upper_arm.{part[-1]}": swing(60)})
    fault = stuck(clip, 22, 3, part, space)
    hand = clip.joint(part)
    shot = hitches(fault)
    assert names(shot) == [("hitch", part)]
    finding = shot.findings[0]
    assert finding.frames == (24, 26)
    gone = ends_of(clip, hand)[25] - ends_of(fault, hand)[25]
    hidden = 100 * np.linalg.norm(gone, axis=-1)
    assert 0.9 * hidden.min() < finding.amount < 1.1 * hidden.max()
    side = "left" if part.endswith("L") else "right"
    what = "sticks" if space == "world" else "stands still against the chest"
    assert finding.says == (
        f"The {side} hand {what} for 3 frames from 24 to 26 and then catches up "
        f"{finding.amount:.1f} cm at once."
    )
    left = np.linalg.norm(gone - finding.suggestion.offset, axis=-1)
    assert left.min() < 0.1 * hidden.max() / 100


def test_a_foot_that_sticks_in_the_air():
    shot = hitches(stuck(strides(), 31, 3, "foot.L"))
    assert names(shot) == [("hitch", "foot.L")]
    assert "stands still against the root" in shot.findings[0].says


def test_played_backwards_it_jumps_ahead_and_waits():
    clip = strides()
    fault = sampled(stuck(clip, 29, 3), np.arange(59.0, -1.0, -1.0))
    shot = hitches(fault)
    assert names(shot) == [("hitch", "root")]
    assert "jumps" in shot.findings[0].says
    assert shot.findings[0].says.endswith("and then waits there for 3 frames from 28 to 30.")


def test_frame_rate_size_and_heading_do_not_matter():
    """The same fault of an eighth second at 24, 30 and 60 frames a second, at ten times the
    size, and turned."""
    told = []
    for fps in (24, 30, 60):
        count = round(0.125 * fps)
        clip = stuck(strides(fps=fps, frames=round(2.5 * fps)), round(1.25 * fps), count)
        finding = hitches(clip).findings[0]
        assert len(hitches(clip).findings) == 1
        told.append((finding.part, (finding.frames[0] - 2) / fps))
    assert all(part == "root" and time == pytest.approx(1.25, abs=0.05) for part, time in told)
    clip = stuck(strides(), 29, 3)
    large = stuck(strides(scale=10.0, height_m=1.7), 29, 3)
    small = hitches(clip).findings[0]
    for other in (large, turned(clip, 70.0)):
        finding = hitches(other).findings[0]
        assert (finding.part, finding.frames) == (small.part, small.frames)
    assert hitches(turned(clip, 70.0)).findings[0].amount == pytest.approx(small.amount, rel=0.01)


def test_a_frame_of_film_may_last_several_samples():
    """Motion on 24 frames shown at 60: stuck, and caught up within a frame of film."""
    clip = strides(frames=72)
    fault = stuck(clip, 35, 3)
    shown = sampled(fault, np.arange(0, 70, 0.4))
    fast = replace(shown, fps=60.0)
    assert names(hitches(fast)) == [("hitch", "root")]


def test_an_eased_stop_is_a_hold():
    """The arm stops in a swing, drifts, and goes on: eased in and out over four frames."""
    time = np.arange(72.0)
    ease = np.clip((time - 30) / 8, 0, 1) - np.clip((time - 40) / 8, 0, 1)
    ease = ease * ease * (3 - 2 * ease)
    when = np.cumsum(1 - ease) - 1
    clip = sampled(strides(frames=72), when)
    assert names(hitches(clip)) == []


@pytest.mark.parametrize("frames", [3, 4, 6])
def test_a_strike_out_of_a_held_pose_is_no_hitch(frames):
    """An arm is raised, waits for three frames, and strikes: moves of least jerk, eased."""
    at = np.arange(60.0)
    raised = -0.8 * smooth_step((at - 10) / 14)
    arm = raised + 2.2 * smooth_step((at - 27) / frames)
    clip = figure(frames=60, period_s=1e6, speed=0.0, turns={"upper_arm.R": arm}, roles=ROLES)
    assert names(hitches(clip)) == []


@pytest.mark.parametrize(("bent", "found"), [(0.0, []), (0.4, [("hitch", "shin.L")])])
def test_a_knee_that_is_pinned_straight_is_no_hitch(bent, found):
    """It is at its limit; what snaps into and out of that is asked elsewhere."""
    steps = np.array([0.09, 0.12, 0.13, 0.14, 0.0, 0.0, 0.0, 0.0, -0.26, -0.18, -0.13, -0.11])
    knee = np.zeros(60)
    knee[24:36] = steps
    knee = -np.cumsum(knee) - np.cumsum(steps)[7] * -1.0
    phase = 2 * np.pi * np.arange(60) / 24
    swing = 0.3 - 0.25 * np.cos(phase + 0.6)  # of the figure's left shin
    clip = strides(turns={"shin.L": bent + knee - swing}, speed=0.0)
    assert names(hitches(clip)) == found


def test_declared_events_are_left_out():
    clip = stuck(strides(), 29, 3)
    hit = Event(frames=(30.0, 34.0), kind="freeze")
    assert names(hitches(replace(clip, meta=replace(clip.meta, events=(hit,))))) == []


def test_a_long_stop_is_no_hitch():
    assert names(hitches(stuck(strides(frames=72), 29, 12))) == []


def test_planted_feet_are_none():
    assert names(hitches(walk(roles=ROLES))) == []
    assert names(hitches(steered(frames=60))) == []


def test_a_limb_that_hides_little_is_left_alone():
    """A head that nods by a few degrees hides 1.2 cm in three frames: not to be seen."""
    assert names(hitches(stuck(strides(speed=0.0), 25, 3, "head"))) == []


def test_a_walk_on_twos_is_judged_at_its_own_step():
    twos = np.repeat(np.arange(0.0, 60.0, 2.0), 2)
    clip = sampled(strides(), twos)
    assert names(hitches(clip)) == []
    when = twos.copy()
    when[30:34] = when[29]  # two poses are not drawn
    shot = hitches(sampled(strides(), when))
    assert [part for _check, part in names(shot)] == ["root"]


def test_a_loop_is_judged_over_its_seam():
    clip = figure(frames=24, roles=ROLES, speed=0.0)
    loop = Settings(cycle="yes", checks=("hitch",))
    assert names(hitches(clip, loop)) == []
    when = np.arange(24.0)
    when[1:3] = 0.0
    fault = sampled(clip, when)
    shot = hitches(replace(fault, meta=replace(fault.meta, cycle=True)), loop)
    assert names(shot) == [("hitch", "root")]
    assert shot.findings[0].frames == (2, 3)


def test_gaps_and_short_clips():
    clip = stuck(strides(), 29, 2)
    valid = np.ones((60, len(clip.joints)), dtype=bool)
    valid[28:31] = False
    assert names(hitches(replace(clip, valid=valid))) == []
    short = hitches(clip.cut(1, 9))
    assert short.skipped[-1] == ("hitch", "needs 10 frames or more, the range has 9")


def with_gap(clip, joint, first, last):
    """The clip without a joint on samples first..last."""
    valid = np.array(clip.valid_mask)
    valid[first : last + 1, clip.joint(joint)] = False
    return replace(clip, positions=np.where(valid[..., None], clip.positions, 0.0), valid=valid)


@pytest.mark.parametrize("joint", ["forearm.L", "foot.R", "chest"])
def test_what_hangs_beside_a_gap_makes_no_hitch(joint):
    """A gap is filled straight, so that what is carried there seems to move against it."""
    for first, last in ((12, 19), (26, 32), (40, 43)):
        assert names(hitches(with_gap(strides(), joint, first, last))) == []


@pytest.mark.parametrize(
    ("first", "last", "found"),
    [(12, 18, True), (19, 20, False), (27, 28, False), (30, 36, True)],
)
def test_a_hitch_is_told_where_four_frames_beside_it_are_known(first, last, found):
    """The head stands still on samples 23 to 25; a gap of the neck leaves what others show."""
    clip = stuck(strides(turns={"head": swing(60)}, speed=0.0), 22, 3, "head")
    shot = hitches(with_gap(clip, "head", first, last))
    assert names(shot) == ([("hitch", "head")] if found else [])
    told = [each.says for each in hitches(with_gap(clip, "neck", first, last)).findings]
    assert any("against the neck" in says for says in told) is found


@pytest.mark.parametrize(("first", "found"), [(8, True), (20, False), (3, False)])
def test_a_loop_s_gap_reaches_over_its_seam(first, found):
    """Samples 1 and 2 are stuck; the round before tells that as well as what follows."""
    clip = figure(frames=24, roles=ROLES, speed=0.0, turns={"head": swing(24)})
    clip = stuck(clip, 0, 2, "head")
    loop = replace(clip, meta=replace(clip.meta, cycle=True))
    settings = Settings(cycle="yes", checks=("hitch",))
    shot = hitches(with_gap(loop, "head", first, first + 2), settings)
    assert names(shot) == ([("hitch", "head")] if found else [])


@pytest.mark.parametrize(("first", "last"), [(18, 24), (28, 34), (31, 40)])
@pytest.mark.parametrize("limb", [("upper_arm", "forearm", "hand"), ("thigh", "shin", "foot")])
def test_a_whole_body_s_hitch_is_one_finding_whatever_limbs_are_lost(limb, first, last):
    clip = stuck(strides(), 29, 3)
    for part in limb:
        for side in "LR":
            clip = with_gap(clip, f"{part}.{side}", first, last)
    (finding,) = hitches(clip).findings
    assert (finding.part, finding.frames) == ("root", (31, 33))


def ball(path):
    """A plain object on a path (T,3)."""
    clip = strides(frames=len(path))
    return replace(
        clip,
        joints=("ball",),
        parents=[-1],
        positions=path[:, None],
        rotations=np.tile([1.0, 0, 0, 0], (len(path), 1, 1)),
        rest_positions=None,
        rest_rotations=None,
        lengths=None,
        meta=Meta(),
    )


def test_a_plain_object_is_judged_as_well():
    at = np.arange(60)
    place = 0.3 * np.stack((np.cos(at / 8), np.sin(at / 8), 0.01 * at), axis=-1)
    place[31:34] = place[30]
    assert hitches(ball(place)).findings[0].frames == (32, 34)


@pytest.mark.parametrize(("count", "found"), [(2, 0), (3, 1)])
def test_what_hides_less_than_1_2_per_cent_of_the_height_is_not_told(count, found):
    """An object's height is its path's extent: 199 steps. Two of them are 1 %, three 1.5 %."""
    place = np.outer(np.arange(200.0), [0.0, 0.01, 0.0])
    place[101 : 101 + count] = place[100]
    findings = hitches(ball(place)).findings
    assert len(findings) == found
    for each in findings:
        assert each.limit == pytest.approx(0.012 * 199.0)
        assert each.amount == pytest.approx(3.0)


@pytest.mark.parametrize(("pace", "found"), [(0.0, 1), (0.15, 1), (0.3, 0)])
def test_a_point_that_creeps_on_sticks_up_to_a_quarter_of_its_pace(pace, found):
    steps = np.full(99, 0.01)
    steps[50:53], steps[53] = 0.01 * pace, 0.01 * (4 - 3 * pace)
    place = np.outer(np.concatenate(([0.0], np.cumsum(steps))), [0.0, 1.0, 0.0])
    assert len(hitches(ball(place)).findings) == found


def swing(frames):
    """An arm that swings 46 degrees to either side and more, a second a swing."""
    return 0.8 * np.sin(2 * np.pi * np.arange(frames) / 24)
