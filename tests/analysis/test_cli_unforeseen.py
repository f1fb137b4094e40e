# SPDX-License-Identifier: GPL-3.0-or-later
"""What nobody foresaw in one input, or what cannot be asked of it, does not cost the others."""

import pytest
from command_line import one_sentence, run
from figures import figure, spike

from analysis import Settings, check_clip, save_clip
from analysis.cli.answer import Answer
from analysis.cli.options import build_parser
from analysis.cli.run import check_inputs


def answer(name, settings):
    if name == "odd.npz":
        raise ValueError("cannot convert float NaN to integer")
    return Answer(judged=((check_clip(figure(), Settings(cycle="no"), file=name), settings),))


@pytest.mark.parametrize(
    ("names", "code"),
    [(("odd.npz", "fine.npz"), 3), (("fine.npz", "odd.npz"), 3), (("odd.npz",), 2)],
)
def test_an_error_of_ours_is_told_and_the_rest_is_checked(names, code, capsys):
    options = build_parser("plumbline", blender=False).parse_args(["check", *names])
    assert check_inputs("plumbline", options, names, answer) == code
    said = capsys.readouterr()
    told = said.out if len(names) > 1 else said.err
    assert "odd.npz: Plumbline failed on it (ValueError: cannot convert float NaN" in told
    assert "test_cli_unforeseen.py, line " in told
    assert "Traceback" not in said.err
    assert ("1 shot checked" in said.out) == (len(names) > 1)


def test_the_picture_of_a_clip_without_a_camera_is_an_input_that_cannot_be_checked(tmp_path):
    path = tmp_path / "blind.npz"
    save_clip(path, figure())
    result = run("check", path, "--space", "camera")
    assert result.returncode == 2
    assert one_sentence(result).endswith(
        "blind.npz, figure: the clip has no camera: choose one for the scene, or ask in the world."
    )


def test_answers_by_a_learned_style_say_so(tmp_path):
    clip, style = tmp_path / "walk.npz", tmp_path / "style.json"
    save_clip(clip, figure(shift=spike(48, 24, 0.04)[:, None] * [0.0, 0.0, 1.0]))
    learned = run("learn", clip, "--out", style, "--checks", "pop", "--cycle", "no")
    assert learned.returncode == 0
    told = run("check", clip, "--like", style, "--checks", "pop", "--cycle", "no")
    assert told.returncode == 0
    first = f"Limits as {style} has them, times the usual: pop 1."
    assert " ".join(told.stdout.split()).startswith(first)
    assert "Limits as" not in run("check", clip, "--checks", "pop", "--cycle", "no").stdout
