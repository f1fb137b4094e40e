# SPDX-License-Identifier: GPL-3.0-or-later
"""Simulated motion is made once for its source and its pins."""

import pytest

from tests.harness import pins, simulated_data
from tests.harness.errors import HarnessError
from tests.harness.simulated_data import simulated_file, simulated_variable, source_key


@pytest.fixture
def runs(monkeypatch, tmp_path):
    """The commands that were run, in an empty cache, without pip and MuJoCo."""
    found = []

    def run(command, **options):
        found.append(command)
        with open(command[3], "wb") as file:
            file.write(b"motion")
        return 0, ""

    monkeypatch.setenv("PLUMBLINE_CACHE", str(tmp_path))
    monkeypatch.setattr(simulated_data, "environment", lambda *_names, **_sizes: "python")
    monkeypatch.setattr(simulated_data, "run_quietly", run)
    return found


def test_it_is_simulated_once_and_says_where(runs, capsys, tmp_path):
    path = simulated_file()
    assert path.read_bytes() == b"motion"
    assert path.is_relative_to(tmp_path)
    assert str(path.parent) in capsys.readouterr().out
    assert simulated_file() == path
    assert len(runs) == 1
    assert capsys.readouterr().out == ""


def test_other_source_or_other_pins_are_another_motion(monkeypatch, tmp_path):
    (tmp_path / "a.py").write_text("size = 1\n")
    first = source_key(tmp_path)
    assert source_key(tmp_path) == first
    (tmp_path / "a.py").write_text("size = 2\n")
    second = source_key(tmp_path)
    monkeypatch.setattr(pins, "SIMULATION", ("mujoco-core==4.0.1",))
    assert len({first, second, source_key(tmp_path)}) == 3


def test_a_failed_simulation_leaves_nothing_and_shows_its_last_lines(monkeypatch, runs):
    monkeypatch.setattr(simulated_data, "run_quietly", lambda *_c, **_o: (1, "a\nno such body"))
    with pytest.raises(HarnessError, match="no such body"):
        simulated_file()


def test_a_file_that_the_caller_names_is_passed_on(monkeypatch):
    monkeypatch.setenv("PLUMBLINE_SIMULATED", "/data/motion.npz")
    assert simulated_variable() == {"PLUMBLINE_SIMULATED": "/data/motion.npz"}
