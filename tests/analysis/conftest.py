# SPDX-License-Identifier: GPL-3.0-or-later
"""Clips on disk that several tests of the command line read."""

import numpy as np
import pytest
from figures import figure, spike

from analysis import save_clip


@pytest.fixture
def clean(tmp_path):
    return save_clip(tmp_path / "clean.npz", figure())


@pytest.fixture
def popping(tmp_path):
    shift = np.outer(spike(48, 20, 0.03), [0, 0, 1])
    return save_clip(tmp_path / "popping.npz", figure(shift=shift))
