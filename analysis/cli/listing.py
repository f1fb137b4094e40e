# SPDX-License-Identifier: GPL-3.0-or-later
"""`checks`: every check with its question, definition, unit, limit and source."""

import textwrap
from collections.abc import Sequence

from ..checks import CheckInfo


def checks_text(infos: Sequence[CheckInfo], *, width: int = 80) -> str:
    """All checks, one paragraph each, wrapped to `width` columns."""
    return "\n\n".join(_one(info, width) for info in infos)


def _one(info: CheckInfo, width: int) -> str:
    rules = [f"- {rule}" for rule in info.limit_in_full.split("; ") if rule]
    rows = (
        ("", info.question),
        ("how", info.definition),
        ("unit", info.unit),
        ("limit", info.limit),
        *zip(["in full", *[""] * len(rules)], rules, strict=False),
        ("mend", info.mend),
        ("stages", ", ".join(info.stages)),
        ("source", info.source),
    )
    return "\n".join([info.name, *(_row(head, text, width) for head, text in rows)])


def _row(head: str, text: str, width: int) -> str:
    """One wrapped row; what begins with a dash hangs behind it."""
    hanging = " " * (12 if text.startswith("- ") else 10)
    return textwrap.fill(
        text, width=width, initial_indent=f"  {head:<8}", subsequent_indent=hanging
    )
