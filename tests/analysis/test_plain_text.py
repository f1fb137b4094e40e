# SPDX-License-Identifier: GPL-3.0-or-later
"""Names and numbers as people and terminals can take them."""

import pytest

from analysis.plain_text import TIE, number_text, one_line, tied
from analysis.words import sentence_start, size_text, speed_text, speed_texts


@pytest.mark.parametrize(
    ("value", "text"),
    [(1e8, "100000000"), (24.0, "24"), (0.01, "0.01"), (23.976, "23.976"), (-5, "-5"), (0, "0")],
)
def test_numbers_are_plain(value, text):
    assert number_text(value) == text


def test_numbers_that_no_one_can_read_stay_short():
    assert number_text(1e300) == "1e+300"
    assert number_text(float("inf")) == "inf"


def test_what_steers_a_terminal_is_written_out():
    assert one_line("a\x1b[2Jb\nc\rd\x9be\u2028f\u202eg") == (r"a\x1b[2Jb\nc\rd\x9be\u2028f\u202eg")
    assert one_line("портер 🪝 é – ok") == "портер 🪝 é – ok"


def test_no_size_is_told_that_no_one_sees():
    assert {size_text(metres) for metres in (0.0, 1.3e-9, 9.6e-6, 1e-5)} == {"0.01 mm"}
    assert size_text(1.2e-5) == "0.012 mm"


@pytest.mark.parametrize(
    ("metres", "size", "speed"),
    [
        (1.204, "1.20 m", "1.2 m/s"),
        (0.0473, "4.7 cm", "5 cm/s"),
        (0.001, "0.1 cm", "1 mm/s"),
        (0.000273, "0.27 mm", "0.27 mm/s"),
    ],
)
def test_sizes_and_speeds_as_an_animator_says_them(metres, size, speed):
    assert size_text(metres) == size
    assert speed_text(metres) == speed


@pytest.mark.parametrize(
    ("speeds", "told"),
    [
        ((0.996, 1.6), ("1.0 m/s", "1.6 m/s")),
        ((1.2, 0.6), ("1.2 m/s", "0.6 m/s")),
        ((0.03, 1.6), ("3 cm/s", "1.6 m/s")),
        ((0.3, 0.6), ("30 cm/s", "60 cm/s")),
    ],
)
def test_speeds_that_are_compared_are_told_in_one_unit(speeds, told):
    assert speed_texts(*speeds) == told
    assert speed_text(0.996) == "1.0 m/s"


def test_what_is_typed_stays_with_its_axis_and_its_unit():
    told = "Set hand.L: x -0.058, y -1.108 to 0.2 (3.6 cm); box 3, axis z is locked."
    expected = "Set hand.L: x_-0.058, y_-1.108 to 0.2 (3.6_cm); box 3, axis z is locked."
    assert tied(told) == expected.replace("_", TIE)


def test_a_sentence_begins_in_upper_case_and_a_rig_as_it_is_spelt():
    assert sentence_start("height is 0.001 m, expected more.").startswith("Height is")
    assert sentence_start("there is no rig 'nope', choose one.").startswith("There is")
    assert sentence_start("porter does not move.") == "porter does not move."
