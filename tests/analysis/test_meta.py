# SPDX-License-Identifier: GPL-3.0-or-later
"""What a clip says about itself: what is read, kept and refused."""

import pytest

from analysis import ClipError, Meta


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{", "not JSON"),
        ("[1]", "JSON list"),
        ('{"cycle": "yes"}', "meta.cycle"),
        ('{"height_m": -1}', "above 0"),
        ('{"height_m": true}', "above 0"),
        ('{"roles": ["head"]}', "meta.roles"),
        ('{"roles": {"head": 3}}', "list of names"),
        ('{"stage": "final"}', "blocking, spline, polish"),
        ('{"props": [{"name": "hook"}]}', "name and joint"),
        ('{"events": [{"frames": [1]}]}', "first, last"),
        ('{"events": [{"frames": [1, 2], "kind": "kiss"}]}', "hit, pull"),
        ('{"events": [{"frames": ["58", 63]}]}', 'meta.events.frames is "58", expected a number'),
        ('{"events": [{"frames": 58}]}', "meta.events.frames is 58, expected two numbers"),
        ('{"events": [{"frames": [1, 2], "direction": ["up", 0, 0]}]}', "events.direction is "),
        (
            '{"events": [{"frames": [1, 2], "Part": "foot.R"}]}',
            'has the key "Part", expected part',
        ),
        ('{"curves": [{"control": "torso"}]}', "no curve"),
        ('{"floor_z": 1e999}', "a number"),
        ('{"supports": [3]}', "list of names"),
        ('{"carried": {"torso": ["head"]}}', "an object of control"),
        ('{"carried": {"torso": {"head": [1]}}}', "two numbers a joint"),
        ('{"carried": {"torso": {"head": [1, "all"]}}}', "a number"),
    ],
)
def test_meta_that_does_not_fit(text, told):
    with pytest.raises(ClipError, match=told) as caught:
        Meta.from_json(text)
    assert "\n" not in str(caught.value)


def test_an_event_may_carry_a_note_of_somebody_else():
    (event,) = Meta.from_json('{"events": [{"frames": [1, 2], "note": "by the crane"}]}').events
    assert event.frames == (1.0, 2.0)


def test_meta_keeps_unknown_keys_and_ignores_nulls():
    meta = Meta.from_json('{"name": null, "later": {"a": 1}}')
    assert meta.name == ""
    assert '"later": {"a": 1}' in meta.to_json()


def test_a_key_that_looks_like_one_that_is_missing_is_known_as_misspelt():
    told = Meta.from_json('{"hight_m": 1.75, "Props": [], "note": "", "unread_events": []}')
    assert told.misspelt() == {"hight_m": "height_m", "Props": "props"}
    assert '"hight_m": 1.75' in told.to_json()
    assert not Meta.from_json('{"height_m": 1.75, "height_cm": 175}').misspelt()


def test_the_names_of_supports_are_read_and_written():
    meta = Meta.from_json('{"supports": ["quay", "crate"]}')
    assert meta.supports == ("quay", "crate")
    assert Meta.from_json(meta.to_json()) == meta
    assert "supports" not in Meta().to_json()


def test_what_follows_a_control_is_read_as_it_is_written():
    text = '{"carried": {"torso": {"head": [1.0, 0.5]}, "tongue": {}}}'
    meta = Meta.from_json(text)
    assert meta.carried["torso"]["head"] == (1.0, 0.5)
    assert meta.carried["tongue"] == {}
    assert Meta.from_json(meta.to_json()) == meta
