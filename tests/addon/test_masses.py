# SPDX-License-Identifier: GPL-3.0-or-later
"""What props weigh: told in the panel, kept on the object, sampled, refused where it is none."""

import bpy
import numpy as np
import pytest
import rigs
from added import Paper, select_objects
from command_line import save
from digest import difference, digest

MASS = "plumbline_mass_kg"


def hammer(rig, name="hammer"):
    """A cube on the left hand, made active."""
    item = rigs.cube(name)
    item.location, item.scale = (0.0, 0.0, 0.0), (0.1, 0.1, 0.8)
    item.parent, item.parent_type, item.parent_bone = rig, "BONE", "hand.L"
    select_objects(item)
    bpy.context.view_layer.objects.active = item
    return item


def drawn(ext):
    paper = Paper()
    paper.enabled = True
    ext.addon.ui.masses.draw_mass(bpy.context, paper)
    return paper


def sampled(ext, rig):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    return clip


def test_the_field_shows_and_sets_what_is_told(ext):
    rig = rigs.biped()
    item = hammer(rig)
    assert drawn(ext).lines == [("hammer Weighs (kg)", "FIELD")]
    assert item.plumbline_mass == 0.0
    assert sampled(ext, rig).meta.props[0].mass_kg is None
    item.plumbline_mass = 8.1
    assert item[MASS] == 8.1
    assert item.plumbline_mass == pytest.approx(8.1)
    assert sampled(ext, rig).meta.props[0].mass_kg == 8.1
    item.plumbline_mass = 0.0
    assert MASS not in item


def test_nothing_but_that_property_is_put_into_the_file(ext):
    item = hammer(rigs.biped())
    before = set(item.keys())
    item.plumbline_mass = 3.0
    assert set(item.keys()) - before == {MASS}
    bpy.context.view_layer.update()
    told = digest()
    drawn(ext)
    sampled(ext, bpy.data.objects["porter"])
    assert difference(told, digest()) == {}


def test_the_centre_of_mass_goes_with_it(ext):
    rig = rigs.biped()
    item = hammer(rig)
    paths = []
    for mass_kg in (0.0, 20.0):
        item.plumbline_mass = mass_kg
        bpy.ops.plumbline.check()
        basis = ext.addon.ui.last_check.last_check().examination.basis
        paths.append(basis.com)
    assert basis.body("prop.1") is not None
    body_kg = 21.7 * basis.height.story_m**2
    middle = np.array([each.path for each in ext.analysis.basis.loads.find_loads(basis)])[0]
    both = (body_kg * paths[0] + 20.0 * middle) / (body_kg + 20.0)
    np.testing.assert_allclose(paths[1], both, atol=1e-6)
    assert np.abs(paths[1] - paths[0]).max() > 0.1
    assert ext.addon.ui.changes.why_old(bpy.context) == ""
    item.plumbline_mass = 5.0
    assert ext.addon.ui.changes.why_old(bpy.context).endswith("check again.")


@pytest.mark.parametrize(
    "wrong", ["8 kg", 0.0, -3.0, float("nan"), float("inf"), 1e7, True, [1.0, 2.0]]
)
def test_what_is_no_mass_is_told_and_left_alone(ext, wrong):
    rig = rigs.biped()
    item = hammer(rig)
    item[MASS] = wrong
    clip = sampled(ext, rig)
    assert clip.meta.props[0].mass_kg is None
    bpy.ops.plumbline.check()
    (told,) = ext.addon.ui.last_check.last_check().examination.shot.notices
    assert told.startswith("Of 'hammer' the property plumbline_mass_kg is ")
    assert told.endswith(
        "expected a number above 0, under 1000000, in kilograms: it counts as without a mass; "
        "correct or delete it."
    )
    assert told in [note.says for note in bpy.context.window_manager.plumbline.skipped]
    assert MASS in item


def test_whole_numbers_are_masses(ext):
    rig = rigs.biped()
    hammer(rig)[MASS] = 8
    assert sampled(ext, rig).meta.props[0].mass_kg == 8.0
    assert "unread_masses" not in sampled(ext, rig).meta.extra


@pytest.mark.parametrize("what", ["nothing", "crate", "rig"])
def test_what_hangs_on_no_bone_has_no_field(ext, what):
    rig, item = rigs.biped(), rigs.cube("crate")
    bpy.context.view_layer.objects.active = {"rig": rig, "crate": item}.get(what)
    assert drawn(ext).lines == []


def test_a_linked_prop_is_told_in_its_own_file(ext, tmp_path):
    hammer(rigs.biped()).plumbline_mass = 8.0
    path = save(tmp_path / "set.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(path), link=True) as (_found, wanted):
        wanted.objects = ["porter", "hammer"]
    for each in wanted.objects:
        bpy.context.scene.collection.objects.link(each)
    bpy.context.view_layer.objects.active = wanted.objects[1]
    assert wanted.objects[1].plumbline_mass == 8.0
    assert drawn(ext).enabled is False


def test_it_explains_itself_and_is_gone_with_the_extension(ext):
    field = bpy.types.Object.bl_rna.properties["plumbline_mass"]
    assert "kilograms" in field.description
    assert not field.is_animatable
    ext.unregister()
    assert not hasattr(bpy.types.Object, "plumbline_mass")
    ext.register()
    assert hasattr(bpy.types.Object, "plumbline_mass")


def test_what_is_picked_up_weighs_from_then_on(ext):
    """It lies on the ground until its constraint to the hand is switched on at frame 20."""
    rig = rigs.biped()
    item = rigs.cube("crate")
    item.location, item.scale = (0.9, 1.5, 0.1), (0.4, 0.4, 0.4)
    hold = item.constraints.new("COPY_TRANSFORMS")
    hold.target, hold.subtarget = rig, "hand.L"
    rigs.key(hold, "influence", [0.0, 0.0, 1.0, 1.0], frames=(1, 19, 20, 40))
    item.plumbline_mass = 12.0
    basis = ext.analysis.basis.build_basis(sampled(ext, rig), ext.analysis.Settings())
    (load,) = ext.analysis.basis.loads.find_loads(basis)
    assert not load.held[:19].any()
    assert load.held[19:].all()
    bpy.ops.plumbline.check()
    session = bpy.context.window_manager.plumbline
    told = "What is held weighs on the figure: 'crate' (12 kg) on frames 20 to 40."
    assert told in [note.says for note in session.style]
