# SPDX-License-Identifier: GPL-3.0-or-later
"""A mend leaves axes alone that it would hardly change."""

from types import SimpleNamespace

import numpy as np
import pytest

from analysis.causes.drafts import _clear


@pytest.mark.parametrize(
    ("name", "here", "off", "left"),
    [
        ("location", (0.0, 0.0, 0.0), (0.3, -0.01, 0.1), (0.3, 0.0, 0.1)),
        ("location", (np.nan, 0.0, 0.0), (9.0, 0.02, -0.1), (0.0, 0.02, -0.1)),
        ("rotation_quaternion", (1.0, 0, 0, 0), (0.5, 0.001, 0, 0), (0.5, 0.001, 0, 0)),
    ],
)
def test_axes_that_hardly_change_stay_as_they_are(name, here, off, left):
    group = SimpleNamespace(name=name)
    assert _clear(group, np.array(here), np.array(off)) == pytest.approx(np.array(left))
