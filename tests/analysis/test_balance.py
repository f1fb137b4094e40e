# SPDX-License-Identifier: GPL-3.0-or-later
"""`balance`: bodies that are held where they must tip over, and where that cannot be told."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, with_mover
from scipy.integrate import solve_ivp
from test_hands_on_supports import with_hand
from toppling import GRAVITY, HEIGHT_M, TOES_Y, com_at_rest, leans, toppled
from walker import ANKLE, Walk, box, hop, steer, turned, walk, with_supports

from analysis import Event, Meta, Prop, Settings, check_clip
from analysis.balance_state import find_balance
from analysis.basis import build_basis

ASKED = Settings(cycle="no", checks=("balance",))
# From the toes' edge to the centre of mass of the figure that stands straight.
LENGTH_M = float(np.hypot(*(com_at_rest() - [TOES_Y, 0.0])))
ROLES = {name: (name,) for name in NAMES}


def smooth(u):
    u = np.clip(u, 0.0, 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u**2)


def held_out(out_m, *, fps=24.0, hold_s=0.5, ease_s=0.25, start_s=0.5, length_m=LENGTH_M):
    """(T,) leans: upright over the feet, `out_m` beyond their edge for a while, and back."""
    time = np.arange(round((2.0 * start_s + 2.0 * ease_s + hold_s) * fps) + 1) / fps
    share = smooth((time - start_s) / ease_s)
    share = share - smooth((time - start_s - ease_s - hold_s) / ease_s)
    rest, held = -0.08, np.arcsin(out_m / length_m)
    return rest + (held - rest) * share


def told(clip, settings=ASKED):
    return check_clip(clip, settings).findings


def why(clip, settings=ASKED):
    return dict(check_clip(clip, settings).skipped).get("balance", "")


@pytest.mark.parametrize("speed", [-0.5, 0.0, 0.8])
def test_the_extrapolated_centre_of_mass_is_what_its_formula_says(speed):
    """x + v / w0, w0 = sqrt(g / l): Hof, Gazendam & Sinke 2005, J Biomech 38:1-8."""
    time = np.arange(48) / 24.0
    rest = toppled(np.full(48, -0.05))
    moved = rest.positions + np.outer(time, [speed, 0.0, 0.0])[:, None]
    basis = build_basis(replace(rest, positions=moved), ASKED)
    balance = find_balance(basis)
    lean = -0.05 + np.arctan2(*(com_at_rest() - [TOES_Y, 0.0]))
    up = basis.com[0, 2]
    assert balance.rate == pytest.approx(np.sqrt(GRAVITY / up), rel=0.03)
    expected = basis.com[:, :2] + np.outer(np.ones(48), [speed, 0.0]) / balance.rate[:, None]
    assert balance.extrapolated == pytest.approx(expected, abs=1e-6)
    assert 0.0 < lean < 0.2


@pytest.mark.parametrize(("speed", "falls"), [(0.9, False), (1.1, True)])
def test_a_pendulum_comes_to_stand_where_its_extrapolated_mass_is(speed, falls):
    """x'' = (g / l) (x - edge), solved by scipy: it passes over the edge where x + v / w0 is
    beyond it, and comes back where that is not."""
    length, start = 1.0, -0.2
    rate = np.sqrt(GRAVITY / length)
    solved = solve_ivp(
        lambda _t, s: [s[1], rate**2 * s[0]], (0.0, 2.0), [start, -speed * start * rate], rtol=1e-9
    )
    assert (solved.y[0].max() > 0.0) == falls


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize(
    ("backward", "where"), [(False, "in front of its toes"), (True, "behind its heels")]
)
def test_a_body_that_hangs_beyond_its_feet_is_found(fps, backward, where):
    length = float(np.hypot(*(com_at_rest() - [0.16 / 3.0, 0.0]))) if backward else LENGTH_M
    lean = held_out(0.11, fps=fps, length_m=length)
    (finding,) = told(toppled(lean, fps=fps, backward=backward))
    assert (finding.check, finding.part, finding.severity) == ("balance", "root", "major")
    assert finding.amount == pytest.approx(11.0, abs=0.5)
    assert finding.limit == pytest.approx(100.0 * 0.05 / 1.7 * HEIGHT_M, abs=0.1)
    assert f"cm {where} without falling" in finding.says
    assert finding.frames[0] == pytest.approx(1 + 0.75 * fps, abs=3 * fps / 24)
    assert finding.frames[1] == pytest.approx(1 + 1.25 * fps, abs=3 * fps / 24)
    # The hips go with .85 of their way, and back the way that they came.
    offset = finding.suggestion.offset
    assert np.linalg.norm(offset) == pytest.approx(0.11 / 0.85, abs=0.01)
    assert offset[1] == pytest.approx((-1 if backward else 1) * 0.11 / 0.85, abs=0.01)
    assert ("forward" if backward else "back") in finding.suggestion.text


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_body_that_hangs_to_a_side_is_told_so(side):
    count = 48
    out = smooth((np.arange(count) - 10) / 6) - smooth((np.arange(count) - 32) / 6)
    root = np.stack((side * 0.6 * out, 0.0 * out, 0.80 + 0.0 * out), axis=-1)
    ankles = {s: np.tile([x, 0.0, ANKLE], (count, 1)) for s, x in (("L", 0.1), ("R", -0.1))}
    (finding,) = told(steer(root, ankles, 24.0))
    assert f"to the {'left' if side > 0 else 'right'} of its feet" in finding.says
    assert f"to the {'right' if side > 0 else 'left'}" in finding.suggestion.text


@pytest.mark.parametrize(("share", "found"), [(0.9, 0), (1.1, 1)])
@pytest.mark.parametrize(
    ("tolerance", "times"), [("strict", 0.75), ("normal", 1.0), ("loose", 1.5)]
)
def test_its_limit_is_what_its_definition_says(share, found, tolerance, times):
    limit = times * 0.05 / 1.7 * HEIGHT_M
    settings = replace(ASKED, tolerance=tolerance)
    assert len(told(toppled(held_out(share * limit, hold_s=0.8)), settings)) == found


@pytest.mark.parametrize(("hold_s", "found"), [(0.05, 0), (0.3, 1)])
def test_it_must_last_for_a_quarter_of_a_second(hold_s, found):
    assert len(told(toppled(held_out(0.06, fps=60.0, hold_s=hold_s), fps=60.0))) == found


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_the_size_of_the_rig_and_its_heading_do_not_matter(scale):
    lean = held_out(0.11)
    (plain,) = told(toppled(lean))
    for clip in (toppled(lean, scale=scale, height_m=HEIGHT_M), turned(toppled(lean), 127.0)):
        (finding,) = told(clip)
        assert finding.amount == pytest.approx(plain.amount, abs=0.01)
        assert finding.frames == plain.frames
        assert finding.says == plain.says


def test_a_figure_of_unknown_size_is_asked_as_well():
    assert len(told(toppled(held_out(0.11), scale=10.0))) == 1


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("rest_deg", [2.0, 4.0, 7.0])
def test_a_body_that_really_falls_is_not_told(fps, rest_deg):
    rod = 1.5 * GRAVITY / HEIGHT_M
    assert not told(toppled(leans(rest_deg, rod, fps, before=0), fps=fps))


def test_one_that_stands_falls_and_walks_has_nothing():
    for clip in (walk(), hop(), figure(), toppled(np.full(40, -0.05))):
        assert not told(clip)
    assert "the body does not stand, or move slowly" in why(walk(Walk(frames=72)))
    good = check_clip(toppled(np.full(40, -0.05)), ASKED)
    assert "inside what bears it" in good.good[0]
    inside = LENGTH_M * np.sin(0.05)
    assert good.measures["balance_margin_m"] == pytest.approx(inside, abs=0.005)


def test_inside_a_declared_event_it_is_a_measure():
    event = Event(frames=(10.0, 40.0), part="chest", kind="pull")
    shot = check_clip(toppled(held_out(0.11), events=(event,)), ASKED)
    assert not shot.findings
    assert shot.measures["balance_margin_m"] == pytest.approx(-0.11, abs=0.01)


def leaning(*, hands=True):
    """It leans forward for a second; its hand keeps to one place in the air, or goes along."""
    count = 60
    out = smooth((np.arange(count) - 12) / 10) - smooth((np.arange(count) - 44) / 10)
    root = np.stack((0.0 * out, -0.34 * out, 0.84 - 0.06 * out), axis=-1)
    ankles = {s: np.tile([x, 0.0, ANKLE], (count, 1)) for s, x in (("L", 0.1), ("R", -0.1))}
    clip = steer(root, ankles, 24.0)
    clip = replace(clip, meta=Meta(name="figure", roles=ROLES))
    return with_hand(clip, "L", np.tile([0.25, -0.55, 1.2], (count, 1))) if hands else clip


def test_a_hand_that_stays_where_it_is_leans_on_something():
    assert len(told(leaning(hands=False))) == 1
    assert not told(leaning())
    assert "while the left hand stays where it is: declare what bears it" in why(leaning())


def test_a_hand_on_a_declared_wall_bears_it():
    clip = leaning()
    wall = box((-1.0, -0.80, 0.0), (1.0, -0.57, 2.5), len(clip.frames))
    leans_on = replace(with_supports(clip, wall), meta=replace(clip.meta, supports=("the wall",)))
    assert not told(leans_on)
    assert "declare" not in why(leans_on)


def test_a_prop_on_the_ground_may_be_leant_on():
    """A staff whose joint stands on the floor."""
    clip = with_mover(leaning(hands=False), np.tile([0.0, -0.6, 0.02], (60, 1)))
    staff = Prop(name="staff", joint="mover", held_by="hand.L")
    propped = replace(clip, meta=Meta(name="figure", roles=ROLES, props=(staff,)))
    assert not told(propped)


def test_far_out_and_for_most_of_the_shot_something_bears_it_that_nobody_declared():
    assert "too far for a mistake" in why(toppled(held_out(0.30)))
    long = toppled(held_out(0.09, hold_s=5.0))
    assert not told(long)
    assert "for most of the shot" in why(long)


def sitting(*, seat):
    count = 72
    root = np.tile([0.0, 0.40, 0.56], (count, 1))
    root[:, 2] += 0.004 * np.sin(np.arange(count) / 6.0)
    ankles = {s: np.tile([x, 0.0, ANKLE], (count, 1)) for s, x in (("L", 0.1), ("R", -0.1))}
    clip = steer(root, ankles, 24.0)
    if not seat:
        return clip
    return with_supports(clip, box((-0.3, 0.3, 0.0), (0.3, 0.8, 0.46), count))


def test_a_seat_bears_it_and_one_that_is_not_declared_is_asked_for():
    assert not told(sitting(seat=True))
    assert "holds or leans on something" in why(sitting(seat=True))
    assert not told(sitting(seat=False))
    assert "declare what bears it" in why(sitting(seat=False))


def test_what_stands_on_a_box_that_moves_is_not_asked():
    lean = held_out(0.11)
    count = len(lean)
    floor = box((-1.0, -1.0, -0.2), (1.0, 1.0, 0.0), count)
    way = np.outer(np.arange(count) * 0.02, [0.0, 1.0, 0.0])
    clip = toppled(lean)
    still = with_supports(clip, floor)
    assert len(told(still)) == 1
    cart = np.array(floor)
    cart[:, :3, 3] += way
    riding = replace(clip, positions=clip.positions + way[:, None], supports=cart[None])
    assert not told(riding)
    assert "stands still" in why(riding)


def test_a_body_that_lies_or_has_a_heel_up_is_seen_as_such():
    lying = toppled(np.full(40, np.pi / 2.0), backward=True)
    assert not told(lying)
    assert "does not stand" in why(lying)
    # Leant over its toes so far that its heels are 5.5 cm up: only the toes bear it then.
    balance = find_balance(build_basis(toppled(np.full(40, 0.11)), ASKED))
    ahead = balance.points[20][balance.bears[20]][:, 1]
    assert ahead.max() < -0.1
    flat = find_balance(build_basis(toppled(np.full(40, -0.14)), ASKED))
    assert flat.points[20][flat.bears[20]][:, 1].max() > 0.0


def stepped(*leans_and_frames, fps=24.0):
    """Poses that stand and jump: (lean, frames) each."""
    return toppled(
        np.concatenate([np.full(count, lean) for lean, count in leans_and_frames]), fps=fps
    )


def test_a_pose_of_stepped_blocking_that_is_held_is_judged():
    out = float(np.arcsin(0.12 / LENGTH_M))
    blocking = replace(ASKED, checks=None, stage="blocking")
    held = stepped((-0.08, 12), (-0.05, 10), (out, 20), (-0.06, 12), (-0.08, 12))
    assert [f.check for f in told(held, blocking)] == ["balance"]
    # The same pose on the way of a fall is none that is held.
    falls = stepped((-0.08, 12), (-0.05, 8), (out, 6), (0.5, 5), (0.9, 6), (1.2, 12))
    assert "balance" not in [f.check for f in told(falls, blocking)]


def test_what_cannot_be_asked_is_said():
    clip = toppled(held_out(0.11))
    few = [n for n, name in enumerate(NAMES) if not name.startswith(("thigh", "shin", "foot"))]
    trunk = replace(
        clip,
        joints=tuple(NAMES[n] for n in few),
        parents=np.array([-1 if clip.parents[n] < 0 else few.index(clip.parents[n]) for n in few]),
        positions=clip.positions[:, few],
        rotations=clip.rotations[:, few],
        rest_positions=clip.rest_positions[few],
        rest_rotations=clip.rest_rotations[few],
        lengths=clip.lengths[few],
    )
    assert "centre of mass is not known" in why(trunk)
    high = replace(clip, positions=clip.positions + [0.0, 0.0, 2.0], meta=Meta(floor_z=0.0))
    assert "nothing touches floor or supports" in why(high)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:40, NAMES.index("chest")] = False
    valid[10:40, NAMES.index("thigh.L")] = False
    assert not told(replace(clip, valid=valid))
    for count in (2, 3, 5):
        assert not told(clip.cut(1, count))


def caught(ahead_m, falls_m=0.48, fall_s=0.45, *, fps=24.0, scale=1.0, **meta):
    """It falls forward, a foot lands so far ahead, and it stops."""
    time = np.arange(round(2.0 * fps)) / fps
    share = smooth((time - 0.75 + fall_s) / fall_s)
    root = np.stack((0 * time, -falls_m * share, 0.80 - 0.16 * share), axis=-1)
    u = np.clip((time - 0.22) / 0.28, 0.0, 1.0)
    left = np.stack((0 * u + 0.1, -ahead_m * smooth(u), ANKLE + 0.15 * np.sin(np.pi * u)), axis=-1)
    right = np.tile([-0.1, 0.0, ANKLE], (len(time), 1))
    return steer(root, {"L": left, "R": right}, fps, scale=scale, **meta)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("scale", [1.0, 10.0])
def test_a_step_that_lands_short_of_a_body_that_stops_is_found(fps, scale):
    clip = caught(0.30, fps=fps, scale=scale, height_m=HEIGHT_M)
    (finding,) = told(clip)
    assert (finding.check, finding.part, finding.severity) == ("balance", "foot.L", "major")
    assert finding.peak_frame == pytest.approx(1 + 0.50 * fps, abs=1.5)
    basis = build_basis(clip, ASKED)
    read = int(np.flatnonzero(basis.frames == finding.peak_frame)[0]) + round(0.1 * fps)
    going = basis.com[read, 1] + basis.com_velocity[read, 1] / np.sqrt(
        GRAVITY * scale / basis.com[read, 2]
    )
    toes = scale * (-0.30 + TOES_Y)
    assert finding.amount == pytest.approx(100.0 * (toes - going) / scale, abs=1.0)
    assert "short of where the body is falling" in finding.says
    assert "further forward, or take another step" in finding.suggestion.text


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_step_that_lands_far_enough_catches_it(fps):
    shot = check_clip(caught(0.70, 0.36, 0.45, fps=fps), ASKED)
    assert not shot.findings
    assert 0.0 < shot.measures["catch_step_m"] < 0.3
    assert "The left foot that lands at frame" in shot.good[0]
    assert "to spare" in shot.good[0]


def test_a_walk_that_goes_on_catches_nothing():
    assert "catch_step_m" not in check_clip(walk(), ASKED).measures


def test_a_short_step_inside_a_declared_event_is_a_measure():
    event = Event(frames=(10.0, 24.0), kind="catch")
    shot = check_clip(caught(0.30, events=(event,)), ASKED)
    assert not shot.findings
    assert shot.measures["catch_step_m"] < -0.2
