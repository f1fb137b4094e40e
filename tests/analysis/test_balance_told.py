# SPDX-License-Identifier: GPL-3.0-or-later
"""What `balance` says of what is held, of hands that stay, of hops and falls, and where it is
silent."""

from dataclasses import replace

import numpy as np
import pytest
from blades import swinging
from figures import NAMES, to_clip
from test_balance import ASKED, ROLES, caught, held_out, leaning, smooth, told, why
from test_hands_on_supports import with_hand
from test_loads import weighing
from toppling import HEIGHT_M, toppled
from walker import hop, pose

from analysis import Meta, Prop, check_clip
from analysis.balance_state import find_balance
from analysis.basis import build_basis
from analysis.leaning_hands import leaning_hand
from analysis.unbalanced import judged

LEAST_M = 0.015


def hand_of(clip):
    basis = build_basis(clip, ASKED)
    return leaning_hand(basis, basis.com[:, :2], 10, 50, LEAST_M)


def test_the_hand_that_stays_is_named():
    assert hand_of(leaning()) == "hand.L"
    assert hand_of(leaning(hands=False)) == ""
    assert "while the left hand stays where it is" in why(leaning())


def test_a_hand_that_holds_a_prop_has_nothing_else_in_it():
    clip = leaning()
    at = clip.joints.index("hand.L")
    held = replace(
        clip,
        joints=(*clip.joints, "torch"),
        parents=np.append(clip.parents, at),
        positions=np.concatenate((clip.positions, clip.positions[:, [at]]), axis=1),
        rotations=np.concatenate((clip.rotations, clip.rotations[:, [at]]), axis=1),
        rest_positions=np.concatenate((clip.rest_positions, clip.rest_positions[[at]])),
        rest_rotations=np.concatenate((clip.rest_rotations, clip.rest_rotations[[at]])),
        lengths=np.append(clip.lengths, 0.3),
        meta=Meta(roles=ROLES, props=(Prop(name="torch", joint="torch", held_by="hand.L"),)),
    )
    assert hand_of(held) == ""


def arms_that_hang(*, shoulders):
    """A leg is lifted ahead and the weight goes with it; the shoulders stay, or go along above
    hands that stay."""
    count = 60
    out = smooth((np.arange(count) - 12) / 10) - smooth((np.arange(count) - 44) / 10)
    swing = {"thigh.L": -1.2 * out}
    root = np.stack((0.0 * out, (-0.05 if shoulders else 0.0) * out, 0.95 + 0.0 * out), axis=-1)
    clip = to_clip(*pose(swing, root, count), 24.0, 1.0, {"roles": ROLES})
    stays = {side: clip.positions[0, clip.joints.index(f"hand.{side}")] for side in "LR"}
    return with_hand(clip, "R", np.tile(stays["R"], (count, 1))) if shoulders else clip


def test_a_hand_that_hangs_in_free_air_tells_of_no_support():
    basis = build_basis(arms_that_hang(shoulders=False), ASKED)
    assert np.ptp(basis.com[:, 1]) > 2.0 * LEAST_M
    assert hand_of(arms_that_hang(shoulders=False)) == ""
    assert hand_of(arms_that_hang(shoulders=True)) == "hand.R"


def heavy(mass_kg):
    """A sword held out ahead by a figure whose other hand hangs."""
    return weighing(swinging(degrees=90.0, seconds=3.0, lag_s=0.0).cut(40, 73), mass_kg)


@pytest.mark.parametrize("mass_kg", [50.0, 300.0])
def test_what_is_held_and_tips_it_over_is_named_with_its_mass(mass_kg):
    (finding,) = told(heavy(mass_kg))
    name = heavy(mass_kg).meta.props[0].name
    assert f"the weight of the body with the {name} ({mass_kg:g} kg) is " in finding.says
    assert finding.suggestion.text.startswith(f"Hold the {name} nearer, ")
    # Hips that would have to come back by more than anybody's can are no advice.
    far = mass_kg > 100.0
    assert ("the hips" in finding.suggestion.text) == (not far)
    assert (finding.suggestion.offset is None) == far
    if not far:
        # Of 68.8 kg at 1.78 m .85 go with the hips, and all of what is held.
        share = (0.85 * 68.8 + mass_kg) / (68.8 + mass_kg)
        back = 100.0 * np.linalg.norm(finding.suggestion.offset)
        assert back == pytest.approx(finding.amount / share, rel=0.01)


def test_the_way_of_the_hips_is_told_beside_that_of_the_weight():
    (finding,) = told(toppled(held_out(0.11)))
    assert "weight of the body with" not in finding.says
    assert f"takes the weight {finding.amount:.1f} cm, to the edge" in finding.suggestion.text


def eased(frames):
    """A topple that is keyed with ease: it comes down slowly, on nothing."""
    u = np.arange(frames + 1) / frames
    lean = 0.05 + 1.42 * smooth(u)
    return toppled(np.concatenate((np.full(10, 0.05), lean, np.full(20, lean[-1]))))


@pytest.mark.parametrize("frames", [10, 14, 20, 24, 28, 40])
def test_no_good_line_praises_what_lies_beyond_the_limit(frames):
    shot = check_clip(eased(frames), ASKED)
    limit = 100.0 * 0.05 / 1.7 * HEIGHT_M
    for line in shot.good:
        praised = line.partition(";")[0]
        assert "slow motion the weight" in praised
        amount = float(praised.split(" cm")[0].split()[-1])
        assert "inside" in praised or amount < limit


def test_what_is_beyond_it_for_a_moment_is_told_as_not_judged():
    (good,) = check_clip(toppled(held_out(0.08, hold_s=0.05, fps=60.0), fps=60.0), ASKED).good
    assert "outside of what bears it, too briefly to judge." in good


def lying(lift):
    rest = toppled(np.full(48, np.radians(84.0)))
    return replace(rest, positions=rest.positions + [0.0, 0.0, lift])


def test_who_lies_with_his_chest_half_a_trunk_up_is_not_asked():
    clip = lying(0.0)
    chest = clip.positions[0, NAMES.index("chest"), 2]
    clip = lying(0.12 - chest)
    assert not told(clip)
    assert "declare" not in why(clip)
    basis = build_basis(clip, ASKED)
    assert not judged(basis, find_balance(basis)).any()


def test_who_lies_higher_on_nothing_is_told_how_high():
    clip = toppled(np.full(48, np.radians(55.0)))
    assert not told(clip)
    chest = 100.0 * clip.positions[0, NAMES.index("chest"), 2]
    assert f"lying with its chest {chest:.1f} cm above the ground: declare what" in why(clip)


def in_poses(*samples_and_frames, **meta):
    """A hop as stepped blocking: the pose of each sample, for so many frames."""
    clip = hop(air_s=0.5, distance=0.9, before=14, after=14)
    shown = np.concatenate([np.full(count, at) for at, count in samples_and_frames])
    place = np.array(clip.positions[shown])
    feet = [n for n, name in enumerate(clip.joints) if name.startswith(("shin", "foot"))]
    body = [n for n in range(len(clip.joints)) if n not in feet]
    back = np.where(shown >= 25, 0.25, 0.0)
    place[:, body, 1] += back[:, None]
    return replace(
        clip,
        frames=np.arange(1.0, len(shown) + 1.0),
        positions=place,
        rotations=clip.rotations[shown],
        meta=Meta(roles=ROLES, **meta),
    )


def test_the_pose_that_lands_from_one_in_the_air_is_no_balance_matter():
    flies = in_poses((0, 12), (13, 6), (19, 6), (25, 20), (0, 12))
    stands = in_poses((0, 12), (13, 12), (25, 20), (0, 12))
    assert "balance" not in [f.check for f in told(flies)]
    assert [f.check for f in told(stands)] == ["balance"]


def test_only_a_step_catches_a_fall():
    assert "to spare" in check_clip(caught(0.70, 0.36, 0.45), ASKED).good[0]
    assert not any("catches" in line for line in check_clip(hop(distance=1.0), ASKED).good)
