# SPDX-License-Identifier: GPL-3.0-or-later
"""What runs Plumbline's tests and demo scenes: environments, Blenders, the staged extension.

Standard library only, Python 3.11 or newer, so that it starts on a bare machine.
From the ground up: `errors`, `children`, `cache`; then `pip`, `pythons`, `pins`, `environments`;
then `blenders`, `captured_data`, `simulated_data`, `staging`, `extension_zip`; then `steps`;
`windows` and `window_tests`, whole Blenders with a window; then `suite`, which
`blender_test_runner.py` starts. `extension`, `leftovers`, `single_copy` and `in_blender` run inside
Blender.
"""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
