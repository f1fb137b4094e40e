# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs MuJoCo: a scene's keyed poses and forces in, the figure's motion out."""

from dataclasses import dataclass, field

import mujoco
import numpy as np
from numpy.typing import NDArray

from .model import World, model_text
from .muscles import DAMPING_S, LEAST_DAMPING, STRENGTH, Key, Muscles
from .segments import HINGES, NAMES
from .stored import RATE

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

Row = tuple[Floats, Floats, tuple[bool, bool], Floats]
_STATE = mujoco.mjtState.mjSTATE_INTEGRATION


@dataclass(frozen=True)
class Force:
    """A steady force (N, world) at the centre of a segment's mass, from a record on (s: lasts)."""

    record: int
    lasts_s: float
    segment: str
    newtons: tuple[float, float, float]

    @property
    def seconds(self) -> tuple[float, float]:
        """When it starts and ends."""
        return self.record / RATE, self.record / RATE + self.lasts_s

    def share(self, time_s: float, step_s: float) -> float:
        """The share of a step from a time on in which it acts."""
        first, last = self.seconds
        acts = min(last, time_s + step_s) - max(first, time_s)
        return max(acts, 0.0) / step_s


@dataclass(frozen=True)
class Scene:
    """A figure, how it starts, what its muscles do, and what pushes it.

    angles     by hinge at the start, degrees; lean: the whole figure's turn about (x, y, z), deg
    spin       rad/s of the whole figure about its pivot, the world's axes; speed: m/s of all of it
    pivot      (x, y, z) at rest about which it leans and turns, metres at size 1
    flat       whether ankles let the feet stand flat whatever the figure's lean
    """

    name: str
    world: World
    keys: tuple[Key, ...]
    seconds: float
    angles: dict[str, float] = field(default_factory=dict)
    lean: tuple[float, float, float] = (0.0, 0.0, 0.0)
    spin: tuple[float, float, float] = (0.0, 0.0, 0.0)
    speed: tuple[float, float, float] = (0.0, 0.0, 0.0)
    pivot: tuple[float, float, float] = (0.0, 0.01, 0.075)
    lift: float = 0.0
    flat: bool = True
    forces: tuple[Force, ...] = ()


@dataclass(frozen=True, eq=False)
class Take:
    """What was simulated, RATE times a second from the first record on.

    pose (N,7+H): the first joint's place and turn, then every hinge's angle in radians
    com (N,3): the true centre of mass; feet (N,), others (N,): whether feet, or anything else,
    touched since the record before; states: the simulation's own, to go on from; mass_kg;
    first: number of the first record
    """

    pose: Floats
    com: Floats
    feet: Bools
    others: Bools
    states: tuple[Floats, ...]
    mass_kg: float
    first: int = 0


class Engine:
    """One world, ready to run scenes in it."""

    def __init__(self, world: World) -> None:
        self.model = mujoco.MjModel.from_xml_string(model_text(world))
        self.data = mujoco.MjData(self.model)
        self.world = world
        self.mass_kg = float(self.model.body_mass.sum())
        self._strength = STRENGTH * world.size**4 * world.build
        self._tone: Floats | None = None  # what the muscles are set to
        self._state_size = mujoco.mj_stateSize(self.model, _STATE)
        foot = [name.startswith("foot") for name in ("world", *NAMES)]
        self._foot = [foot[body] for body in self.model.geom_bodyid]

    def run(self, scene: Scene, *, after: Take | None = None, record: int = 0) -> Take:
        """The scene from its start, or from a record of an earlier take of it on."""
        self._start(scene)
        if after is not None:
            mujoco.mj_setState(self.model, self.data, after.states[record], _STATE)
        count = round(scene.seconds * RATE) + 1 - record
        touch = self._touching()
        if after is not None:
            touch = bool(after.feet[record]), bool(after.others[record])
        muscles, rows = Muscles(scene.keys), [self._record(touch)]
        for n in range(record, record + count - 1):
            self._pull(muscles, n / RATE)
            rows.append(self._record(self._advance(scene, n)))
        pose, com, touch, states = (list(column) for column in zip(*rows, strict=True))
        touching = np.array(touch)
        return Take(
            pose=np.array(pose),
            com=np.array(com),
            feet=touching[:, 0],
            others=touching[:, 1],
            states=tuple(states),
            mass_kg=self.mass_kg,
            first=record,
        )

    def centre(self, scene: Scene) -> Floats:
        """(3,) the centre of mass at the scene's start."""
        self._start(scene)
        return np.array(self.data.subtree_com[1])

    def _start(self, scene: Scene) -> None:
        mujoco.mj_resetData(self.model, self.data)
        qpos, size = self.data.qpos, self.world.size
        qpos[7:] = np.radians([scene.angles.get(name, 0.0) for name in HINGES])
        turn = _turn(np.radians(scene.lean))
        qpos[3:7] = turn
        pivot = np.array(scene.pivot) * size
        mujoco.mj_kinematics(self.model, self.data)
        ankles = 0.5 * (self.data.body("foot.L").xpos + self.data.body("foot.R").xpos)
        if scene.flat:  # feet stay where they stand
            qpos[:3] += np.array([0.0, 0.01 * size, 0.075 * size]) - ankles
        else:
            place = qpos[:3] - pivot
            rotated = np.zeros(3)
            mujoco.mju_rotVecQuat(rotated, place, turn)
            qpos[:3] = pivot + rotated
        qpos[2] += scene.lift
        mujoco.mj_kinematics(self.model, self.data)
        spin, arm = np.array(scene.spin), qpos[:3] - pivot - [0, 0, scene.lift]
        self.data.qvel[:3] = np.cross(spin, arm) + scene.speed
        back = np.zeros(3)
        mujoco.mju_rotVecQuat(back, spin, np.array([turn[0], *-turn[1:]]))
        self.data.qvel[3:6] = back
        if scene.flat:
            for side in "LR":
                self.data.joint(f"foot.{side}:x").qvel[:] = -back[0]
                self.data.joint(f"foot.{side}:y").qvel[:] = -back[1]
        mujoco.mj_forward(self.model, self.data)

    def _pull(self, muscles: "Muscles", time_s: float) -> None:
        """Set the muscles to what is keyed at a time."""
        pose, tone = muscles.at(time_s)
        self.data.ctrl[:] = pose
        if tone is self._tone:
            return
        self._tone = tone
        spring = tone * self._strength
        damper = np.maximum(DAMPING_S * spring, LEAST_DAMPING * self._strength)
        self.model.actuator_gainprm[:, 0] = spring
        self.model.actuator_biasprm[:, 1] = -spring
        self.model.actuator_biasprm[:, 2] = -damper

    def _advance(self, scene: Scene, record: int) -> tuple[bool, bool]:
        """On to the next record; whether feet, and whether anything else, touched meanwhile."""
        steps, step_s = self.world.steps, self.model.opt.timestep
        live = [f for f in scene.forces if f.share(record / RATE, 1.0 / RATE) > 1e-9]
        feet = others = False
        for n in range(steps):
            for each in live:
                share = each.share(record / RATE + n * step_s, step_s)
                body = self.model.body(each.segment).id
                self.data.xfrc_applied[body, :3] += share * np.array(each.newtons)
            mujoco.mj_step(self.model, self.data)
            if live:
                self.data.xfrc_applied[:] = 0.0
            if not (feet and others):
                touching = self._touching()
                feet, others = feet or touching[0], others or touching[1]
        return feet, others

    def _touching(self) -> tuple[bool, bool]:
        """Whether feet, and whether anything else, touches."""
        count = self.data.ncon
        if not count:
            return False, False
        foot = self._foot
        of_feet = [foot[one] or foot[two] for one, two in self.data.contact.geom[:count].tolist()]
        return any(of_feet), not all(of_feet)

    def _record(self, touch: tuple[bool, bool]) -> Row:
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_comPos(self.model, self.data)
        state = np.zeros(self._state_size)
        mujoco.mj_getState(self.model, self.data, state, _STATE)
        return self.data.qpos.copy(), self.data.subtree_com[1].copy(), touch, state


def _turn(angles: Floats) -> Floats:
    """(4,) the turn about x, then y, then z by (3,) angles in radians."""
    turn = np.array([1.0, 0.0, 0.0, 0.0])
    for axis, angle in zip(np.eye(3), angles, strict=True):
        one, product = np.zeros(4), np.zeros(4)
        mujoco.mju_axisAngle2Quat(one, axis, float(angle))
        mujoco.mju_mulQuat(product, one, turn)
        turn = product
    return turn
