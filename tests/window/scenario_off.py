# SPDX-License-Identifier: GPL-3.0-or-later
"""Switched off, on and off again, after all that was done before: nothing of ours is left."""

from tests.harness.extension import disable, enable


def off_and_on_leaves_nothing(play):
    """Disable, enable, disable: no handler, timer, property, key or drawing stays behind."""
    for _ in range(2):
        disable()
        yield from play.hand.until(
            lambda: not play.ledger.leftovers(),
            lambda: f"Still registered after the extension was disabled: {play.ledger.leftovers()}",
        )
        enable()
        yield from play.hand.drawn()
    yield from play.hand.open_sidebar()
    yield from play.hand.find("plumbline.check")


SCENARIOS = (off_and_on_leaves_nothing,)
