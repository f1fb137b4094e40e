# SPDX-License-Identifier: GPL-3.0-or-later
"""Parts: how they are spelt, said and ordered."""

from analysis.parts import fix_rank, is_part, label, limb_of, parents_of


def test_part_words():
    assert is_part("hand.L")
    assert is_part("spine.2")
    assert not any(is_part(name) for name in ("hand", "hand.left", "spine", "spine.0", "nose"))
    assert label("upper_arm.R") == "right upper arm"
    assert label("spine.2") == "spine 2"
    assert limb_of("shin.L") == ("thigh.L", "shin.L", "foot.L", "toe.L")
    assert limb_of("chest") == ()
    assert "pelvis" in parents_of("thigh.R")


def test_fixing_order_goes_from_the_body_outwards():
    parts = ["prop.1", "hand.L", "head", "thigh.L", "chest", "root", "spine.2", "spine.1", None]
    assert sorted(parts, key=fix_rank) == [
        None,
        "root",
        "spine.1",
        "spine.2",
        "chest",
        "head",
        "thigh.L",
        "hand.L",
        "prop.1",
    ]
