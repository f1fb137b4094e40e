# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench of causes: faults planted in known controls and keys, and what is blamed for them.

`bases` are clean shots, half A for setting limits and half B for reporting. `edits` and `influence`
change keys, `kinds` says which there are; `plant` looks for a place where a fault is as large as
wanted, measured by `watch` on the evaluated rig. `case` runs a check and the search for causes on
one fault, `score` says what was right of it. `worker` does so inside Blender for its share of
the shots, `bench` starts the workers, `report` counts, `written` makes tables, `gate` holds a run
to `limits`. `one` plants a single case and saves it.
"""
