# SPDX-License-Identifier: GPL-3.0-or-later
"""From pass to pass: which finding is which, what is fixed, new or back, and what is kept.

`next_pass` lays an examination beside the record of the pass before (`Pass`) and what people
declared (`Said`), and gives an `Outcome`. Data only; nothing that is given is changed.

Causes are looked for afterwards, on the shot of the outcome:
`dataclasses.replace(examination, shot=outcome.shot)`. `Finding.owner` tells the body to mend, as
an id that was inherited may not. `Finding.counts` is False for what is kept on purpose.
`read_report` gives each shot of a check JSON as a `Shot`, with what was said of it.
`kept_of(finding, shot)` should be given the shot: marks are then compared at their own rate.
"""

from ..note import Note
from .belongs import Here, is_another, shot_words
from .brought import brought_here
from .following import BACK, NEW, TOLD_NOW, UNCHANGED, next_pass
from .kept import Intended, Kept, Motion, Outcome, Pass, Said, kept_of, pass_of
from .marks import note_mark
from .merging import left_out, merge_said, not_kept, with_intended, with_notes
from .report_reader import ReadShot, read_report
from .stored import pass_from_json, pass_to_json, said_from_json, said_to_json

__all__ = [
    "BACK",
    "NEW",
    "TOLD_NOW",
    "UNCHANGED",
    "Here",
    "Intended",
    "Kept",
    "Motion",
    "Note",
    "Outcome",
    "Pass",
    "ReadShot",
    "Said",
    "brought_here",
    "is_another",
    "kept_of",
    "left_out",
    "merge_said",
    "next_pass",
    "not_kept",
    "note_mark",
    "pass_from_json",
    "pass_of",
    "pass_to_json",
    "read_report",
    "said_from_json",
    "said_to_json",
    "shot_words",
    "with_intended",
    "with_notes",
]
