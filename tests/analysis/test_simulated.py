# SPDX-License-Identifier: GPL-3.0-or-later
"""What is simulated is right: gravity in flight, pushes as large as they say and nowhere else."""

import os

import numpy as np
import pytest

from tests.simulation.segments import HEIGHT_M, SEGMENTS
from tests.simulation.stored import kept_ticks, read

if os.environ.get("PLUMBLINE_SIMULATED") is None:
    pytest.skip("PLUMBLINE_SIMULATED is not set: run the test runner", allow_module_level=True)

from simulated_flights import FLIGHTS, FPS, STANDARD_GRAVITY

from analysis import quaternions as quat
from tests.quality import simulated
from tests.quality.simulated import clip_of_take, frames_of, motion_of, pushed, store
from tests.quality.work import cases_of


def test_there_are_enough_of_each():
    for name in ("simulated_24", "simulated_30"):
        cases = cases_of(name)
        assert len({case.name for case in cases}) == len(cases)
        for half in "AB":
            ours = [case.name.split("/")[1] for case in cases if case.half == half]
            assert ours.count("falls") >= 100
            assert ours.count("flights") >= 60
            assert ours.count("declared") >= 50
    assert len(FLIGHTS) >= 100


def test_the_centre_of_mass_falls_as_gravity_makes_it_fall():
    for case, first, last in FLIGHTS:
        path = motion_of(case).com[first : last + 1]
        times = np.arange(len(path)) / FPS
        pull = 2.0 * np.polyfit(times, path, 2)[0]
        assert pull[2] == pytest.approx(-STANDARD_GRAVITY, rel=0.01), case.name
        assert np.abs(pull[:2]).max() < 0.1, case.name


def test_a_push_in_flight_gives_the_speed_it_says():
    counted = 0
    for case, _first, last in FLIGHTS:
        for size in (0.3, 0.5, 1.0):
            for take in pushed(case, "air", size):
                push = store().facts[take]["push"]
                moved = store().motion(take, FPS)
                begin = int(frames_of(push["seconds"], FPS)[1])
                lands = np.flatnonzero(moved.touches[begin:].any(axis=1))
                end = min(last, begin + int(lands[0]) if len(lands) else last)
                if end - begin < 3:
                    continue
                away = moved.com[begin:end] - motion_of(case).com[begin:end]
                gained = FPS * (away[-1] - away[0]) / (len(away) - 1)
                assert gained == pytest.approx(size * np.array(push["direction"]), abs=0.02)
                counted += 1
    assert counted >= 100


def test_newtons_are_those_of_the_body_weight():
    for facts in store().facts:
        if (push := facts["push"]) is None:
            continue
        lasts = push["seconds"][1] - push["seconds"][0]
        gained = push["newtons"] * lasts / facts["mass_kg"]
        if push["kind"] == "push":
            assert lasts == pytest.approx(0.12)
            gained /= STANDARD_GRAVITY * lasts
        else:
            assert lasts <= 2.0 / FPS
        assert gained == pytest.approx(push["size"])
        assert np.linalg.norm(push["direction"]) == pytest.approx(1.0)


def test_before_a_push_nothing_is_changed():
    for case in cases_of("simulated_24")[::10]:
        wanted = (("push", 0.5), ("impulse", 0.66), ("air", 0.5))
        for take in [take for kind, size in wanted for take in pushed(case, kind, size)]:
            push = store().facts[take]["push"]
            clip = clip_of_take(take, 24, "pushed")
            same = int(push["seconds"][0] * 24) + 1
            np.testing.assert_array_equal(clip.positions[:same], case.clip.positions[:same])
            after = int(np.ceil(push["seconds"][1] * 24)) + 1
            away = np.linalg.norm(clip.positions[after] - case.clip.positions[after], axis=-1)
            assert away.max() > 0.01


def test_bones_keep_their_lengths_and_feet_begin_on_what_bears_them():
    for case in cases_of("simulated_24")[::17]:
        clip = case.clip
        size = motion_of(case).facts["world"]["size"]
        assert clip.meta.height_m == pytest.approx(size * HEIGHT_M)
        for joint, parent in enumerate(clip.parents):
            if parent >= 0:
                apart = np.linalg.norm(clip.positions[:, joint] - clip.positions[:, parent], axis=1)
                at_rest = np.linalg.norm(clip.rest_positions[joint] - clip.rest_positions[parent])
                np.testing.assert_allclose(apart, at_rest, rtol=1e-6, atol=1e-9)
        boxes = motion_of(case).facts["world"]["boxes"]
        on = boxes[0][2] if boxes else 0.0
        feet = [n for n, name in enumerate(clip.points) if name != "head_tip"]
        joints = clip.point_joint[feet]
        places = clip.positions[0, joints]
        places = places + quat.rotate(clip.rotations[0, joints], clip.point_offset[feet])
        assert np.abs(places[:, 2].min() - on) < 0.01 * size


def test_masses_are_shares_of_the_whole():
    assert sum(segment.mass for segment in SEGMENTS) == pytest.approx(1.0, abs=0.005)


def test_halves_share_no_fall():
    for name in ("simulated_24/falls", "simulated_24/flights"):
        ways = {half: set() for half in "AB"}
        for case in cases_of(name):
            ways[case.half].add(motion_of(case).pose[:4].tobytes())
        assert not ways["A"] & ways["B"]


def test_records_are_kept_at_both_rates_alone():
    kept = kept_ticks(7, 14)
    assert kept.tolist() == [8, 10, 12, 15, 16, 20]  # every fifth: 24 a second; every fourth: 30


def test_a_pushed_take_goes_on_where_the_other_stops():
    for fps in (24, 30):
        for case in cases_of(f"simulated_{fps}")[::5]:
            for kind, size in (("push", 0.5), ("impulse", 0.66), ("air", 0.5)):
                for take in pushed(case, kind, size):
                    first, count = (store().facts[take][name] for name in ("first", "count"))
                    frames = len(store().motion(take, fps).pose)
                    assert frames == (first + count - 1) * fps // 120 + 1


def test_frames_enclose_what_happens():
    assert frames_of((0.5, 0.62), 24) == (13.0, 16.0)
    assert frames_of((0.51, 0.52), 30) == (16.0, 17.0)


def test_without_the_file_a_sentence_says_what_to_do(monkeypatch, tmp_path):
    monkeypatch.delenv("PLUMBLINE_SIMULATED")
    with pytest.raises(ValueError, match=r"is not set, expected .* start this through"):
        simulated.store.__wrapped__()
    (tmp_path / "motion.npz").write_bytes(b"no archive")
    with pytest.raises(ValueError, match="holds no simulated motion"):
        read(tmp_path / "motion.npz")
