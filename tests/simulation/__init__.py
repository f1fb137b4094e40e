# SPDX-License-Identifier: GPL-3.0-or-later
"""Falls, hops and throws of a jointed figure, simulated once by MuJoCo and kept as numbers.

`python -m tests.simulation FILE` makes them; that alone needs MuJoCo. What reads them does not.
"""
