# SPDX-License-Identifier: GPL-3.0-or-later
"""Strips in layers: what each plays, and how much of it arrives, measured by nudging its keys."""

import bpy
import numpy as np
import pytest
import rigs

from analysis import keys

FRAMES = range(-5, 90)


@pytest.fixture
def curves_of(ext):
    return ext.addon.sampling.read_curves


class Layers:
    """An empty with actions of its X in strips; each action has a line from 1 to 11."""

    def __init__(self):
        self.item = bpy.data.objects.new("mover", None)
        bpy.context.scene.collection.objects.link(self.item)
        self.data = self.item.animation_data_create()

    def action(self, values=(0.0, 10.0)):
        self.item.location.x = values[0]
        self.data.action = None
        for frame, value in zip((1, 11), values, strict=True):
            self.item.location.x = value
            self.item.keyframe_insert("location", index=0, frame=frame)
        return self.data.action

    def strip(self, start, track=None, **told):
        action, slot = self.action(), getattr(self.data, "action_slot", None)
        self.data.action = None
        track = self.data.nla_tracks.new() if track is None else track
        strip = track.strips.new(f"strip {start}", start, action)
        if slot is not None:
            strip.action_slot = slot
        for name, value in told.items():
            setattr(strip, name, value)
        return strip

    def play(self):
        """X on all frames."""
        found = []
        for frame in FRAMES:
            bpy.context.scene.frame_set(frame)
            graph = bpy.context.evaluated_depsgraph_get()
            found.append(self.item.evaluated_get(graph).location.x)
        return np.array(found)


def key_influence(strip, pairs):
    strip.use_animated_influence = True
    curve = strip.fcurves.find("influence")
    curve.keyframe_points.clear()
    for frame, value in pairs:
        curve.keyframe_points.insert(frame, value)
    curve.update()


def check_weights(layers, curves_of):
    """Raise all keys of one action after another: the channel gains what the weights tell."""
    before, curves = layers.play(), curves_of(layers.item)
    gained = {}
    for curve in curves:
        action = bpy.data.actions[curve.action]
        for fcurve in fcurves_in(action):
            for key in fcurve.keyframe_points:
                key.co_ui[1] += 1.0
            fcurve.update()
        gained[curve.strip] = layers.play() - before
        for fcurve in fcurves_in(action):
            for key in fcurve.keyframe_points:
                key.co_ui[1] -= 1.0
            fcurve.update()
        expected = keys.weights_at(curve, FRAMES)
        np.testing.assert_allclose(gained[curve.strip], expected, atol=1e-4, err_msg=curve.strip)
    return {curve.strip: curve for curve in curves}, before


def fcurves_in(action):
    if hasattr(action, "fcurves"):
        return list(action.fcurves)
    return [c for bag in action.layers[0].strips[0].channelbags for c in bag.fcurves]


def test_a_strip_alone_plays_what_its_curve_tells_repeats_and_reverse(curves_of):
    for told in ({"repeat": 2.5}, {"scale": 1.7, "repeat": 3.0}, {"use_reverse": True}):
        layers = Layers()
        layers.strip(21, **told)
        (curve,) = curves_of(layers.item)
        np.testing.assert_allclose(keys.values_at(curve, FRAMES), layers.play(), atol=1e-4)
        assert (curve.rounds is None) == ("repeat" not in told)


def test_what_replaces_above_hides_what_is_below_and_holds(curves_of):
    layers = Layers()
    layers.strip(1)
    layers.strip(31, extrapolation="NOTHING")
    curves, _played = check_weights(layers, curves_of)
    low = keys.weights_at(curves["strip 1"], FRAMES)
    assert low[FRAMES.index(35)] == 0.0
    assert low[FRAMES.index(60)] == 1.0
    upper = Layers()
    upper.strip(1)
    upper.strip(31, extrapolation="HOLD_FORWARD")
    curves, _played = check_weights(upper, curves_of)
    assert curves["strip 1"].extends == "HOLD"
    assert keys.weights_at(curves["strip 1"], [60.0])[0] == 0.0


def test_strips_of_one_track_hold_until_the_next(curves_of):
    layers = Layers()
    first = layers.strip(11)
    track = layers.data.nla_tracks[0]
    layers.strip(41, track, extrapolation="NOTHING")
    assert first.extrapolation == "HOLD"
    check_weights(layers, curves_of)


def test_added_and_keyed_influence_and_blending_in(curves_of):
    layers = Layers()
    layers.strip(1)
    added = layers.strip(21, blend_type="ADD", repeat=2.0)
    key_influence(added, [(21, 0.0), (31, 1.0), (41, 0.25)])
    layers.strip(51, blend_type="SUBTRACT", blend_in=4.0, blend_out=3.0)
    upper = layers.strip(61, extrapolation="NOTHING")
    key_influence(upper, [(61, 0.5)])
    curves, _played = check_weights(layers, curves_of)
    assert curves["strip 21"].blend == "ADD"
    assert curves["strip 21"].influence[0][1] == 0.0
    assert curves["strip 1"].influence == ()


def test_the_active_action_lies_above_and_counts_in_part(curves_of):
    layers = Layers()
    layers.strip(1)
    layers.action((3.0, 5.0))
    layers.data.action_influence = 0.75
    curves, _played = check_weights(layers, curves_of)
    assert set(curves) == {None, "strip 1"}
    assert keys.weights_at(curves["strip 1"], [5.0])[0] == pytest.approx(0.25)
    layers.data.action_extrapolation = "NOTHING"
    check_weights(layers, curves_of)


@pytest.mark.parametrize("turned", [False, True])
def test_children_of_a_meta_strip_are_read(curves_of, turned):
    layers = Layers()
    first = layers.strip(11, scale=1.5)
    layers.strip(31, layers.data.nla_tracks[0])
    for strip in layers.data.nla_tracks[0].strips:
        strip.select = True
    into_meta(layers.item)
    meta = layers.data.nla_tracks[0].strips[0]
    assert meta.type == "META"
    meta.frame_start_ui += 4
    meta.use_reverse = turned
    curves, played = check_weights(layers, curves_of)
    assert set(curves) == {"strip 11", "strip 31"}
    for curve in curves.values():
        heard = keys.weights_at(curve, FRAMES) > 0.5
        assert heard.any()
        np.testing.assert_allclose(keys.values_at(curve, FRAMES)[heard], played[heard], atol=1e-3)
    meta.mute = True
    assert curves_of(layers.item) == ()
    assert first.name == "strip 11"


def into_meta(item):
    window = bpy.context.window_manager.windows[0]
    area = window.screen.areas[0]
    kind, area.type = area.type, "NLA_EDITOR"
    region = next(each for each in area.regions if each.type == "WINDOW")
    bpy.context.view_layer.objects.active = item
    item.select_set(True)
    with bpy.context.temp_override(window=window, screen=window.screen, area=area, region=region):
        assert bpy.ops.nla.meta_add() == {"FINISHED"}
    area.type = kind


def test_strips_in_a_time_of_their_own_are_told(ext):
    rig = rigs.biped()
    strip = rigs.push_to_strip(rig)
    rigs.key(rig.pose.bones["neck"], "location", [(0, 0, 0), (1, 0, 0), (2, 0, 0)])
    strip.use_animated_time = True
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    (told,) = clip.meta.extra["unread_strips"]
    assert told.startswith(f"The strip {strip.name!r} of 'porter' has a keyed time")
    assert told in ext.analysis.check_clip(clip).notices
    assert {curve.control for curve in clip.meta.curves} == {"neck"}


def test_a_keyed_influence_is_a_curve_of_its_own(ext):
    rig = rigs.biped()
    strip = rigs.push_to_strip(rig)
    key_influence(strip, [(1, 0.2), (30, 1.0)])
    rigs.key(rig.pose.bones["neck"], "location", [(0, 0, 0), (1, 0, 0), (2, 0, 0)])
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    (curve,) = [c for c in clip.meta.curves if c.owner]
    assert (curve.control, curve.channel) == (f"{strip.name} (strip)", "influence")
    assert (curve.frames, curve.values) == ((1.0, 30.0), pytest.approx((0.2, 1.0)))
    assert {"hips", "head", "foot.L"} <= set(curve.drives)
    assert not [name for name in (*clip.channels, *clip.meta.controls) if "strip" in name]


def test_curve_modifiers_are_named_and_unlimited_cycles_are_told(curves_of):
    layers = Layers()
    layers.action()
    (fcurve,) = rigs.fcurves(layers.item)
    cycles = fcurve.modifiers.new("CYCLES")
    cycles.mode_before, cycles.cycles_after = "MIRROR", 2
    fcurve.modifiers.new("NOISE")
    fcurve.modifiers.new("LIMITS").mute = True
    (curve,) = curves_of(layers.item)
    assert curve.cycles == ("MIRROR", 0, "REPEAT", 2)
    assert curve.modifiers == ("NOISE",)
    cycles.use_restricted_range = True
    (curve,) = curves_of(layers.item)
    assert curve.cycles is None
    assert curve.modifiers == ("CYCLES", "NOISE")


def test_of_an_action_with_two_slots_each_object_reads_its_own(curves_of):
    first, second = Layers(), Layers()
    action = first.action()
    if not hasattr(first.data, "action_slot"):
        pytest.skip("actions have no slots in this version")
    slot = first.data.action_slot
    second.data.action = action
    second.data.action_slot = action.slots.new("OBJECT", "second")
    second.item.keyframe_insert("location", index=1, frame=5)
    assert first.data.action_slot == slot
    assert [curve.channel for curve in curves_of(first.item)] == ["location.x"]
    assert [curve.channel for curve in curves_of(second.item)] == ["location.y"]
    assert {curve.action for layers in (first, second) for curve in curves_of(layers.item)} == {
        action.name
    }
