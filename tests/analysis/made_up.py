# SPDX-License-Identifier: GPL-3.0-or-later
"""Events that no check saw, for tests of what is merged into one finding."""

from dataclasses import replace

from analysis.evidence import Evidence, RawEvent


def event(basis, check, part, first, last, **changes):
    """An event of 3 cm on a part, or on the body of that index, worst where it ends."""
    body = basis.body(part) if isinstance(part, str) else part
    made = RawEvent(
        check=check,
        body=body,
        first=first,
        last=last,
        peak=last,
        amount=3.0,
        limit=2.0,
        unit="cm",
        visible_m=0.03,
        step_m=0.0,
        says="",
    )
    return replace(made, **changes)


def evidence(basis, check, part, first, last, **changes):
    """What a check returns that saw just that."""
    return Evidence(check, (event(basis, check, part, first, last, **changes),))
