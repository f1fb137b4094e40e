# SPDX-License-Identifier: GPL-3.0-or-later
"""What a declared event is about: a limb and what hangs on it, or all that the part carries."""

from dataclasses import replace

import pytest
from figures import figure, names, spike

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.com_point import com_basis
from analysis.declared import is_declared, is_struck, of_figure, of_trunk
from analysis.meta import Event

ONCE = Settings(cycle="no")


def about(part, asked, *args, kind="hit", frames=(20.0, 22.0)):
    clip = figure()
    event = Event(frames=frames, part=part, kind=kind)
    basis = build_basis(replace(clip, meta=replace(clip.meta, events=(event,))), ONCE)
    body = [basis.body(name) for name in args]
    return asked(basis, *body, 19, 21)


@pytest.mark.parametrize(
    ("part", "figure_", "trunk"),
    [
        (None, True, True),
        ("root", True, True),
        ("chest", False, True),
        ("head", False, False),
        ("hand.L", False, False),
        ("thigh.R", False, False),
    ],
)
def test_only_what_carries_all_is_about_all(part, figure_, trunk):
    assert about(part, of_figure) is figure_
    assert about(part, of_trunk) is trunk


@pytest.mark.parametrize(
    ("part", "body", "expected"),
    [
        (None, "head", True),
        ("head", "head", True),
        ("foot.L", "thigh.L", True),  # its limb
        ("chest", "hand.L", True),  # what hangs on it
        ("hand.L", "chest", True),  # what carries it
        ("head", "hand.L", False),
        ("foot.L", "thigh.R", False),
    ],
)
def test_paths_are_those_of_the_limb_of_what_hangs_on_it_and_of_what_carries_it(
    part, body, expected
):
    assert about(part, is_declared, body) is expected


@pytest.mark.parametrize("part", ["spine.9", "toe.L", "prop.1", "camera", "mover"])
def test_a_part_that_is_not_there_excuses_nothing(part):
    assert not about(part, of_figure)
    assert not about(part, of_trunk)
    for body in ("head", "foot.L", "root"):
        assert not about(part, is_declared, body)
        assert not about(part, is_struck, body)


@pytest.mark.parametrize(("part", "expected"), [("foot.L", True), ("toe.L", False)])
def test_the_centre_of_mass_is_moved_by_whatever_reaches_the_figure(part, expected):
    clip = figure()
    event = Event(frames=(20.0, 22.0), part=part)
    struck = replace(clip, meta=replace(clip.meta, events=(event,)))
    point = com_basis(build_basis(struck, ONCE))
    assert is_declared(point, 0, 19, 21) is expected


def test_a_frame_beyond_an_event_on_either_side_belongs_to_it():
    # Samples 19 to 21 are frames 20 to 22.
    assert about(None, of_figure, frames=(23.0, 30.0))
    assert about(None, of_figure, frames=(10.0, 19.0))
    assert not about(None, of_figure, frames=(24.0, 30.0))
    assert not about(None, of_figure, frames=(10.0, 18.0))


@pytest.mark.parametrize(("kind", "expected"), [("hit", True), ("catch", True), ("load", False)])
def test_what_is_carried_makes_nothing_jump(kind, expected):
    assert about("hand.L", is_struck, "hand.L", kind=kind) is expected
    assert about("hand.L", is_declared, "hand.L", kind=kind)


@pytest.mark.parametrize(
    ("part", "kind", "told"),
    [
        ("upper_arm.L", "hit", []),
        ("hand.L", "hit", []),
        (None, "hit", []),
        ("upper_arm.L", "load", [("pop", "upper_arm.L")]),
        ("upper_arm.R", "hit", [("pop", "upper_arm.L")]),
        ("head", "hit", [("pop", "upper_arm.L")]),
    ],
)
def test_an_arm_that_is_hit_pops_by_right(part, kind, told):
    clip = figure(turns={"upper_arm.L": spike(48, 20, 0.3)})
    event = Event(frames=(21.0, 21.0), part=part, kind=kind)
    struck = replace(clip, meta=replace(clip.meta, events=(event,)))
    shot = check_clip(struck, ONCE)
    assert names(shot) == told
    # What was declared is no finding, and no praise either.
    assert not any("leaves its path" in text for text in shot.good)
