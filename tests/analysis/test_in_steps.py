# SPDX-License-Identifier: GPL-3.0-or-later
"""Work in steps: what pauses tell, and that leaving at one leaves nothing open."""

import pytest

from analysis import Settings
from analysis.checks import REGISTRY
from analysis.in_steps import Progress, at_once, saying, within
from analysis.pipeline import examination_in_steps, examine
from tests.analysis.arcs_keyed import carried
from tests.analysis.test_off_arc import circle, off


def pauses(steps):
    told = []
    while True:
        try:
            told.append(next(steps))
        except StopIteration as end:
            return told, end.value


def test_pauses_name_every_check_and_shares_rise():
    clip = carried(off(circle(), (0, 0, 1), 0.06))
    told, examination = pauses(examination_in_steps(clip, Settings()))
    shares = [each.share for each in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, pytest.approx(0.9, abs=0.09))
    names = {check.info.name.replace("_", " ") for check in REGISTRY}
    assert names <= {each.does.removeprefix("Judging: ") for each in told}
    assert len(examination.shot.findings) == 1
    assert repr(examination.shot) == repr(examine(clip).shot)


def test_a_long_check_pauses_inside():
    clip = carried(off(circle(), (0, 0, 1), 0.06))
    told, _examination = pauses(examination_in_steps(clip, Settings(checks=("off_arc",))))
    assert sum(each.does == "Judging: off arc" for each in told) > 2


@pytest.mark.parametrize("wrap", [lambda s: within(s, 0.5, 1.0), lambda s: saying(s, "word")])
def test_what_is_left_at_a_pause_is_closed_at_once(wrap):
    open_now = []

    def work():
        open_now.append("a temporary thing")
        try:
            yield Progress(0.5, "half")
            return "done"
        finally:
            open_now.clear()

    assert at_once(wrap(work())) == "done"
    inner = work()
    steps = wrap(inner)  # the test holds `inner` as well: only closing it ends it
    told = next(steps)
    assert told in ("word", Progress(0.75, "half"))
    assert open_now
    steps.close()
    assert not open_now
