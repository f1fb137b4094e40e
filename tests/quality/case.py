# SPDX-License-Identifier: GPL-3.0-or-later
"""One clean clip of the quality corpus, and which half of the sources it belongs to."""

from dataclasses import dataclass, field

from analysis import Clip

# Limits are set on half A and reported on half B. Whatever is made from a captured clip goes
# with it, so that no motion stands in both halves.
HALVES = {
    "jump": "A",
    "crawl": "A",
    "dance_a": "A",
    "getup_faceup": "A",
    "kick": "A",
    "cartwheel": "B",
    "getup_facedown": "B",
    "punch": "B",
    "spinkick": "B",
    "walk": "B",
}
SOURCES = tuple(HALVES)


@dataclass(frozen=True, eq=False)
class Case:
    """A clip without faults.

    name     unique in the corpus
    source   the captured clip it is made from, or the style where it is made from none
    set      the clean set that it is reported with
    half     "A": limits may be set on it; "B": they are only reported on it
    faulty   checks that it is no clean motion for: it is known to have what they look for, so that
             what they find is no false alarm
    """

    name: str
    source: str
    set: str
    half: str
    clip: Clip
    faulty: tuple[str, ...] = field(default=(), kw_only=True)

    @property
    def seconds(self) -> float:
        """How long the clip plays."""
        return (len(self.clip.frames) - 1) * self.clip.dt_s

    @property
    def reported(self) -> str:
        """The set that it is reported with, or the family of a set."""
        return self.set
