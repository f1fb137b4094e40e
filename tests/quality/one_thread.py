# SPDX-License-Identifier: GPL-3.0-or-later
"""Imported before numpy: linear algebra on one thread, as the bench has a process a core.

The arrays are small, and threads of several processes would only fight for the cores.
"""

import os

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
