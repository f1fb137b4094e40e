# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's run: planted feet stand, flights fall freely, faults are where they belong."""

import importlib
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np
import pytest
from stepped import SIDES, Bones, assert_differs_only_where_planted, built, gap, lowest_point, step

from analysis import Settings, check_clip
from analysis.basis import build_basis
from demo_scenes.porter import run
from demo_scenes.porter.run import timing
from tests.harness import extension

FRAMES = np.arange(1, 34)
SPEED = 3.4 / 24
# First frame on which the foot touches, and on which the toes still do.
PLANTS = {"L": ((1, 5), (17, 21)), "R": ((9, 13), (25, 29))}
FLIGHTS = ((6, 8), (14, 16), (22, 24), (30, 32))
GRAVITY = 9.80665


@dataclass(frozen=True, kw_only=True)
class Pass(Bones):
    """The pole's direction (33,3), the lowest point (33,), the range that plays, the clip."""

    pole: np.ndarray
    lowest: np.ndarray
    range: tuple[int, int]
    clip: Any


def record(polished):
    rig = built(run, polished=polished)
    scene = bpy.context.scene

    def look(graph, _seen):
        hook = bpy.data.objects["boathook"].evaluated_get(graph)
        return np.array(hook.matrix_world.col[1][:3]), lowest_point(graph)

    bones, seen = step(rig, FRAMES, look)
    pole, lowest = (np.array(each) for each in zip(*seen, strict=True))
    sampling = importlib.import_module(f"{extension.PACKAGE}.addon.sampling")
    (clip,) = sampling.sample(scene, [rig])
    span = scene.frame_start, scene.frame_end
    return Pass(pole=pole, lowest=lowest, range=span, clip=clip, **bones)


@pytest.fixture(scope="module")
def polished():
    return record(polished=True)


@pytest.fixture(scope="module")
def first():
    return record(polished=False)


def test_both_passes_play_as_a_loop_of_an_even_travel(polished, first):
    assert polished.range == first.range == (1, 32)
    mover = polished.heads["mover"]
    assert mover[-1, 1] == pytest.approx(-32 * SPEED, abs=1e-5)
    steps = np.diff(mover, axis=0)
    assert np.abs(steps - steps[0]).max() < 1e-5
    for ends in (polished.heads, polished.tails):
        for points in ends.values():
            ridden = polished.ridden(points)
            assert np.linalg.norm(ridden[-1] - ridden[0]) < 1e-4


def test_one_foot_stands_at_a_time_and_still(polished):
    basis = build_basis(polished.clip, Settings())
    found = [(p.side, basis.frames[p.first], basis.frames[p.last]) for p in basis.plants]
    assert found == [(side, *plant) for side in SIDES for plant in PLANTS[side]]
    for side in SIDES:
        for lands, leaves in PLANTS[side]:
            ball = polished.heads[f"toe.{side}"][lands : leaves - 1]  # flat, until the heel is up
            assert np.linalg.norm(ball - ball[0], axis=1).max() < 2e-3
            toe = polished.tails[f"toe.{side}"][lands:leaves]
            assert np.linalg.norm(toe - toe[0], axis=1).max() < 2e-3


def test_flights_are_clear_of_the_floor_and_nothing_else_is(polished):
    basis = build_basis(polished.clip, Settings())
    assert [(basis.frames[f.first], basis.frames[f.last]) for f in basis.flights] == list(FLIGHTS)
    flying = np.isin(FRAMES, [f for a, b in FLIGHTS for f in range(a, b + 1)])
    assert polished.lowest[flying].min() > 0.055
    assert polished.lowest[~flying].max() < 0.01


def test_the_centre_of_mass_flies_freely(polished):
    """From the frame of the take-off to that of the landing, both included."""
    com = build_basis(polished.clip, Settings()).com
    for first, last in FLIGHTS[:3]:
        path = com[first - 2 : last + 1]
        time = np.arange(len(path)) / 24
        fall = -2.0 * np.polyfit(time, path[:, 2], 2)[0]
        assert fall == pytest.approx(GRAVITY, rel=0.02)
        assert np.diff(path[:, 2], 2) * -576 == pytest.approx(GRAVITY, rel=0.01)
        ahead = -np.diff(path[:, 1]) * 24
        assert np.ptp(ahead) < 0.05
        assert ahead.mean() == pytest.approx(3.45, abs=0.05), "a little faster than on the foot"


def test_the_body_gives_after_landing_and_pushes_off(polished):
    com = build_basis(polished.clip, Settings()).com
    for lands in (1, 9, 17):
        step = com[lands - 1 : lands + 8, 2]
        assert int(np.argmin(step)) == 2
        assert int(np.argmax(step)) == 6
        assert 0.07 < np.ptp(step) < 0.10
        assert step[4] > step[0], "it leaves the floor higher than it lands"


@pytest.mark.parametrize("side", SIDES)
def test_knees_bend_and_never_lock(polished, first, side):
    for each in (polished, first):
        assert each.knee(side).min() > 8.0
    knee = polished.knee(side)
    assert 90.0 < knee.max() < 110.0
    assert np.abs(np.diff(knee)).max() < 24.0
    hip, ankle = polished.heads[f"thigh.{side}"], polished.tails[f"shin.{side}"]
    legs = ankle - hip
    along = polished.tails[f"thigh.{side}"] - hip
    share = (along * legs).sum(axis=1) / (legs * legs).sum(axis=1)
    before = along - share[:, None] * legs
    foot = polished.tails[f"foot.{side}"] - ankle
    assert ((before * foot).sum(axis=1) > 0.0).all(), "the knee points over the toes"
    assert np.abs(before[:, 0]).max() < 0.06


def test_legs_reach_their_feet(polished, first):
    for each in (polished, first):
        for side in SIDES:
            gap = each.tails[f"shin.{side}"] - each.heads[f"mch_foot.{side}"]
            assert np.linalg.norm(gap, axis=1).max() < 1e-3


def test_nothing_goes_under_the_floor(polished, first):
    assert polished.lowest.min() > -3e-3
    assert first.lowest.min() > -3e-3


def test_arms_drive_against_the_legs(polished):
    ahead = {
        bone: -polished.ridden(polished.tails[bone])[:, 1]
        for bone in ("hand.L", "hand.R", "foot.L", "foot.R")
    }
    for hand, foot in (("hand.L", "foot.R"), ("hand.R", "foot.L")):
        assert np.corrcoef(ahead[hand], ahead[foot])[0, 1] > 0.5
    assert np.ptp(ahead["hand.R"]) < 0.7 * np.ptp(ahead["hand.L"]), "the boathook slows its arm"


def test_the_figure_leans_into_the_run_and_looks_ahead(polished):
    trunk = polished.tails["chest"] - polished.heads["hips"]
    lean = np.degrees(np.arctan2(-trunk[:, 1], trunk[:, 2]))
    assert 8.0 < lean.min() < lean.max() < 20.0
    head = polished.tails["head"] - polished.heads["head"]
    assert np.abs(np.degrees(np.arctan2(-head[:, 1], head[:, 2]))).max() < 10.0


def test_the_boathook_is_carried_level(polished):
    pole = polished.pole
    assert np.abs(np.degrees(np.arcsin(pole[:, 2]))).max() < 5.0
    assert np.abs(np.degrees(np.arctan2(pole[:, 0], -pole[:, 1]))).max() < 3.0


def test_the_polished_pass_has_no_findings(polished):
    assert check_clip(polished.clip).findings == ()


def test_the_first_pass_has_the_planted_findings_and_no_others(first):
    findings = check_clip(first.clip).findings
    assert all(finding.severity == "major" for finding in findings)
    assert {(f.check, f.part) for f in findings} == {(f["check"], f["part"]) for f in run.PLANTED}
    assert len(findings) == len(run.PLANTED)


def test_feet_bear_as_long_as_they_are_planted(polished):
    """Five frames of a stride of 16, never both feet, and nothing does in between."""
    found = check_clip(polished.clip).measures
    for side in ("left", "right"):
        assert found[f"foot_contact_{side}_share"] == pytest.approx(5 / 16)
    assert found["double_support_share"] == 0.0
    assert found["air_share"] == pytest.approx(6 / 16)
    assert found["run_share"] == 1.0


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    playing = FRAMES[: timing.LAST]
    assert_differs_only_where_planted(playing, first, polished, run.PLANTED)


def test_the_planted_faults_have_their_sizes(polished, first):
    toe = gap(first, polished, "toe.R")
    assert toe[12] == pytest.approx(0.058, abs=1e-3)
    slip = np.diff(first.tails["toe.R"][8:13], axis=0)[1:]
    assert slip[:, 1] == pytest.approx(-0.0145, abs=1e-3), "evenly, and slowly enough for a plant"
    assert 0.10 < gap(first, polished, "hand.L")[20] < 0.14
    assert gap(first, polished, "chest")[31] > 0.01
    assert gap(first, polished, "hand.L")[31] > 0.05


def test_the_right_arm_swings_evenly_and_the_head_is_left_behind(polished, first):
    """Degrees a frame, by the elbow's bend and by the head against the neck."""
    runs, eases = (np.diff(each.bend("upper_arm.R", "forearm.R")) for each in (first, polished))
    assert np.ptp(runs[5:13]) < 0.1, "the same on every frame"
    assert abs(runs[5] - runs[4]) > 2.0
    assert abs(runs[13] - runs[12]) > 2.0
    assert np.ptp(eases[5:13]) > 3.0, "where the polished one gathers speed and eases"
    nods, glances = (np.diff(each.bend("neck", "head")) for each in (first, polished))
    assert np.abs(nods[16:21]).max() < 1e-3 < np.abs(glances[16:21]).max()
