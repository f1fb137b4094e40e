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
        (0.417, "s", "0.42 s"),
        (250.3, "%", "250 %"),
    ],
)
def test_amounts_are_as_exact_as_they_can_be_seen(amount, unit, told):
    assert amount_text(amount, unit) == told


def outcome(states, fixed=(), was=(), not_told=()):
    return SimpleNamespace(states=states, fixed=fixed, was=was, not_told=not_told)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (outcome({}), ""),
        (outcome({}, fixed=[1]), "Since the last pass: 1 fixed."),
        (outcome({"a": "unchanged"}), "Nothing new or fixed in this pass."),
        (
            outcome({"a": "new", "b": "back", "c": "unchanged"}, fixed=[1, 2]),
            "Since the last pass: 2 fixed, 1 new, 1 back again.",
        ),
    ],
)
def test_the_headline_counts_what_has_changed(given, told):
    assert passes_text(given) == told


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
