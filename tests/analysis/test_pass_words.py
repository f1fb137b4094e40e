# SPDX-License-Identifier: GPL-3.0-or-later
"""What is told of a pass beside the one before."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from test_list_order import found

from analysis.pass_words import (
    amount_text,
    fixed_text,
    passes_text,
    since_text,
    verdict_text,
)
from analysis.passes import Intended, kept_of


@pytest.mark.parametrize(
    ("amount", "unit", "told"),
    [
        (4.32, "cm", "4.3 cm"),
        (12.0, "frames", "12 frames"),
        (1.0, "frames", "1 frame"),
        (0.98, "degrees", "1 degree"),
        (0.417, "s", "0.42 s"),
        (250.3, "%", "250 %"),
    ],
)
def test_amounts_are_as_exact_as_they_can_be_seen(amount, unit, told):
    assert amount_text(amount, unit) == told


def outcome(states, fixed=(), was=(), not_told=(), clock=""):
    return SimpleNamespace(states=states, fixed=fixed, was=was, not_told=not_told, clock=clock)


@pytest.mark.parametrize(
    ("given", "woken", "told"),
    [
        (outcome({}), 0, ""),
        (outcome({}), 1, "1 no longer kept: its motion has changed."),
        (outcome({}, fixed=[1]), 0, "Since the last pass: 1 fixed."),
        (outcome({"a": "unchanged"}), 0, "Nothing new or fixed in this pass."),
        (outcome({"a": "unchanged"}), 2, "2 no longer kept: their motion has changed."),
        (
            outcome({"a": "new"}),
            1,
            "Since the last pass: 1 new. 1 no longer kept: its motion has changed.",
        ),
        (
            outcome({"a": "new", "b": "back", "c": "unchanged"}, fixed=[1, 2]),
            0,
            "Since the last pass: 2 fixed, 1 new, 1 back again.",
        ),
    ],
)
def test_the_headline_counts_what_has_changed(given, woken, told):
    assert passes_text(given, woken) == told


def test_a_finding_tells_what_it_was():
    now = found(amount=2.1)
    was = kept_of(found(amount=4.3))
    assert since_text(now, "unchanged", was, None) == "Was 4.3 cm, is 2.1 cm."
    assert since_text(now, "unchanged", kept_of(now), None) == ""
    assert since_text(now, "unchanged", replace(was, unit="degrees"), None) == ""
    assert since_text(now, "new", None, None) == "It is new since the last pass."
    woken = Intended(finding=was, reason="a nod")
    told = since_text(now, "back", None, woken)
    assert told.startswith("It was fixed in an earlier pass, and is back. The motion has changed")
    assert told.endswith("since it was kept: a nod")
    assert fixed_text(was) == "Head: pop, frame 1: was 4.3 cm."


@pytest.mark.parametrize(
    ("amount", "unit", "says", "tells"),
    [
        (7.72, "cm", "It jolts: the left hand lands 7.4 cm off its path.", False),
        (7.44, "cm", "It jolts: the left hand lands 7.4 cm off its path.", True),
        (123.4, "cm", "The left foot slips 1.23 m back.", True),
        (214.0, "cm/s", "The hand stops dead: from 7.1 cm a frame to rest.", False),
        (20.3, "% of the flight", "It hangs: 70 % of the time, where gravity gives 50 %.", False),
        (6.8, "%", "The picture jumps 6.8 % of its height.", True),
        (0.67, "body weights", "It is pushed by 0.7 body weights, by 79 cm/s.", True),
        (0.62, "s", "It stands dead from frame 45 to 60: the left hand gets 55.4 cm away.", False),
        (7.0, "cm", "The arm turns evenly from frame 12 to 18.", True),
    ],
)
def test_what_it_was_is_left_out_where_the_sentence_tells_another_measure(
    amount, unit, says, tells
):
    now = replace(found(amount=amount), unit=unit, says=says)
    was = replace(kept_of(now), amount=2.0 * amount)
    assert since_text(now, "unchanged", was, None).startswith("Was ") == tells


def test_other_choices_are_told_in_one_sentence():
    told = outcome({"a": "told_now", "b": "unchanged"}, fixed=[1], not_told=[1, 2])
    assert passes_text(told, 0) == (
        "Since the last pass: 1 fixed. Other choices than last time: 2 are not told now, 1 is told "
        "only now."
    )


def test_what_is_kept_as_intended_does_not_count():
    quiet, loud = replace(found(), intended="a nod"), found(severity="major")

    def told(*findings, good=(), skipped=()):
        shot = SimpleNamespace(findings=findings, good=good, skipped=skipped)
        shot.is_unjudged = not findings and not good
        return verdict_text(shot)

    assert told(quiet, loud, found()) == "2 findings, 1 major, 1 kept as intended"
    assert told(quiet) == "nothing to mend, 1 kept as intended"
    assert told(skipped=[("pop", "why")]) == "nothing could be judged"
    assert (
        told(good=["It holds."], skipped=[("pop", "why")]) == "nothing to mend, 1 check not judged"
    )
