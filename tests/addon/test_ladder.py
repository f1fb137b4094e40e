# SPDX-License-Identifier: GPL-3.0-or-later
"""A ladder as what bears weight: rungs apart, or one mesh of loose parts, and who climbs it."""

import bpy
import numpy as np
import pytest
import rigs
from added import select_objects
from climber import APART_M, RUNG_M, RUNGS, bar, climber, rails, rungs
from digest import difference, digest
from mathutils import Matrix
from rigs import cube

BEARS = "plumbline_bears_weight"


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def declared(*items):
    select_objects(*items)
    assert bpy.ops.plumbline.bear_weight() == {"FINISHED"}
    return items


def joined(items, name="ladder"):
    """One object of several meshes."""
    for item in items:
        item.select_set(True)
    with bpy.context.temp_override(
        object=items[0], active_object=items[0], selected_editable_objects=items
    ):
        bpy.ops.object.join()
    items[0].name = name
    return items[0]


def instanced(items):
    """A collection instance that shows them, as a linked set piece does."""
    stock = bpy.data.collections.new("stock")
    for item in items:
        stock.objects.link(item)
        bpy.context.scene.collection.objects.unlink(item)
    shown = bpy.data.objects.new("ladder", None)
    shown.instance_type, shown.instance_collection = "COLLECTION", stock
    bpy.context.scene.collection.objects.link(shown)
    return shown


def ladder(how):
    if how == "rungs alone":
        return declared(*rungs())
    if how == "rungs":
        return declared(*rungs(), *rails())
    if how == "joined":
        return declared(joined([*rungs(), *rails()]))
    if how == "one mesh instanced":
        return declared(instanced([joined([*rungs(), *rails()], "in stock")]))
    return declared(instanced([*rungs(), *rails()]))


def boxes(clip):
    """(S,2,3) low and high corner of each support on the first frame, by height."""
    half = 0.5 * np.abs(clip.supports[:, 0, :3, :3]).sum(axis=2)
    middle = clip.supports[:, 0, :3, 3]
    found = np.stack((middle - half, middle + half), axis=1)
    return found[np.lexsort((found[:, 0, 0], found[:, 1, 2]))]


def checked(ext, rig):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    return clip, ext.analysis.check_clip(clip, ext.analysis.Settings(cycle="no"))


@pytest.mark.parametrize(
    "how", ["rungs alone", "rungs", "joined", "instanced", "one mesh instanced"]
)
def test_each_rung_bears(ext, how):
    rig = climber()
    items = ladder(how)
    clip, shot = checked(ext, rig)
    assert not shot.findings
    assert not shot.style
    told, count = boxes(clip), len(RUNGS)
    assert len(told) == count + (0 if how == "rungs alone" else 2)
    np.testing.assert_allclose(told[:count, 1, 2], [APART_M * n for n in RUNGS], atol=1e-5)
    sizes = told[:count, 1] - told[:count, 0]
    np.testing.assert_allclose(sizes, [[0.5, RUNG_M, RUNG_M]] * count, atol=1e-5)
    assert set(clip.meta.supports) == {item.name for item in items}
    assert "7 plants: no foot slips along what it stands on; hands rest 8 times" in " ".join(
        shot.good
    )
    skipped = dict(shot.skipped)
    assert skipped["gravity"] == "nothing leaves the ground in this range"
    assert "edges and rungs" in skipped["sink"]


@pytest.mark.parametrize("how", ["rungs", "joined", "one mesh instanced"])
@pytest.mark.parametrize(
    ("limb", "says"),
    [
        ("foot_ik.L", "The left foot slips 4.0 cm to the left while it stands on "),
        ("hand_ik.R", "The right hand slips 4.0 cm to the left while it rests on "),
    ],
)
def test_what_slips_along_its_rung_is_found(ext, how, limb, says):
    rig = climber(slip_m=0.04, slips=limb)
    ladder(how)
    _clip, shot = checked(ext, rig)
    (finding,) = shot.findings
    assert (finding.check, finding.severity) == ("slide", "major")
    assert finding.says.startswith(says)
    assert ("rung" if how == "rungs" else "ladder") in finding.says


def test_without_a_declaration_it_hangs_in_the_air(ext):
    rig = climber()
    ladder("joined")[0][BEARS] = False
    _clip, shot = checked(ext, rig)
    assert "yet it does not fall: declare what bears it" in dict(shot.skipped)["gravity"]


def test_a_ladder_that_moves_and_is_hidden(sampling):
    """Its parts go along, and measuring changes nothing."""
    rig = climber()
    (item,) = ladder("joined")
    rigs.key(item, "location", [(0, -0.4, 0.3), (0, -0.4, 0.5), (1, -0.4, 0.3)])
    (shown,) = sampling.sample(bpy.context.scene, [rig])
    item.modifiers.new("thick", "DISPLACE").strength = 0.0
    item.hide_viewport = True
    bpy.context.view_layer.update()
    before = digest()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
    assert len(clip.supports) == len(RUNGS) + 2
    np.testing.assert_allclose(clip.supports, shown.supports, atol=1e-6)
    places = clip.supports[..., :3, 3]
    way = places[:, [19, 39]] - places[:, :1]
    keyed = np.array([[0.0, 0.0, 0.2], [1.0, 0.0, 0.0]])
    np.testing.assert_allclose(way, np.broadcast_to(keyed, way.shape), atol=1e-6)


def test_planks_and_rows_are_one_box(sampling):
    """What fills the box around it is no set of parts."""
    rig = rigs.biped()
    planks = [bar(f"plank {n}", (1.0, 0.19, 0.04), (0.0, 0.2 * n, 0.5)) for n in range(8)]
    declared(joined(planks, "planks"))
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_allclose(boxes(clip), [[[-0.5, -0.095, 0.48], [0.5, 1.495, 0.52]]], atol=1e-5)


def test_a_table_s_top_and_legs_are_its_parts(sampling):
    rig = rigs.biped()
    top = bar("top", (1.0, 0.6, 0.04), (0.0, 0.0, 0.7))
    legs = [
        bar(f"leg {x} {y}", (0.05, 0.05, 0.68), (x, y, 0.34)) for x in (-0.4, 0.4) for y in (0.2,)
    ]
    declared(joined([top, *legs], "table"))
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.supports == ("table",) * 3
    np.testing.assert_allclose(boxes(clip)[-1], [[-0.5, -0.3, 0.68], [0.5, 0.3, 0.72]], atol=1e-5)


@pytest.mark.parametrize("what", ["many", "flat", "loose corner", "nothing"])
def test_what_has_too_many_or_flat_parts_is_one_box(sampling, what):
    rig = rigs.biped()
    if what == "many":
        made = joined([bar(f"step {n}", (0.1, 0.1, 0.02), (0, 0, 0.1 * n)) for n in range(40)])
    else:
        made = cube("thing")
        corners = [tuple(vertex.co) for vertex in made.data.vertices]
        faces = [tuple(face.vertices) for face in made.data.polygons]
        if what == "flat":  # a second part without thickness
            corners += [(2.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 1.0, 0.0)]
            faces.append((8, 9, 10))
        elif what == "loose corner":  # on no edge: nothing to stand on
            corners.append((5.0, 0.0, 0.0))
        else:
            corners, faces = [(0.0, 0.0, 0.0)], []
        made.data.clear_geometry()
        made.data.from_pydata(corners, [], faces)
    declared(made)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert len(clip.supports) == 1
    width = {"many": 0.1, "flat": 3.25, "loose corner": 0.5, "nothing": 0.0}[what]
    assert np.ptp(boxes(clip)[0], axis=0)[0] == pytest.approx(width, abs=1e-5)


@pytest.mark.parametrize("axis", ["X", "Z"])
@pytest.mark.parametrize("degrees", [17.3, 60.0])
def test_a_ladder_that_was_turned_in_its_mesh(sampling, axis, degrees):
    """As where its rotation was applied: each rung and rail keeps its size and its tilt."""
    rig = rigs.biped()
    made = joined([*rungs(), *rails()])
    (item,) = declared(made)
    turn = Matrix.Rotation(np.radians(degrees), 4, axis)
    item.data.transform(turn)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    sizes = np.sort(np.linalg.norm(clip.supports[:, 0, :3, :3], axis=1), axis=1)
    rung, rail = [RUNG_M, RUNG_M, 0.5], [0.04, 0.06, 3.0]
    kinds = sizes[np.argsort(sizes[:, 2], kind="stable")]
    np.testing.assert_allclose(kinds, [rung] * len(RUNGS) + [rail] * 2, atol=2e-3)
    back = np.array(turn.inverted()) @ np.linalg.solve(
        np.array(item.matrix_world), clip.supports[:, 0]
    )
    around = np.abs(back[:, :3, :3]).sum(axis=2)
    assert np.sort(around.max(axis=1))[-1] == pytest.approx(3.0, abs=0.01)
    assert np.sort(around, axis=1)[:, 0].max() < 0.05


def test_an_instance_of_one_mesh_is_measured_as_that_mesh(sampling):
    """Turned, scaled and moved as it may be, with the mesh placed inside it as it may be."""
    rig = rigs.biped()
    (item,) = ladder("joined")
    item.location, item.rotation_euler = (0.2, 0.1, 0.4), (0.1, 0.2, 0.3)
    bpy.context.view_layer.update()
    (alone,) = sampling.sample(bpy.context.scene, [rig])
    item[BEARS] = False
    shown = declared(instanced([item]))[0]
    shown.location, shown.rotation_euler, shown.scale = (1, 2, 3), (0, 0, 1), (2, 2, 2)
    bpy.context.view_layer.update()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert len(clip.supports) == len(alone.supports) > len(RUNGS)
    moved = np.array(shown.matrix_world) @ alone.supports[:, 0]
    expected = moved[np.argsort(moved[:, 2, 3])]
    found = clip.supports[np.argsort(clip.supports[:, 0, 2, 3]), 0]
    np.testing.assert_allclose(found[:, :3, 3], expected[:, :3, 3], atol=2e-2)
