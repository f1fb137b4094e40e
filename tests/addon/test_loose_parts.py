# SPDX-License-Identifier: GPL-3.0-or-later
"""Which vertices hang together, and where their boxes are too many."""

import numpy as np


def test_an_instance_of_too_many_parts_has_a_box_for_each_object(ext):
    boxes = ext.addon.sampling.boxes._instance_boxes
    corners = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
    crates = [[0.01 * corners + [0.02 * n, 5.0 * k, 0] for n in range(100)] for k in range(3)]
    assert len(boxes(crates)) == 3
    assert len(boxes([parts[:5] for parts in crates])) == 15
    assert len(boxes([])) == 1


def test_parts_are_what_hangs_together(ext):
    """Trees of vertices in any order, each far from the others."""
    part_boxes = ext.addon.sampling.loose_parts.part_boxes
    rng = np.random.default_rng(4)
    for _ in range(20):
        parts = int(rng.integers(1, 12))
        of = rng.permutation(np.repeat(np.arange(parts), 8))
        points = rng.uniform(-0.5, 0.5, (len(of), 3)) + np.outer(of, [10.0, 3.0, 1.0])
        edges = []
        for n in range(parts):
            mine = rng.permutation(np.flatnonzero(of == n))
            edges += [(mine[rng.integers(0, k)], mine[k]) for k in range(1, len(mine))]
        edges = rng.permutation(np.array(edges))
        found = sorted(part_boxes(points, edges), key=lambda box: box[0, 3])
        assert len(found) == parts
        for n, box in enumerate(found):
            own = np.linalg.solve(box, np.column_stack((points, np.ones(len(points)))).T)[:3]
            np.testing.assert_array_equal((np.abs(own) < 0.5 + 1e-9).all(axis=0), of == n)
