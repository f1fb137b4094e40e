# SPDX-License-Identifier: GPL-3.0-or-later
"""Whole skeletons in the naming habits in use, as trees, and which bone plays which part.

An indented name hangs on the less indented one above it. `{s}` stands for both sides, spelt as
the habit does. Twist bones, poles, fingers, faces and cloth are among them as riggers leave them.
The habits are common practice (no source); the metarigs are those of Blender's bundled Rigify.
"""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Habit:
    """A tree of names, the two spellings of a side, and part -> bone, `{s}` for both sides."""

    name: str
    sides: tuple[str, str]
    tree: str
    parts: dict[str, str]

    def skeleton(self):
        """(names, parents); a line with {s} and all below it are there once for each side."""
        names, parents = [], []
        _grow(_nested(self.tree.strip("\n").splitlines()), -1, "", self.sides, names, parents)
        return names, parents

    def expected(self):
        """Part -> bone, sides spelt out."""
        told = {}
        for part, bone in self.parts.items():
            if "{s}" not in bone and "{s}" not in part:
                told[part] = bone
                continue
            for side, word in zip("LR", self.sides, strict=True):
                told[f"{part}.{side}"] = bone.replace("{s}", word)
        return told


def _nested(lines):
    """[(name, children)] from indented lines."""
    found = []
    for line in lines:
        depth = (len(line) - len(line.lstrip())) // 2
        level = found
        for _ in range(depth):
            level = level[-1][1]
        level.append((line.strip(), []))
    return found


def _grow(nodes, parent, side, sides, names, parents):
    for name, children in nodes:
        for word in sides if "{s}" in name and not side else (side,):
            names.append(name.replace("{s}", word))
            parents.append(parent)
            _grow(children, len(names) - 1, word, sides, names, parents)


_LEFT_UP_LEG = """
{p}Hips
  {p}Spine
    {p}Spine1
      {p}Spine2
        {p}Neck
          {p}Head
            {p}HeadTop_End
            {p}{s}Eye
        {p}{s}Shoulder
          {p}{s}Arm
            {p}{s}ArmRoll
            {p}{s}ForeArm
              {p}{s}ForeArmRoll
              {p}{s}Hand
                {p}{s}HandThumb1
                  {p}{s}HandThumb2
                {p}{s}HandIndex1
  {p}{s}UpLeg
    {p}{s}UpLegRoll
    {p}{s}Leg
      {p}{s}Foot
        {p}{s}ToeBase
          {p}{s}Toe_End
"""
_LEFT_UP_LEG_PARTS = {
    "root": "{p}Hips",
    "pelvis": "{p}Hips",
    "spine.1": "{p}Spine",
    "spine.2": "{p}Spine1",
    "chest": "{p}Spine2",
    "neck": "{p}Neck",
    "head": "{p}Head",
    "shoulder": "{p}{s}Shoulder",
    "upper_arm": "{p}{s}Arm",
    "forearm": "{p}{s}ForeArm",
    "hand": "{p}{s}Hand",
    "thigh": "{p}{s}UpLeg",
    "shin": "{p}{s}Leg",
    "foot": "{p}{s}Foot",
    "toe": "{p}{s}ToeBase",
}


def _left_up_leg(name, prefix):
    parts = {part: bone.replace("{p}", prefix) for part, bone in _LEFT_UP_LEG_PARTS.items()}
    return Habit(name, ("Left", "Right"), _LEFT_UP_LEG.replace("{p}", prefix), parts)


HABITS = (
    _left_up_leg("LeftUpLeg", ""),
    _left_up_leg("a name and a colon before LeftUpLeg", "xyz:"),
    _left_up_leg("a name glued to LeftUpLeg", "somebody"),
    _left_up_leg("two words before LeftUpLeg", "Hero_Base_"),
    Habit(
        "thigh_l with a root bone",
        ("l", "r"),
        """
root
  pelvis
    spine_01
      spine_02
        spine_03
          spine_04
            spine_05
              clavicle_{s}
                upperarm_{s}
                  upperarm_twist_01_{s}
                  upperarm_correctiveRoot_{s}
                  lowerarm_{s}
                    lowerarm_twist_01_{s}
                    hand_{s}
                      index_01_{s}
                      thumb_01_{s}
              neck_01
                neck_02
                  head
                    jaw
    thigh_{s}
      thigh_twist_01_{s}
      calf_{s}
        calf_twist_01_{s}
        calf_knee_{s}
        foot_{s}
          ball_{s}
  ik_foot_root
    ik_foot_{s}
  ik_hand_root
    ik_hand_gun
      ik_hand_{s}
""",
        {
            "mover": "root",
            "root": "pelvis",
            "pelvis": "pelvis",
            "spine.1": "spine_01",
            "spine.2": "spine_02",
            "spine.3": "spine_03",
            "spine.4": "spine_04",
            "chest": "spine_05",
            "neck": "neck_01",
            "head": "head",
            "shoulder": "clavicle_{s}",
            "upper_arm": "upperarm_{s}",
            "forearm": "lowerarm_{s}",
            "hand": "hand_{s}",
            "thigh": "thigh_{s}",
            "shin": "calf_{s}",
            "foot": "foot_{s}",
            "toe": "ball_{s}",
        },
    ),
    Habit(
        "a prefix with a number, which is the body's control, and single letters",
        ("L", "R"),
        """
Bip01
  Bip01 Footsteps
  Bip01 Pelvis
    Bip01 Spine
      Bip01 Spine1
        Bip01 Spine2
          Bip01 Neck
            Bip01 Head
              Bip01 HeadNub
              Bip01 Ponytail1
            Bip01 {s} Clavicle
              Bip01 {s} UpperArm
                Bip01 {s}UpArmTwist
                Bip01 {s} Forearm
                  Bip01 {s} ForeTwist
                  Bip01 {s} Hand
                    Bip01 {s} Finger0
                      Bip01 {s} Finger0Nub
      Bip01 {s} Thigh
        Bip01 {s}ThighTwist
        Bip01 {s} Calf
          Bip01 {s} Foot
            Bip01 {s} Toe0
              Bip01 {s} Toe0Nub
""",
        {
            "root": "Bip01",
            "pelvis": "Bip01 Pelvis",
            "spine.1": "Bip01 Spine",
            "spine.2": "Bip01 Spine1",
            "chest": "Bip01 Spine2",
            "neck": "Bip01 Neck",
            "head": "Bip01 Head",
            "shoulder": "Bip01 {s} Clavicle",
            "upper_arm": "Bip01 {s} UpperArm",
            "forearm": "Bip01 {s} Forearm",
            "hand": "Bip01 {s} Hand",
            "thigh": "Bip01 {s} Thigh",
            "shin": "Bip01 {s} Calf",
            "foot": "Bip01 {s} Foot",
            "toe": "Bip01 {s} Toe0",
        },
    ),
    Habit(
        "joints: lhip, lknee, lankle",
        ("l", "r"),
        """
hip
  abdomen
    chest
      neck
        head
      {s}collar
        {s}shldr
          {s}elbow
            {s}wrist
              {s}fingers
  {s}hip
    {s}knee
      {s}ankle
        {s}toe
""",
        {
            "root": "hip",
            "pelvis": "hip",
            "spine.1": "abdomen",
            "chest": "chest",
            "neck": "neck",
            "head": "head",
            "shoulder": "{s}collar",
            "upper_arm": "{s}shldr",
            "forearm": "{s}elbow",
            "hand": "{s}wrist",
            "thigh": "{s}hip",
            "shin": "{s}knee",
            "foot": "{s}ankle",
            "toe": "{s}toe",
        },
    ),
    Habit(
        "a hip joint above the thigh, and numbered chests",
        ("L", "R"),
        """
Hips
  {s}HipJoint
    {s}Thigh
      {s}Shin
        {s}Foot
          {s}ToeBase
  LowerBack
    Spine
      Chest
        Chest2
          Chest3
            Neck
              Neck1
                Head
            {s}Collar
              {s}Shoulder
                {s}Elbow
                  {s}Wrist
                    {s}Thumb
                    {s}FingerBase
""",
        {
            "root": "Hips",
            "pelvis": "Hips",
            "spine.1": "LowerBack",
            "spine.2": "Spine",
            "spine.3": "Chest",
            "spine.4": "Chest2",
            "chest": "Chest3",
            "neck": "Neck",
            "head": "Head",
            "shoulder": "{s}Collar",
            "upper_arm": "{s}Shoulder",
            "forearm": "{s}Elbow",
            "hand": "{s}Wrist",
            "thigh": "{s}Thigh",
            "shin": "{s}Shin",
            "foot": "{s}Foot",
            "toe": "{s}ToeBase",
        },
    ),
    Habit(
        "bend and twist halves, hips above a pelvis",
        ("l", "r"),
        """
hip
  pelvis
    {s}ThighBend
      {s}ThighTwist
        {s}Shin
          {s}Foot
            {s}Metatarsals
              {s}Toe
                {s}BigToe
  abdomenLower
    abdomenUpper
      chestLower
        chestUpper
          {s}Collar
            {s}ShldrBend
              {s}ShldrTwist
                {s}ForearmBend
                  {s}ForearmTwist
                    {s}Hand
          {s}Pectoral
          neckLower
            neckUpper
              head
""",
        {
            "root": "hip",
            "pelvis": "pelvis",
            "spine.1": "abdomenLower",
            "spine.2": "abdomenUpper",
            "spine.3": "chestLower",
            "chest": "chestUpper",
            "neck": "neckLower",
            "head": "head",
            "shoulder": "{s}Collar",
            "upper_arm": "{s}ShldrBend",
            "forearm": "{s}ForearmBend",
            "hand": "{s}Hand",
            "thigh": "{s}ThighBend",
            "shin": "{s}Shin",
            "foot": "{s}Foot",
            "toe": "{s}Toe",
        },
    ),
    Habit(
        "Rigify's metarig of a human",
        ("L", "R"),
        """
spine
  spine.001
    spine.002
      spine.003
        spine.004
          spine.005
            spine.006
              face
                nose
                jaw
        shoulder.{s}
          upper_arm.{s}
            forearm.{s}
              hand.{s}
                palm.01.{s}
                  f_index.01.{s}
        breast.{s}
  pelvis.{s}
  thigh.{s}
    shin.{s}
      foot.{s}
        toe.{s}
        heel.02.{s}
""",
        {
            "root": "spine",
            "pelvis": "spine",
            "spine.1": "spine.001",
            "spine.2": "spine.002",
            "chest": "spine.003",
            "neck": "spine.004",
            "head": "spine.006",
            "shoulder": "shoulder.{s}",
            "upper_arm": "upper_arm.{s}",
            "forearm": "forearm.{s}",
            "hand": "hand.{s}",
            "thigh": "thigh.{s}",
            "shin": "shin.{s}",
            "foot": "foot.{s}",
            "toe": "toe.{s}",
        },
    ),
    Habit(
        "legs and arms in two numbered halves, the side in the middle",
        ("lf", "rt"),
        """
global_grp
  cog_jnt
    pelvis_jnt
      leg_{s}_01_jnt
        leg_{s}_02_jnt
          ankle_{s}_jnt
            ball_{s}_jnt
      spine_01_jnt
        spine_02_jnt
          chest_jnt
            neck_jnt
              head_jnt
            clavicle_{s}_jnt
              arm_{s}_01_jnt
                arm_{s}_02_jnt
                  wrist_{s}_jnt
  knee_{s}_pole
""",
        {
            "root": "cog_jnt",
            "pelvis": "pelvis_jnt",
            "spine.1": "spine_01_jnt",
            "spine.2": "spine_02_jnt",
            "chest": "chest_jnt",
            "neck": "neck_jnt",
            "head": "head_jnt",
            "shoulder": "clavicle_{s}_jnt",
            "upper_arm": "arm_{s}_01_jnt",
            "forearm": "arm_{s}_02_jnt",
            "hand": "wrist_{s}_jnt",
            "thigh": "leg_{s}_01_jnt",
            "shin": "leg_{s}_02_jnt",
            "foot": "ankle_{s}_jnt",
            "toe": "ball_{s}_jnt",
        },
    ),
    Habit(
        "Left leg, Left knee; an upper chest; a torso below the hips",
        ("Left", "Right"),
        """
Reference
  Hips
    {s} leg
      {s} knee
        {s} ankle
          {s} toe
    Torso
      Chest
        Upper Chest
          Neck
            Head
              Hair_{s}
          {s} shoulder
            {s} arm
              {s} elbow
                {s} wrist
                  Thumb_{s}
    Skirt_front_{s}
""",
        {
            "mover": "Reference",
            "root": "Hips",
            "pelvis": "Hips",
            "spine.1": "Torso",
            "spine.2": "Chest",
            "chest": "Upper Chest",
            "neck": "Neck",
            "head": "Head",
            "shoulder": "{s} shoulder",
            "upper_arm": "{s} arm",
            "forearm": "{s} elbow",
            "hand": "{s} wrist",
            "thigh": "{s} leg",
            "shin": "{s} knee",
            "foot": "{s} ankle",
            "toe": "{s} toe",
        },
    ),
)

# Parent and rest position (metres, Z up) of bones of Rigify's metarig of a cat, whose forelegs
# bear the names of arms; the right side mirrors the left.
CAT = {
    "spine": (None, (0.0, 0.15, 0.25)),
    "tail.001": ("spine", (0.0, 0.15, 0.25)),
    "tail.002": ("tail.001", (0.0, 0.246, 0.232)),
    "tail.003": ("tail.002", (0.0, 0.351, 0.228)),
    "tail.004": ("tail.003", (0.0, 0.454, 0.232)),
    "spine.001": ("spine", (0.0, 0.077, 0.227)),
    "spine.002": ("spine.001", (0.0, 0.018, 0.224)),
    "spine.003": ("spine.002", (0.0, -0.051, 0.227)),
    "spine.004": ("spine.003", (0.0, -0.157, 0.235)),
    "spine.005": ("spine.004", (0.0, -0.174, 0.24)),
    "spine.006": ("spine.005", (0.0, -0.186, 0.244)),
    "shoulder.L": ("spine.003", (0.011, -0.097, 0.264)),
    "upper_arm.L": ("shoulder.L", (0.031, -0.129, 0.202)),
    "forearm.L": ("upper_arm.L", (0.031, -0.1, 0.123)),
    "hand.L": ("forearm.L", (0.031, -0.118, 0.025)),
    "pelvis.L": ("spine", (0.0, 0.15, 0.25)),
    "thigh.L": ("pelvis.L", (0.029, 0.115, 0.246)),
    "shin.L": ("thigh.L", (0.029, 0.107, 0.168)),
    "foot.L": ("shin.L", (0.029, 0.168, 0.107)),
    "r_toe.L": ("foot.L", (0.029, 0.153, 0.017)),
}


def cat(turn=None):
    """(names, parents, rest) of the cat; `turn` (3,3) turns it."""
    bones = dict(CAT)
    for name, (parent, place) in CAT.items():
        if name.endswith(".L"):
            parent = parent.removesuffix(".L") + (".R" if parent.endswith(".L") else "")
            bones[name[:-1] + "R"] = (parent, (-place[0], *place[1:]))
    names = list(bones)
    rest = np.array([place for _parent, place in bones.values()])
    parents = [-1 if parent is None else names.index(parent) for parent, _place in bones.values()]
    return names, parents, rest if turn is None else rest @ np.asarray(turn).T
