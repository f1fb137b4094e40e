# SPDX-License-Identifier: GPL-3.0-or-later
"""Plain materials of the quay at dawn; the viewport's solid shading shows the same colours."""

import bpy

# name -> red, green, blue, as the viewport shows them
COLOURS: dict[str, tuple[float, float, float]] = {
    "porter_clay": (0.78, 0.70, 0.60),
    "porter_dark": (0.16, 0.20, 0.27),
    "boathook_ash": (0.66, 0.46, 0.25),
    "boathook_iron": (0.22, 0.23, 0.25),
    "quay_stone": (0.42, 0.44, 0.47),
    "quay_joint": (0.36, 0.38, 0.41),
    "quay_edge": (0.55, 0.53, 0.49),
    "water": (0.20, 0.32, 0.40),
    "crate_wood": (0.55, 0.42, 0.28),
    "sky": (0.55, 0.52, 0.54),
    "bollard_iron": (0.18, 0.19, 0.21),
}


def material(name: str) -> bpy.types.Material:
    """The named material of `COLOURS`, made on first use."""
    known = bpy.data.materials.get(name)
    if known is not None:
        return known
    made = bpy.data.materials.new(name)
    made.diffuse_color = (*COLOURS[name], 1.0)
    made.roughness = 0.8
    _colour_nodes(made.node_tree, "BSDF_PRINCIPLED", "Base Color", name)
    return made


def add_sky(scene: bpy.types.Scene) -> None:
    """Give the scene a plain world in the colour of the sky."""
    sky = bpy.data.worlds.new("dawn")
    sky.color = COLOURS["sky"]
    _colour_nodes(sky.node_tree, "BACKGROUND", "Color", "sky")
    scene.world = sky


def _colour_nodes(tree: bpy.types.NodeTree | None, kind: str, socket: str, name: str) -> None:
    """Renderers read nodes where there are any: from Blender 5.0 on there always are."""
    for node in tree.nodes if tree is not None else ():
        if node.type == kind:
            node.inputs[socket].default_value = (*COLOURS[name], 1.0)
