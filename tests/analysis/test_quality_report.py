# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's counting, its printout and its gate, on outcomes made up by hand."""

import json
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from analysis import Finding
from analysis.evidence import Suggestion
from tests.quality import gate
from tests.quality.cells import CASES, CURVE_CASES, Cell, all_cells
from tests.quality.intervals import binomial_at_most, poisson_at_least
from tests.quality.plant import KINDS
from tests.quality.planted import Planted
from tests.quality.printout import WIDTH, rate_text, recall_text
from tests.quality.report import rates, recalls
from tests.quality.score import Alarm, Outcome, aside_deg, names, right_part
from tests.quality.sets import clean_cases
from tests.quality.work import CellResult, CleanResult
from tests.quality.written import to_json, to_markdown

CELL = Cell("pop", "head", 1.5, "keyed_24", "B")


def outcome(found=True):
    return Outcome(found, found, 0.0 if found else None, 1.5, False, "told")


def cell_result(found, cases, cell=CELL):
    return CellResult(cell, tuple(outcome(n < found) for n in range(cases)))


def clean_result(events, seconds=20.0):
    alarm = Alarm("c", "keyed_24", "B", "pop", "major", "It pops.")
    return CleanResult("c", "keyed_24", "B", seconds, False, (alarm,) * events)


def finding(check="pop", part="head", frames=(20, 20), also=(), amount=1.0):
    return Finding(
        id=f"{check}:{part}:20",
        mark="",
        check=check,
        part=part,
        point="",
        space="world",
        frames=frames,
        peak_frame=frames[0],
        severity="minor",
        amount=amount,
        limit=1.0,
        unit="cm",
        says="",
        also=also,
    )


def planted(frames=(24.0, 25.0), amount=None):
    return Planted(None, "pop", "head", ("head", "neck"), frames, 1.5, "", amount)


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (finding(frames=(20, 21)), True),  # three frames before it
        (finding(frames=(28, 30)), True),  # three after it
        (finding(frames=(19, 20)), False),
        (finding(frames=(29, 30)), False),
        (finding(frames=(10, 40)), True),
        (finding(check="slide", frames=(24, 24)), False),
        (finding(check="slide", frames=(24, 24), also=(("pop", "head"),)), True),
    ],
)
def test_a_finding_names_a_fault_that_is_three_frames_off_or_nearer(said, expected):
    assert names(said, planted(), 1.0) is expected


@pytest.mark.parametrize(
    ("said", "fault", "expected"),
    [
        (finding(), planted(), True),
        (finding(part="neck"), planted(), True),
        (finding(part="hand.L"), planted(), False),
        (finding(part="hand.L", also=(("pop", "neck"),)), planted(), True),
        (finding(part="hand.L", also=(("slide", "neck"),)), planted(), False),
        (finding(amount=2.0), planted(amount=2.0), True),
        (finding(amount=3.0), planted(amount=2.0), False),
    ],
)
def test_the_right_part_is_what_shows_it_or_carries_it(said, fault, expected):
    assert right_part(said, fault) is expected


@pytest.mark.parametrize(
    ("said", "degrees"),
    [((-2.0, 0.0, 0.5), 0.0), ((-1.0, 1.0, 0.0), 45.0), ((1.0, 0.0, 0.0), 180.0)],
)
def test_a_direction_is_compared_with_the_planted_one(said, degrees):
    fault = replace(planted(), direction=(1.0, 0.0, 0.0))
    told = replace(finding(), suggestion=Suggestion("", offset=np.array(said)))
    assert aside_deg(told, fault) == pytest.approx(degrees)
    assert aside_deg(told, planted()) is None
    assert aside_deg(finding(), fault) is None
    cell = CellResult(CELL, (replace(outcome(), aside_deg=degrees), outcome()))
    (row,) = recalls([cell], ["pop"])
    assert row.median_aside_deg == pytest.approx(degrees)
    assert f"median degrees off from above: keyed_24 {degrees:.1f}" in recall_text([row])


def test_cells_are_counted():
    (row,) = recalls([cell_result(143, 150)], ["pop"])
    assert (row.found, row.cases, row.promised) == (143, 150, True)
    assert row.falls_short is False
    (short,) = recalls([cell_result(142, 150)], ["pop"])
    assert short.falls_short


def test_a_check_that_does_not_exist_is_said_not_to_be_there():
    text = recall_text(recalls([CellResult(CELL, ())], []))
    assert "not there yet" in text


def test_findings_are_counted_over_seconds():
    rows = rates([clean_result(1), clean_result(0)], ["pop", "hitch"])
    by_check = {row.check: row for row in rows if row.set == "every set"}
    assert [row.set for row in rows] == ["keyed_24"] * 3 + ["every set"] * 3
    assert by_check["pop"].per_10_s == pytest.approx(0.25)
    assert by_check["pop"].upper == pytest.approx(10.0 * stats.chi2.ppf(0.95, 4) / 2.0 / 40.0)
    assert by_check["all"].majors == 1
    assert by_check["hitch"].events == 0
    assert not by_check["pop"].falls_short
    assert by_check["all"].falls_short is False
    assert rates([clean_result(2)], ["pop"])[-1].falls_short  # two major ones in 20 s


def test_no_line_is_too_wide():
    sets = ("captured", "captured_24", "captured_30", "keyed_24", "keyed_30")
    cells = [Cell("pop", "head", 1.5, which, "B") for which in sets]
    text = recall_text(recalls([cell_result(149, 150, cell) for cell in cells], ["pop"]))
    text += rate_text(rates([clean_result(3)], ["pop"]))
    assert max(map(len, text.splitlines())) <= WIDTH
    assert all(len(f"  {kind.name}, half A: {kind.says}") <= WIDTH for kind in KINDS.values())


def test_json_and_markdown_hold_the_figures():
    found, alarms = recalls([cell_result(75, 150)], ["pop"]), rates([clean_result(2)], ["pop"])
    data = json.loads(json.dumps(to_json(found, alarms, 1.0)))
    assert data["recall"][0]["found"] == 75
    assert data["recall"][0]["interval"] == pytest.approx([0.4174, 0.5826], abs=1e-3)
    assert data["clean"][0]["events"] == 2
    assert "| pop | head | 1.5 cm | B 0.50 |" in to_markdown(found, alarms)


def test_kinds_of_the_same_sets_share_a_table():
    cells = [
        Cell("pop", "head", 1.5, "keyed_24", "B"),
        Cell("pop", "head", 1.5, "captured", "B"),
        Cell("hitch_body", "body", 2.0, "captured", "B"),
        Cell("hitch_body", "body", 2.0, "keyed_24", "B"),
        Cell("stop_together", "body", 2.0, "arrivals", "B"),
    ]
    rows = recalls([cell_result(75, 150, cell) for cell in cells], [c.check for c in cells])
    heads = [line for line in to_markdown(rows, []).splitlines() if line.startswith("| fault")]
    assert heads == [
        "| fault | part | from | keyed_24 | captured |",
        "| fault | part | from | arrivals |",
    ]


def test_families_of_cycles_are_reported_apart():
    of_cycles = {case.reported for case in clean_cases(["cycles"])}
    assert of_cycles == {"cycles/strides", "cycles/jerky"}
    assert {case.reported for case in clean_cases(["holds"])} == {"holds"}
    family = replace(clean_result(1), set="cycles/jerky")
    assert {row.set for row in rates([family, clean_result(0)], ["pop"])} == {
        "cycles/jerky",
        "keyed_24",
        "every set",
    }
    assert [row.events for row in rates([family], ["pop"])] == [1, 1]


def test_rows_of_clean_motion_come_set_by_set_half_a_first():
    other = replace(clean_result(0), set="holds")
    given = [clean_result(1), replace(clean_result(0), half="A"), other]
    rows = [(row.set, row.half) for row in rates(given, ["pop"]) if row.check == "pop"]
    assert rows[:3] == [("keyed_24", "A"), ("keyed_24", "B"), ("holds", "B")]


def test_the_gate_fails_on_what_chance_does_not_explain(monkeypatch):
    monkeypatch.setattr(gate, "RECALL", {"pop": 0.95})
    monkeypatch.setattr(gate, "ALARMS", {"pop": 0.3, "all": 2.0})
    good = recalls([cell_result(7, 8)], ["pop"]), rates([clean_result(2)], ["pop"])
    assert gate.failures(*good) == []
    (bad,) = gate.failures(recalls([cell_result(3, 8)], ["pop"]), [])
    assert bad.startswith("pop: 3 of 8 planted faults were found")
    (loud,) = gate.failures([], rates([clean_result(9)], ["pop"]))
    assert loud.startswith("9 findings of pop in 20 s")
    assert gate.failures(recalls([cell_result(0, 8)], []), []) == []  # not there yet


@pytest.mark.parametrize(("most", "cases", "p"), [(0, 8, 0.5), (3, 8, 0.95), (142, 150, 0.95)])
def test_tails_of_shares(most, cases, p):
    assert binomial_at_most(most, cases, p) == pytest.approx(stats.binom.cdf(most, cases, p))


@pytest.mark.parametrize(("least", "mean"), [(0, 1.0), (1, 0.2), (9, 2.5)])
def test_tails_of_counts(least, mean):
    assert poisson_at_least(least, mean) == pytest.approx(stats.poisson.sf(least - 1, mean))


def test_a_twentieth_is_every_twentieth_case():
    assert (CELL.cases, len(CELL.numbers(1.0))) == (CASES, CASES)
    assert list(CELL.numbers(0.05)) == list(range(0, CASES, 20))
    curve = Cell("pop_cm", "head", 1.5, "keyed_24", "B")
    assert curve.cases == CURVE_CASES


def test_promises_differ_on_captured_and_keyed_motion():
    sizes = {
        which: min(
            cell.size
            for cell in all_cells(["pop"], ["pop"], [which], "B")
            if cell.part == "hand" and cell.promised
        )
        for which in ("captured", "keyed_24")
    }
    assert sizes == {"captured": 3.0, "keyed_24": 2.5}
