# SPDX-License-Identifier: GPL-3.0-or-later
"""What later steps need is fetched while earlier ones run, once, and never hides a failure."""

import threading

import pytest

from tests.harness.beforehand import fetched_beside
from tests.harness.blenders import WHEELS
from tests.harness.cache import publish
from tests.harness.errors import HarnessError, SkippedError
from tests.harness.suite import Options, _fetches

LONG_S = 30.0


def test_fetches_go_on_while_the_block_runs():
    begun, go_on, found = threading.Event(), threading.Event(), []

    def fetch():
        begun.set()
        assert go_on.wait(LONG_S)
        found.append("wheel")

    with fetched_beside([[fetch]]):
        assert begun.wait(LONG_S)
        assert found == []
        go_on.set()
    assert found == ["wheel"]


def test_rows_run_beside_each_other_and_each_in_its_order():
    together = threading.Barrier(2, timeout=LONG_S)  # neither row passes it alone
    found, over = [], threading.Barrier(3, timeout=LONG_S)
    rows = [
        [
            together.wait,
            lambda n=n: found.append((n, 1)),
            lambda n=n: found.append((n, 2)),
            over.wait,
        ]
        for n in range(2)
    ]
    with fetched_beside(rows):
        over.wait()
    assert sorted(found) == [(0, 1), (0, 2), (1, 1), (1, 2)]
    assert [turn for n, turn in found if n == 0] == [1, 2]


@pytest.mark.parametrize("error", [HarnessError, SkippedError])
def test_a_fetch_that_fails_is_left_to_the_step_that_needs_it(error, capsys, tmp_path):
    tries, failed = [], threading.Event()

    def build(_partial):
        tries.append(1)
        raise error("There is no network.")

    def fetch():
        try:
            publish(tmp_path / "wheel", build)
        finally:
            failed.set()

    with fetched_beside([[fetch, lambda: pytest.fail("its row goes on")]]):
        assert failed.wait(LONG_S)
        with pytest.raises(error, match="no network"):
            publish(tmp_path / "wheel", build)
    assert len(tries) == 2
    assert capsys.readouterr() == ("", "")


def test_what_has_not_begun_at_the_end_is_left_out():
    begun, go_on, found = threading.Event(), threading.Event(), []

    def first():
        begun.set()
        assert go_on.wait(LONG_S)

    # The block has ended by an error, which is told first; then the fetch that runs ends.
    threading.Timer(0.2, go_on.set).start()
    with (
        pytest.raises(KeyboardInterrupt),
        fetched_beside([[first, lambda: found.append("sid")]]),
    ):
        assert begun.wait(LONG_S)
        raise KeyboardInterrupt
    assert found == []


def test_a_step_waits_for_what_is_being_fetched(tmp_path):
    begun, go_on, builds = threading.Event(), threading.Event(), []

    def build(partial):
        builds.append(1)
        begun.set()
        assert go_on.wait(LONG_S)
        (partial / "whole").touch()

    with fetched_beside([[lambda: publish(tmp_path / "wheel", build)]]):
        assert begun.wait(LONG_S)
        threading.Timer(0.2, go_on.set).start()
        assert (publish(tmp_path / "wheel", build) / "whole").exists()
    assert len(builds) == 1


@pytest.mark.parametrize(
    ("options", "targets", "lengths"),
    [
        (Options(only="lint"), [], []),
        (Options(only="pure"), [], [2]),
        (Options(), [WHEELS[0], WHEELS[-1]], [4, 3]),
        (Options(pytest_args=("tests/addon/test_panel.py",)), [WHEELS[0]], [2]),
    ],
)
def test_nothing_is_fetched_that_no_step_needs(options, targets, lengths):
    assert [len(row) for row in _fetches(options, targets)] == lengths
