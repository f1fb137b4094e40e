# SPDX-License-Identifier: GPL-3.0-or-later
"""Words that most names of a rig begin or end with: a character's name, not a part's."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

# More than this share of all names have it in common.
MOST = 0.5
# Of fewer names nothing can be said.
FEWEST = 4


@dataclass(frozen=True)
class Affixes:
    """Words, in a name's order, that most names begin with and end with."""

    prefix: tuple[str, ...] = ()
    suffix: tuple[str, ...] = ()

    def strip(self, words: Sequence[str]) -> tuple[str, ...]:
        """A name's words without them; a name that is nothing else comes out empty."""
        left = tuple(words)
        if self.prefix and left[: len(self.prefix)] == self.prefix:
            left = left[len(self.prefix) :]
        if self.suffix and left[-len(self.suffix) :] == self.suffix:
            left = left[: -len(self.suffix)]
        return left


NONE = Affixes()


def find_affixes(names: Sequence[Sequence[str]], is_telling: Callable[[str], bool]) -> Affixes:
    """What more than half of all names (as words) share, up to the first word that tells a part.

    A number is part of a prefix (`bip 01`), never of a suffix: there it counts bones.
    """
    if len(names) < FEWEST:
        return NONE
    prefix = _shared(names, is_telling)
    left = [Affixes(prefix).strip(words) for words in names]
    backwards = [tuple(reversed(words)) for words in left]
    suffix = _shared(backwards, lambda word: word.isdecimal() or is_telling(word))
    return Affixes(prefix, tuple(reversed(suffix)))


def _shared(names: Sequence[Sequence[str]], stop: Callable[[str], bool]) -> tuple[str, ...]:
    shared: tuple[str, ...] = ()
    alike = list(names)
    while True:
        depth = len(shared)
        alike = [words for words in alike if len(words) > depth]
        counted = Counter(words[depth] for words in alike)
        word, count = max(counted.items(), key=lambda item: item[1], default=("", 0))
        if count <= MOST * len(names) or stop(word) or (word.isdecimal() and not shared):
            return shared
        shared += (word,)
        alike = [words for words in alike if words[depth] == word]
