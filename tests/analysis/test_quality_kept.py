# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets that one process of a run keeps for the others are what it has built, bit for bit."""

from dataclasses import fields, replace
from types import MappingProxyType

import numpy as np
import pytest
from figures import figure

from tests.quality.case import Case
from tests.quality.kept import VARIABLE, kept, read, write


@pytest.fixture
def cases():
    clip = figure()
    meta = replace(clip.meta, extra=MappingProxyType({"made": "here"}))
    # Axes in an order that is neither of the usual two.
    turned = np.ascontiguousarray(clip.positions.transpose(1, 0, 2)).transpose(1, 0, 2)
    return (Case("set/a", "figure", "set", "A", replace(clip, positions=turned, meta=meta)),)


def test_what_is_read_is_what_was_written(cases, tmp_path):
    write(tmp_path / "set.pickle", cases)
    ((written,), (found,)) = cases, read(tmp_path / "set.pickle")
    assert (found.name, found.source, found.set, found.half) == ("set/a", "figure", "set", "A")
    assert found.clip.meta == written.clip.meta
    for item in fields(written.clip):
        ours, theirs = getattr(written.clip, item.name), getattr(found.clip, item.name)
        if isinstance(ours, np.ndarray):
            assert (ours.dtype, ours.shape, ours.tobytes()) == (
                theirs.dtype,
                theirs.shape,
                theirs.tobytes(),
            )
            assert ours.strides == theirs.strides, item.name
            assert not theirs.flags.writeable, item.name
    assert written.clip.positions.flags.forc is False


def test_facts_of_what_is_read_cannot_be_written_to(cases, tmp_path):
    write(tmp_path / "set.pickle", cases)
    (found,) = read(tmp_path / "set.pickle")
    with pytest.raises(TypeError):
        found.clip.meta.extra["made"] = "there"


def test_another_process_of_the_run_builds_nothing(cases, monkeypatch, tmp_path):
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    assert kept("set", lambda: list(cases)) == cases
    (found,) = kept("set", lambda: pytest.fail("the set is built twice in a run"))
    assert found.name == "set/a"
    assert [path.name for path in tmp_path.iterdir()] == ["set.pickle"]


def test_without_a_run_everybody_builds(cases, monkeypatch, tmp_path):
    monkeypatch.delenv(VARIABLE, raising=False)
    built = []
    for _ in range(2):
        assert kept("set", lambda: built.append(1) or list(cases)) == cases
    assert len(built) == 2


def test_a_set_that_cannot_be_built_leaves_nothing(monkeypatch, tmp_path):
    monkeypatch.setenv(VARIABLE, str(tmp_path))

    def fails():
        raise ValueError("no captured motion")

    with pytest.raises(ValueError, match="no captured motion"):
        kept("set", fails)
    assert list(tmp_path.iterdir()) == []
