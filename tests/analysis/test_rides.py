# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` of a figure that rides: on what was not declared, late on what was, and of feet and hands
that slip at once."""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import with_mover
from test_glides import SLIDE, eased, standing
from test_hands_on_supports import on_wall, slip
from walker import box, moved, with_supports

from analysis import check_clip
from analysis.meta import Event

SECONDS = 6.0


def in_stretches(fps, metres):
    """(T,3) a way ahead (-Y) in so many stretches of .8 s each, a second and a half apart."""
    count = round(SECONDS * fps)
    way = np.zeros((count, 3))
    for n, each in enumerate(metres):
        begins = 0.4 + 1.7 * n
        way[:, 1] -= each * eased(count, begins * fps, (begins + 0.8) * fps)
    return way


def found(clip):
    return check_clip(clip, SLIDE).findings


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_figure_that_rides_on_what_was_not_declared_is_one_finding(fps):
    way = in_stretches(fps, [0.05, 0.3, 0.1])
    (finding,) = found(with_mover(moved(standing(fps, SECONDS), way), way))
    assert (finding.part, finding.severity) == ("mover", "major")
    assert "slip together 3 times" in finding.says
    assert finding.amount == pytest.approx(30.0, rel=0.05)
    assert "or declare what rides along under the feet as a support." in finding.suggestion.text
    assert finding.frames[0] <= 1 + 0.6 * fps
    assert finding.frames[1] >= 1 + 4.4 * fps


def test_slips_that_are_no_steps_are_told_one_by_one():
    way = in_stretches(24.0, [0.05, 0.1, 0.08])
    findings = found(with_mover(moved(standing(24.0, SECONDS), way), way))
    assert [round(each.amount) for each in findings] == [5, 10, 8]


def on_cart(fps, goes, rides):
    """A figure that rides so (T,3) on a declared cart that goes so (T,3)."""
    clip = moved(standing(fps, SECONDS), rides)
    cart = box((-0.6, -0.6, -0.2), (0.6, 0.6, 0.0), len(goes))
    cart[:, :3, 3] += goes
    clip = with_supports(clip, cart)
    return replace(clip, meta=replace(clip.meta, supports=("the cart",), floor_z=-1.0))


def later(way, samples):
    """The same way (T,3) so many samples later."""
    at = np.arange(len(way))
    return np.stack([np.interp(at - samples, at, each) for each in way.T], axis=1)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_figure_that_does_not_go_along_at_all_is_told_so_once(fps):
    way = in_stretches(fps, [0.3, 0.3, 0.3])
    (finding,) = found(on_cart(fps, way, np.zeros_like(way)))
    assert finding.part == "root"
    assert finding.says.endswith("it moves, and the figure does not go along with it in time.")
    assert finding.suggestion.text.startswith("Let body and feet go along with the cart: they are")
    assert not found(on_cart(fps, way, way))


@pytest.mark.parametrize("noise_m", [0.0, 0.002])
@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("late_s", [0.25, 0.12, -0.1, 1.0 / 24.0])
def test_a_late_or_early_figure_is_told_where_it_is_furthest_off(fps, late_s, noise_m):
    """Ahead is -Y: a figure that is late is too far back, and has to go forward, on the way back
    to its place as well."""
    way = in_stretches(fps, [0.3, 0.3, 0.3])
    rides = later(way, late_s * fps)
    off = (rides - way)[:, 1]
    clip = on_cart(fps, way, rides)
    tremble = noise_m * np.random.default_rng(3).normal(size=clip.positions.shape)
    (finding,) = found(replace(clip, positions=clip.positions + tremble))
    advice, at = finding.suggestion, round(finding.suggestion.frame - clip.frames[0])
    assert finding.part == "root"
    assert finding.frames[0] <= advice.frame <= finding.frames[1]
    assert finding.amount == pytest.approx(100.0 * np.abs(off).max(), abs=0.4)
    assert abs(off[at]) == pytest.approx(np.abs(off).max(), abs=0.004)
    assert advice.offset == pytest.approx([0.0, -off[at], 0.0], abs=0.005)
    told = re.search(r"but ([\d.]+) frames? (late|early): at frame", finding.says)
    assert float(told[1]) == pytest.approx(abs(late_s) * fps, abs=0.2)
    word, place, shift = ("late", "behind, too far back", "earlier, which puts them")
    if late_s < 0.0:
        word, place, shift = ("early", "ahead, too far forward", "later, which puts them")
    assert (told[2], place in finding.says, shift in advice.text) == (word, True, True)


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_it_is_told_where_the_cart_only_turns_back_as_well(fps):
    """Out and back: early or late, it is off to either side, and further as the cart hurries."""
    way = in_stretches(fps, [0.2, -0.4, 0.2])
    rides = later(way, 0.1 * fps)
    (finding,) = found(on_cart(fps, way, rides))
    off = (rides - way)[:, 1]
    assert finding.amount == pytest.approx(100.0 * np.abs(off).max(), abs=0.3)
    assert finding.suggestion.offset[1] == pytest.approx(-off[np.argmax(np.abs(off))], abs=0.003)


def test_what_no_shift_in_time_explains_is_not_told_as_late():
    """Both feet slip by themselves while the cart gathers speed; a figure that goes half as far."""
    way = in_stretches(24.0, [0.6, 0.6, 0.6])
    slips = np.outer(eased(len(way), 14, 20), [0.0, 0.05, 0.0])
    for rides in (way + slips, 0.5 * way):
        findings = found(on_cart(24.0, way, rides))
        assert findings
        assert not any(re.search("late|early", each.says) for each in findings)


def test_late_and_a_slip_of_its_own_are_two_findings():
    way = in_stretches(24.0, [0.3, 0.3, 0.3])
    clip = on_cart(24.0, way, later(way, 3.0))
    feet = np.outer(eased(len(way), 60, 66), [0.05, 0.0, 0.0])
    slid = moved(standing(24.0, SECONDS, feet=feet), later(way, 3.0))
    both = found(replace(clip, positions=slid.positions, rotations=slid.rotations))
    assert sorted(each.part for each in both) == ["foot.L", "root"]


def test_feet_that_slip_by_themselves_on_a_cart_are_not_behind():
    way = in_stretches(24.0, [0.3, 0.3, 0.3])
    clip = on_cart(24.0, way, way)
    count = len(way)
    feet = np.outer(eased(count, 60, 66), [0.0, 0.04, 0.0])
    slid = moved(standing(24.0, SECONDS, feet=feet), way)
    (finding,) = found(replace(clip, positions=slid.positions, rotations=slid.rotations))
    assert finding.part == "foot.L"
    assert finding.says.endswith("the body does not go along.")


def test_feet_and_a_hand_that_slip_at_once_are_one_finding():
    """The wall that the hand rests on, and the floor, stay where they are."""
    still = on_wall(slip([0.0, 0.0, 0.0]))
    count = len(still.frames)
    (finding,) = found(moved(still, np.outer(eased(count, 30, 35), [0.03, 0.0, 0.0])))
    assert finding.part == "root"
    assert finding.amount == pytest.approx(3.0, abs=0.3)
    assert finding.says.startswith("Both feet and the left hand slip 3.0 cm to the left together")
    assert "Keep both feet and the left hand in place" in finding.suggestion.text


def test_a_declared_event_is_not_told_as_late():
    way = in_stretches(24.0, [0.3, 0.3, 0.3])
    clip = on_cart(24.0, way, later(way, 3.0))
    assert found(clip)
    jolt = Event(frames=(1.0, 140.0))
    assert not found(replace(clip, meta=replace(clip.meta, events=(jolt,))))


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_loop_is_told_once_as_well(fps):
    """The cart swings to and fro once in six seconds, which loop."""
    at = np.arange(round(SECONDS * fps)) / (SECONDS * fps)
    way, rides = (
        np.outer(np.sin(2.0 * np.pi * (at - late_s / SECONDS)), [0.0, -0.5, 0.0])
        for late_s in (0.0, 0.25)
    )
    (finding,) = check_clip(on_cart(fps, way, rides), replace(SLIDE, cycle="yes")).findings
    assert finding.amount == pytest.approx(100.0 * np.abs(rides - way).max(), rel=0.05)
    told = re.search(r"but ([\d.]+) frames late", finding.says)
    assert float(told[1]) == pytest.approx(0.25 * fps, abs=0.3)


def eased_otherwise(fps, name):
    """(T,3) a cart's way, and that of a figure that begins and ends where the cart does."""
    count = round(SECONDS * fps)
    cart = eased(count, 0.4 * fps, 3.4 * fps)
    rides = {
        "leaves late": eased(count, 0.65 * fps, 3.4 * fps),
        "arrives early": eased(count, 0.4 * fps, 3.1 * fps),
        "evenly": np.clip((np.arange(count) / fps - 0.4) / 3.0, 0.0, 1.0),
    }[name]
    return np.outer(cart, [0.0, -1.5, 0.0]), np.outer(rides, [0.0, -1.5, 0.0])


@pytest.mark.parametrize("noise_m", [0.0, 0.002])
@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("name", ["leaves late", "arrives early", "evenly"])
def test_a_figure_that_is_off_on_the_way_alone_is_one_finding_there(fps, name, noise_m):
    way, rides = eased_otherwise(fps, name)
    clip = on_cart(fps, way, rides)
    tremble = noise_m * np.random.default_rng(3).normal(size=clip.positions.shape)
    (finding,) = found(replace(clip, positions=clip.positions + tremble))
    off = (rides - way)[:, 1]
    at = round(finding.suggestion.frame - clip.frames[0])
    assert finding.part == "root"
    assert "does not go along with it in time: at frame" in finding.says
    assert finding.amount == pytest.approx(100.0 * np.abs(off).max(), abs=0.8)
    assert abs(off[at]) == pytest.approx(np.abs(off).max(), rel=0.03)
    assert finding.suggestion.offset == pytest.approx([0.0, -off[at], 0.0], abs=0.008)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_noise_makes_nothing_late(fps):
    """A figure that does not go along at all, and feet that tremble by 4 mm."""
    way = in_stretches(fps, [0.3, 0.3, 0.3])
    clip = on_cart(fps, way, np.zeros_like(way))
    for seed in range(3):
        tremble = 0.004 * np.random.default_rng(seed).normal(size=clip.positions.shape)
        findings = found(replace(clip, positions=clip.positions + tremble))
        assert findings
        assert not any(re.search("late|early", each.says) for each in findings)
