# SPDX-License-Identifier: GPL-3.0-or-later
"""`checks`: every check with its question, definition, unit, limit and source."""

import textwrap
from collections.abc import Sequence

from ..checks import CheckInfo


def checks_text(infos: Sequence[CheckInfo], *, width: int = 80) -> str:
    """All checks, one paragraph each, wrapped to `width` columns."""
    return "\n\n".join(_one(info, width) for info in infos)


def _one(info: CheckInfo, width: int) -> str:
    rows = (
        ("", info.question),
        ("how", info.definition),
        ("unit", info.unit),
        ("limit", info.limit),
        ("mend", info.mend),
        ("stages", ", ".join(info.stages)),
        ("source", info.source),
    )
    lines = [info.name]
    for head, text in rows:
        lines.append(
            textwrap.fill(
                text, width=width, initial_indent=f"  {head:<8}", subsequent_indent=" " * 10
            )
        )
    return "\n".join(lines)
