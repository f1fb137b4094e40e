# SPDX-License-Identifier: GPL-3.0-or-later
"""An examination with a memory says the same as one without, to the last bit."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from analysis import Settings, keys
from analysis.digest import Digests
from analysis.memory import Memory, recalled
from analysis.pipeline import examination_in_steps, examine
from tests.analysis.bitwise import bits
from tests.analysis.figures import figure, spike
from tests.analysis.keyed_rig import rig, with_curves

EDITS = 4


@dataclass(frozen=True, eq=False)
class Pair:
    one: np.ndarray
    other: np.ndarray | None = None


def halved(values):
    return Pair(0.5 * values, values[::2])


def listed(values):
    return list(values)


def edited_at_random(seed):
    """Clips of one rig, of which each has another key moved than the one before it."""
    puppet, clip = rig("dance_a")
    chance = np.random.default_rng(seed)
    yield clip
    left = EDITS
    while left:
        curves = list(clip.meta.curves)
        n = int(chance.integers(len(curves)))
        values = list(curves[n].values)
        values[int(chance.integers(len(values)))] += float(chance.normal(scale=0.05))
        curves[n] = keys.recomputed(replace(curves[n], values=tuple(values)))
        try:
            clip = with_curves(puppet, clip, curves)
        except ValueError:  # a leg does not reach its foot
            continue
        left -= 1
        yield clip


def test_edits_are_told_alike_with_a_memory_and_without():
    memory, told, first = Memory(), [], 0
    for clip in edited_at_random(3):
        with_it, without = examine(clip, memory=memory), examine(clip)
        told.append(bits(with_it.shot))
        assert told[-1] == bits(without.shot)
        assert bits(with_it.cycle) == bits(without.cycle)
        first = first or memory.misses
    assert len(set(told)) == EDITS + 1  # each edit shows in some number
    assert memory.hits > 1.5 * (memory.misses - first)  # and most is known after it


def test_nothing_is_worked_out_twice_for_the_same_clip():
    memory, clip = Memory(), rig("dance_a")[1]
    examine(clip, memory=memory)
    misses = memory.misses
    examine(replace(clip), memory=memory)
    assert misses > 0
    assert memory.misses == misses


def test_other_settings_are_other_answers():
    memory, clip = Memory(), figure(shift=np.outer(spike(48, 20, 0.03), [0, 0, 1]))
    examine(clip, memory=memory)
    loose = Settings(tolerance="loose", stage="spline")
    assert bits(examine(clip, loose, memory=memory).shot) == bits(examine(clip, loose).shot)


def test_what_two_examinations_did_not_use_is_forgotten():
    memory, values = Memory(), np.arange(6.0)
    memory.recall(halved, values)
    for _ in range(2):
        memory.end()
        assert len(memory) == 1
    memory.end()
    assert (len(memory), memory.size) == (0, 0)


def test_an_examination_left_half_way_costs_nothing_of_what_is_known():
    memory, clip = Memory(), rig("dance_a")[1]
    examine(clip, memory=memory)
    known, misses = len(memory), memory.misses
    for _ in range(4):
        steps = examination_in_steps(clip, memory=memory)
        next(steps)
        next(steps)
        steps.close()
    examine(clip, memory=memory)
    assert (len(memory), memory.misses) == (known, misses)


def test_it_holds_no_more_than_it_may():
    memory = Memory(most_bytes=20_000)
    for n in range(50):
        memory.recall(halved, np.arange(200.0) + n)
        assert memory.size <= 20_000
    assert 1 < len(memory) < 10
    misses = memory.misses
    memory.recall(halved, np.arange(200.0) + 49)  # the latest is still there
    memory.recall(halved, np.arange(200.0))
    assert memory.misses == misses + 1


@pytest.mark.parametrize("memory", [Memory(), None], ids=["memory", "none"])
def test_results_cannot_be_written_to_and_lie_alike(memory):
    values = np.arange(6.0)
    found = recalled(memory, halved, values)
    for array in (found.one, found.other):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0
    values[0] = 7.0  # what is given stays the caller's, and none of the result
    assert found.other.tolist() == [0.0, 2.0, 4.0]
    assert found.other.flags.c_contiguous
    with pytest.raises(TypeError, match="list cannot be remembered"):
        recalled(memory, listed, values)


def of_both(values, memory):
    return sum(recalled(memory, halved, each).one.sum() for each in values)


def test_what_is_known_may_ask_for_what_is_known():
    memory, values = Memory(), (np.arange(3.0), np.arange(4.0))
    assert memory.recall(of_both, values, memory) == 4.5
    assert (memory.hits, memory.misses) == (0, 3)
    assert memory.recall(of_both, (values[0], np.arange(5.0)), memory) == 6.5
    assert (memory.hits, memory.misses) == (1, 5)
    other = Memory()
    assert Digests().of((values, memory)) == Digests().of((values, other))


def test_changed_arguments_are_noticed():
    memory, values = Memory(), np.arange(6.0)
    memory.recall(halved, values)
    values[3] = np.nextafter(values[3], 4.0)
    assert memory.recall(halved, values).one[3] == 0.5 * values[3]
    assert (memory.hits, memory.misses) == (0, 2)
    memory.recall(halved, values.copy())
    assert memory.hits == 1


def counted(calls):
    def doubled(values, shift):
        calls.append(len(values))
        return (2.0 * values + shift[:, None],)

    return doubled


def test_only_rows_that_are_given_otherwise_are_worked_out_again():
    memory, calls, chance = Memory(), [], np.random.default_rng(5)
    function, every = counted(calls), np.ones(20, dtype=bool)
    values, shift = chance.normal(size=(20, 3)), np.zeros(20)
    for changed in ((), (4,), (7, 9), ()):
        values[list(changed)] += 1.0
        (found,) = memory.rows.recall("one", function, (values, shift), every)
        assert found.tobytes() == (2.0 * values).tobytes()
    shift[3] = -0.0  # other bits
    memory.rows.recall("one", function, (values, shift), every)
    assert calls == [20, 1, 2, 1]
    memory.rows.recall("other", function, (values, shift), every)
    assert calls[-1] == 20


def test_rows_that_were_not_wanted_are_worked_out_when_they_are():
    memory, calls = Memory(), []
    function, values = counted(calls), np.arange(12.0).reshape(6, 2)
    for wanted, fresh in ((0b000111, 3), (0b011110, 2), (0b111111, 1), (0b000001, 0)):
        rows = np.array([bool(wanted >> n & 1) for n in range(6)])
        (found,) = memory.rows.recall("one", function, (values, np.zeros(6)), rows)
        assert found.tolist() == (2.0 * values[rows]).tolist()
        assert sum(calls) == fresh
        calls.clear()
    for _ in range(2):
        assert len(memory.rows) == 1
        memory.end()
    assert len(memory.rows) == 0


def test_digests_of_what_can_never_change_are_kept_and_of_nothing_else():
    still, loose = np.zeros(3), np.zeros(3)
    still.flags.writeable = False
    digests, kept, lost = Digests(), Pair(still), Pair(still, loose)
    around = Pair(kept, lost)
    before = [digests.of(each) for each in (kept, lost, around)]
    digests.forget()
    loose[1] = 1.0
    now = [digests.of(each) for each in (kept, lost, around)]
    assert [a == b for a, b in zip(before, now, strict=True)] == [True, False, False]
    assert now == [Digests().of(each) for each in (kept, lost, around)]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (0.0, -0.0),
        (1, 1.0),
        (1, True),
        ("1", 1),
        ("ab", b"ab"),
        (("a", "bc"), ("ab", "c")),
        ((1.0, (2.0,)), ((1.0,), 2.0)),
        ((1.0, 2.0), [1.0, 2.0, None]),
        (np.zeros(4), np.zeros((2, 2))),
        (np.zeros(2), np.zeros(2, dtype=np.float32)),
        (np.zeros((3, 2)), np.zeros((2, 3)).T),
        (np.arange(8.0)[::2], np.arange(8.0)[1::2]),
        ((np.zeros(1), np.zeros(2)), (np.zeros(2), np.zeros(1))),
        (Pair(np.zeros(2)), Pair(np.ones(2))),
        (Pair(np.zeros(2)), Pair(np.zeros(2), np.zeros(0))),
        ({"a": 1.0}, {"b": 1.0}),
    ],
)
def test_digests_tell_values_apart(one, other):
    digests = Digests()
    assert digests.of(one) != digests.of(other)
    assert Digests().of(one) == digests.of(one)


def test_equal_values_have_one_digest_wherever_they_are_kept():
    curve = rig("dance_a")[1].meta.curves[0]
    again = replace(curve, channel="".join([*curve.channel]), frames=(*curve.frames,))
    assert Digests().of(curve) == Digests().of(again)
    moved = replace(curve, values=(np.nextafter(curve.values[0], 9.0).item(), *curve.values[1:]))
    assert Digests().of(curve) != Digests().of(moved)


def test_what_has_no_bits_of_its_own_has_no_digest():
    for value in (object(), {1}, np.array([None])):
        with pytest.raises(TypeError, match="cannot be remembered"):
            Digests().of(value)
