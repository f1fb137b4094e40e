# SPDX-License-Identifier: GPL-3.0-or-later
"""`edge_on` with a sword that a camera sees at a known angle."""

from dataclasses import replace

import numpy as np
import pytest
from blades import swinging
from figures import figure, names
from filmed import filmed

from analysis import Settings, check_clip
from analysis.meta import Event

ASKED = Settings(cycle="no", checks=("edge_on",))
# From the figure's left the sword is seen flat: it lies along -Y, its edge downwards.
SIDE = {"eye": (8.0, -0.4, 0.9), "target": (0.0, -0.4, 0.9)}


def rolled(share, frames, *, first=20, fps=24, seconds=2.0, **how):
    """The sword turned so that the camera sees a share of its width over so many frames."""
    count = round(seconds * fps) + 1
    roll = np.zeros(count)
    roll[first : first + frames] = np.arccos(share)
    return filmed(swinging(fps=fps, seconds=seconds, degrees=0.0, roll=roll, **how), **SIDE)


def why(shot):
    return dict(shot.skipped).get("edge_on")


@pytest.mark.parametrize(("fps", "frames"), [(24, 6), (30, 6), (60, 12)])
@pytest.mark.parametrize("share", [0.02, 0.1])
@pytest.mark.parametrize("space", ["world", "camera"])
def test_an_edge_is_found(fps, frames, share, space):
    shot = check_clip(rolled(share, frames, fps=fps), replace(ASKED, space=space))
    assert names(shot) == [("edge_on", "prop.1")]
    (found,) = shot.findings
    assert found.frames == (21, 20 + frames)
    assert found.amount == pytest.approx(frames / fps)
    assert found.unit == "s"
    assert found.severity == "major"


def test_what_is_said_of_it():
    (found,) = check_clip(rolled(0.1, 8), ASKED).findings
    assert found.says.startswith(
        "The sword shows the camera only its edge from frame 21 to 28 (8 frames"
    )
    assert found.says.endswith("10 % of its width is seen.")
    assert found.suggestion.text.startswith("Turn it about its own length by 24 degrees or more")


def test_fifteen_per_cent_is_the_border():
    assert names(check_clip(rolled(0.16, 12), ASKED)) == []
    assert names(check_clip(rolled(0.14, 12), ASKED)) == [("edge_on", "prop.1")]


@pytest.mark.parametrize(
    ("clip", "says"),
    [
        (rolled(0.4, 12), "The camera sees the sword (40 % at the least) well enough to be read."),
        (
            rolled(0.08, 1),
            "The camera sees the sword (under 15 % for 1 frame at a time, 8 % at the least) well "
            "enough to be read.",
        ),
    ],
)
def test_what_is_good_tells_moments_that_cannot_be_read(clip, says):
    shot = check_clip(clip, ASKED)
    assert shot.good == (says,)


def moving(clip):
    """The whole figure and its camera travel, so that nothing is held still."""
    way = np.linspace(0.0, 3.0, len(clip.frames))[:, None] * [0.0, -1.0, 0.0]
    pose = clip.camera_pose.copy()
    pose[:, :3, 3] += way
    return replace(clip, positions=clip.positions + way[:, None], camera_pose=pose)


@pytest.mark.parametrize(("fps", "short", "enough"), [(24, 4, 5), (30, 5, 6), (60, 11, 12)])
def test_what_turns_through_fast_is_quiet(fps, short, enough):
    quiet = check_clip(moving(rolled(0.05, short, fps=fps)), ASKED)
    assert names(quiet) == []
    told = check_clip(moving(rolled(0.05, enough, fps=fps)), ASKED)
    assert names(told) == [("edge_on", "prop.1")]


def test_half_as_long_is_enough_where_it_is_held_still():
    (found,) = check_clip(rolled(0.05, 3), ASKED).findings
    assert "held still" in found.says
    assert names(check_clip(rolled(0.05, 1), ASKED)) == []


def test_what_points_at_the_camera():
    count = 49
    point = np.zeros(count)
    point[20:28] = np.pi / 2  # from -Y to straight up or down, which is where the camera is
    clip = swinging(degrees=0.0, point=point, flat=False)
    above = filmed(clip, eye=(0.05, -0.35, 9.0), target=(0.0, -0.35, 0.9))
    (found,) = check_clip(above, ASKED).findings
    assert "points at the camera from frame 21 to 28" in found.says
    assert "of its length is seen" in found.says
    assert names(check_clip(filmed(clip, **SIDE), ASKED)) == []


def test_a_line_is_not_asked_for_its_width():
    assert names(check_clip(rolled(0.02, 12, flat=False), ASKED)) == []


def test_a_parallel_camera_sees_the_same():
    clip = rolled(0.1, 8)
    lens = np.zeros((4, 4))
    lens[0, 0], lens[1, 1], lens[2, 2], lens[3, 3] = 0.3, 0.5, -0.02, 1.0
    flat = replace(clip, camera_projection=np.tile(lens, (len(clip.frames), 1, 1)))
    (found,) = check_clip(flat, ASKED).findings
    assert found.frames == (21, 28)


def test_out_of_the_picture_or_tiny_it_is_not_asked():
    clip = rolled(0.02, 12)
    away = filmed(clip, eye=(8.0, -0.4, 0.9), target=(8.0, 9.0, 0.9))
    assert why(check_clip(away, ASKED)).startswith("no prop is seen by the camera")
    far = filmed(clip, eye=(150.0, -0.4, 0.9), target=(0.0, -0.4, 0.9))
    assert why(check_clip(far, ASKED)).startswith("no prop is seen by the camera")


def test_without_a_camera_or_a_prop_it_says_so():
    assert why(check_clip(swinging(), ASKED)) == (
        "the clip has no camera: choose one for the scene"
    )
    assert why(check_clip(filmed(figure()), ASKED)) == "no hand holds a prop"


def test_an_edge_all_along_is_a_style():
    shot = check_clip(rolled(0.05, 49, first=0), ASKED)
    assert names(shot) == []
    assert "The sword shows the camera only its edge all along: taken for a style." in shot.style


def test_a_cut_ends_a_stretch():
    clip = moving(rolled(0.05, 8))
    cuts = np.zeros(len(clip.frames), dtype=bool)
    cuts[24] = True
    assert names(check_clip(replace(clip, camera_cut=cuts), ASKED)) == []


def test_good_gaps_and_declared_events():
    shot = check_clip(filmed(swinging(), **SIDE), ASKED)
    assert shot.good[0].startswith("The camera sees the sword (")
    clip = rolled(0.05, 8)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[18:30, clip.joint("sword")] = False
    assert names(check_clip(replace(clip, valid=valid), ASKED)) == []
    event = Event(frames=(20.0, 30.0), kind="freeze")
    assert names(check_clip(rolled(0.05, 8, events=(event,)), ASKED)) == []
    assert names(check_clip(clip.cut(1, 2), ASKED)) == []
