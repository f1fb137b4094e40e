# SPDX-License-Identifier: GPL-3.0-or-later
"""`learn`: a house style from approved shots, the same for clips and for .blend files."""

import argparse
import textwrap
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from ..clip import Clip
from ..errors import PlumblineError
from ..house_style import MOST, Learned, learn
from ..pipeline import choose_checks
from ..report import EXIT_CLEAN, EXIT_SOME_FAILED, EXIT_USAGE
from ..style_file import refuse_style_place, write_style
from ..words import count_text
from .answer import Failure
from .options import settings_from
from .outputs import show, text_width
from .saying import say

# Limits that become wider than this are worth a second look at the shots.
WIDE = 2.0
# Reads the clips of the input of that name; raises PlumblineError where there are none.
ReadClips = Callable[[str], Sequence[Clip]]


def learn_from(
    prog: str,
    options: argparse.Namespace,
    inputs: Sequence[str],
    read_clips: ReadClips,
    *,
    failed: Sequence[Failure] = (),
) -> int:
    """Learn a style from inputs and write it; one that fails does not stop the rest."""
    settings = replace(settings_from(options), tolerance="normal", style={})
    choose_checks(settings)
    refuse_style_place(options.out)
    clips: list[tuple[str, Clip]] = []
    failures = list(failed)
    for each in inputs:
        try:
            found = read_clips(each)
        except PlumblineError as error:
            failures.append((each, str(error)))
        else:
            clips += [(_name(each, clip, len(found)), clip) for clip in found]
    for _input, reason in failures:
        say(prog, reason)
    if not clips:
        return EXIT_USAGE
    learned = learn(clips, settings)
    write_style(options.out, learned, [name for name, _clip in clips])
    show(learned_text(learned, len(clips), options.out))
    return EXIT_SOME_FAILED if failures else EXIT_CLEAN


def _name(each: str, clip: Clip, count: int) -> str:
    return each if count == 1 else f"{each}, {clip.meta.name}"


def learned_text(learned: Sequence[Learned], shots: int, path: str) -> str:
    """What was learned: a line a check, and the shots that looked faulty."""
    lines = [
        _line(f"A style from {count_text(shots, 'shot')}, in {path}: limits are multiplied by")
    ]
    for each in learned:
        name, factor = each.widest
        widest = f"; the widest, {factor:.2f}, in {name}" if name and factor > 1.0 else ""
        row = f"{each.check:<14}{each.factor:.2f}  ({count_text(each.shots, 'shot')}{widest})"
        lines.append(_line(row, "  "))
    lines += [
        _line(
            f"{each.check} becomes {each.factor:.1f} times as wide: look whether "
            f"{each.widest[0]} is rightly approved, since faults of that size are no findings any "
            "more.",
            "  ",
        )
        for each in learned
        if each.factor > WIDE
    ]
    for each in learned:
        if each.beyond:
            faulty = (
                f"{each.check} has findings at {MOST:g} times its limits in "
                f"{', '.join(each.beyond)}: taken for a fault, not for the style."
            )
            lines.append(_line(faulty, "  "))
    return "\n".join(lines)


def style_text(path: str, style: Mapping[str, float]) -> str:
    """One line on the style that answers were given with, so that nobody takes it for the usual."""
    changed = [f"{check} {factor:.2f}" for check, factor in style.items() if factor != 1.0]
    if not changed:
        return _line(f"Limits as {path} has them: all as usual.")
    return _line(f"Limits as {path} has them, times the usual: {', '.join(changed)}.")


def _line(text: str, indent: str = "") -> str:
    """A sentence in lines that fit the terminal."""
    return textwrap.fill(
        text,
        width=text_width(),
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
