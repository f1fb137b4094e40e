# SPDX-License-Identifier: GPL-3.0-or-later
"""How the bench of causes scores: what is told, by which finding, and which key is blamed."""

import pytest

from tests.causes.bases import BASES, HALVES
from tests.causes.gate import failures
from tests.causes.kinds import KINDS
from tests.causes.limits import SHARES
from tests.causes.plan import TRIPLE, shared_out, tasks
from tests.causes.report import Share, counted
from tests.causes.score import answer, new_findings
from tests.causes.truth import Truth

TRUTH = Truth(
    kind="spike",
    control="torso",
    channel="location",
    frame=34.0,
    size_m=0.03,
    frames=(33, 34, 35),
    part="root",
    shows=("root", "pelvis"),
)


def finding(check="pop", part="root", frames=(34, 34), amount=3.0, **more):
    return {
        "id": f"{check}:{part}:{frames[0]}",
        "check": check,
        "part": part,
        "frames": list(frames),
        "severity": "major",
        "amount": amount,
        "limit": 1.0,
        "also": [],
        "causes": [],
        **more,
    }


def cause(control="torso", channel="location", frame=34, share=0.7):
    return {"control": control, "channel": channel, "frame": frame, "share": share}


def test_a_finding_within_three_frames_tells_a_fault():
    assert answer([finding(frames=(38, 40))], TRUTH).told
    assert not answer([finding(frames=(39, 40))], TRUTH).told


def test_what_the_clean_shot_has_tells_nothing_unless_it_grew():
    clean = [finding(amount=3.0)]
    assert new_findings([finding(amount=3.2)], clean) == []
    assert len(new_findings([finding(amount=9.0)], clean)) == 1
    assert len(new_findings([finding(part="head")], clean)) == 1


def test_the_finding_of_the_moved_part_tells_it_best():
    others = [finding(part="hand.L", amount=9.0), finding(check="slide", amount=2.0), finding()]
    assert answer(others, TRUTH).finding == "pop:root:34"


@pytest.mark.parametrize(
    ("causes", "rank", "on_key", "near_key"),
    [
        ([cause()], 1, True, True),
        ([cause(channel="location.z", frame=35)], 1, False, True),
        ([cause(channel="rotation_quaternion"), cause(share=0.2)], 2, True, True),
        (
            [cause(control="hips"), cause(control=None, channel=None, frame=None)],
            None,
            False,
            False,
        ),
    ],
)
def test_control_group_and_key_are_scored(causes, rank, on_key, near_key):
    found = answer([finding(causes=causes)], TRUTH)
    assert (found.rank, found.on_key, found.near_key) == (rank, on_key, near_key)
    assert found.shares == pytest.approx(sum(each["share"] for each in causes))


def test_of_several_faults_each_needs_a_finding_of_its_own_parts():
    found = [finding(part="hand.L", causes=[cause()])]
    assert answer(found, TRUTH, alone=True).named
    assert not answer(found, TRUTH, alone=False).told


def case(kind="spike", half="A", **answered):
    told = {"told": True, "rank": 1, "on_key": True, "near_key": True, "named": True, "shares": 1.0}
    return {
        "kind": kind,
        "rig": "porter",
        "keying": "offset",
        "half": half,
        "planted": True,
        "answers": [told | answered],
        "truths": [TRUTH.to_json()],
        "findings": [],
        "mended": {"before_m": 0.04, "after_m": 0.001, "elsewhere_m": 0.0, "new_major": []},
        "evaluated": 120,
        "frames": 100,
    }


def test_shares_are_of_all_that_is_planted_and_of_what_is_told():
    missed = case(told=False, rank=None, on_key=False, near_key=False, shares=None)
    figures = counted([case(), case(rank=2), missed], [])
    shares = figures.row("spike").shares
    assert shares["told"] == Share(2, 3)
    assert shares["first"] == Share(1, 3)
    assert shares["first of told"] == Share(1, 2)
    assert shares["in three of told"] == Share(2, 2)
    assert figures.once["frames_evaluated_most"] == pytest.approx(1.2)


def test_three_at_once_are_right_where_every_one_is():
    both = case(TRIPLE)
    both["answers"] = [*both["answers"], {**both["answers"][0], "named": False}]
    row = counted([both], []).row("three at once, all")
    assert row.shares["named"] == Share(1, 2)
    assert row.shares["every one named"] == Share(0, 1)
    unseen = case(TRIPLE)
    unseen["answers"] = [*unseen["answers"], {**unseen["answers"][0], "told": False}]
    row = counted([both, case(TRIPLE), unseen], []).row("three at once, all")
    assert row.shares["every one named"] == Share(2, 3)
    assert row.shares["every one named, where told"] == Share(1, 2)


def test_each_single_fault_is_of_one_size():
    figures = counted([case(), case(), case(rank=2)], [])
    rows = [row for row in figures.rows if row.of.startswith(("from", "under"))]
    assert [row.shares["first"] for row in rows] == [Share(2, 3)]


def test_the_gate_tells_what_falls_short_and_knows_its_rows():
    good = [case() for _ in range(60)]
    bad = [case(told=False, rank=None, shares=None) for _ in range(60)]
    known = counted(good + [case(TRIPLE)], [])
    for of, limits in SHARES.items():
        row = known.row(of)
        assert row is None or set(limits) <= set(row.shares)
    assert failures(counted(good, [])) == []
    assert any(each.startswith("spike, told") for each in failures(counted(bad, [])))


def test_a_run_has_enough_cases_evenly_and_the_same_share_each_time():
    every = tasks()
    single = [task for task in every if task.kind != TRIPLE]
    assert len(single) >= 300
    assert len(every) - len(single) >= 100
    assert {task.kind for task in single} == set(KINDS)
    few = tasks(share=0.1)
    assert few == tasks(share=0.1)
    assert set(few) < set(tasks(share=0.2)) < set(every)
    hands = shared_out(every, 2)
    assert sorted(map(str, hands[0] + hands[1])) == sorted(map(str, every))


def test_no_source_of_motion_is_in_both_halves():
    sources = {half: {b.source for b in BASES if b.half == half} for half in HALVES}
    assert not sources["A"] & sources["B"]
    for half in HALVES:
        assert {b.rig for b in BASES if b.half == half} == {"rigify", "porter"}
        assert len({b.keying for b in BASES if b.half == half}) == 2
