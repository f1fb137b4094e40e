# SPDX-License-Identifier: GPL-3.0-or-later
"""What is simulated: limp and stiff falls, hops and throws, each drawn from its own seed."""

from dataclasses import dataclass

import numpy as np

from .engine import Engine, Force, Scene
from .model import World
from .muscles import Key
from .poses import Pose, anywhere, arms, balanced, legs
from .stored import RATE

# How many there are of each family, in each half.
COUNTS = {"limp": 52, "stiff": 52, "hops": 36, "throws": 36}
FAMILIES = tuple(COUNTS)
FALLS, FLIGHTS = ("limp", "stiff"), ("hops", "throws")
SEED = 20250611
# In the air even half a percent of gravity counts, so that smaller steps are taken.
STEPS_IN_FLIGHT = 4
_ALL = ""


@dataclass(frozen=True)
class Plan:
    """A scene, and what is declared in it: seconds from and to, or None."""

    family: str
    half: str
    number: int
    scene: Scene
    declared: tuple[float, float] | None = None


Made = tuple[Scene, tuple[float, float] | None, Engine]


def plan(family: str, half: str, number: int) -> tuple[Plan, Engine]:
    """The scene of a family, a half and a number, with the engine that runs it."""
    key = [SEED, FAMILIES.index(family), "AB".index(half), number]
    rng = np.random.default_rng(key)
    scene, declared, engine = _MAKERS[family](f"{family}/{half}{number}", rng)
    return Plan(family, half, number, scene, declared), engine


def _world(rng: np.random.Generator, ledge: bool, steps: int = 2) -> World:
    """A figure and its ground; on a ledge it stands with its toes near the edge."""
    size, boxes = float(rng.uniform(0.85, 1.15)), ()
    if ledge:
        deep, edge = 0.5 * size, size * rng.uniform(0.17, 0.24)
        top = float(rng.uniform(0.2, 1.0))
        boxes = ((0.0, deep - edge, top, 0.6 * size, deep),)
    return World(
        size=size,
        build=float(rng.uniform(0.8, 1.25)),
        friction=float(rng.uniform(0.7, 1.3)),
        boxes=boxes,
        steps=steps,
    )


def _standing(
    engine: Engine, knee: float, shin: float, at: float, others: Pose
) -> tuple[Pose, float]:
    """A balanced pose: `at` metres ahead of the ankles at size 1."""

    def ahead(pose: Pose, pitch: float) -> float:
        scene = Scene("", engine.world, (), 0.0, angles=pose, lean=(pitch, 0.0, 0.0))
        return -float(engine.centre(scene)[1])

    return balanced(ahead, knee, shin, at * engine.world.size, others)


def _lift(world: World) -> float:
    return world.boxes[0][2] if world.boxes else 0.0


def _on_its_feet(
    name: str, engine: Engine, keys: tuple[Key, ...], lasts_s: float, pose: Pose, pitch: float
) -> Scene:
    """A scene that begins in a balanced pose and lasts to the next tenth of a second."""
    return Scene(
        name,
        engine.world,
        keys,
        float(np.ceil(10 * lasts_s) / 10),
        angles=pose,
        lean=(pitch, 0.0, 0.0),
        lift=_lift(engine.world),
    )


def _loose(rng: np.random.Generator, low: float, high: float) -> dict[str, float]:
    """Tones by part, each drawn by itself, from 10^low to 10^high."""
    parts = ("spine", "chest", "neck", "thigh", "shin", "foot", "upper_arm", "forearm")
    sides = [f"{p}.{s}" for p in parts[3:] for s in "LR"]
    mean = rng.uniform(low, high)
    return {_ALL: 10**mean} | {
        each: float(10 ** (mean + rng.uniform(-0.4, 0.4))) for each in (*parts[:3], *sides)
    }


def _limp(name: str, rng: np.random.Generator) -> Made:
    """Stands, then its muscles give way."""
    engine = Engine(_world(rng, rng.random() < 0.25))
    others = arms(rng.uniform(-20, 70), rng.uniform(2, 40), rng.uniform(5, 80))
    others |= {"spine:x": rng.uniform(-5, 10), "spine:z": rng.uniform(-10, 10)}
    others |= {"neck:x": rng.uniform(-15, 20), "neck:z": rng.uniform(-30, 30)}
    knee = rng.uniform(3, 30)
    pose, pitch = _standing(engine, knee, 0.4 * knee, rng.uniform(0.02, 0.09), others)
    drop, gives = rng.uniform(0.15, 0.5), rng.uniform(0.05, 0.25)
    keys = (
        Key(0.0, pose, 1.5),
        Key(drop, pose, 1.5),
        Key(drop + gives, pose, _loose(rng, -2.3, -1.2)),
    )
    return _on_its_feet(name, engine, keys, drop + 2.2, pose, pitch), None, engine


def _stiff(name: str, rng: np.random.Generator) -> Made:
    """Tips as a rod about its ankles, or to a side about the edge of a foot; or is tripped."""
    way = rng.choice(["ahead", "back", "aside", "tripped"], p=[0.35, 0.25, 0.2, 0.2])
    engine = Engine(_world(rng, way in ("ahead", "tripped") and rng.random() < 0.25))
    pose = arms(rng.uniform(-10, 30), rng.uniform(2, 25), rng.uniform(5, 40))
    bent = rng.uniform(3, 10)
    pose |= {"neck:x": rng.uniform(-10, 10)} | legs(-0.5 * bent, bent, -0.5 * bent)
    tone: dict[str, float] = {_ALL: float(rng.uniform(1.0, 3.0)), "foot": 0.004}
    end, spin, flat, pivot = tone, (0.0, 0.0, 0.0), True, (0.0, 0.01, 0.075)
    lean = float(rng.uniform(2.0, 6.0))
    leans = {"ahead": (lean, 0, 0), "back": (-lean, 0, 0), "tripped": (lean + 3.0, 0, 0)}
    turn = leans.get(way, (0.0, 0.0, 0.0))
    if way == "aside":
        side = float(rng.choice([-1.0, 1.0]))
        turn, flat, pivot = (0.0, side * lean, 0.0), False, (side * 0.14, -0.06, 0.0)
        tone = end = {_ALL: tone[_ALL], "foot": 1.0}
    if way == "tripped":
        spin = (float(rng.uniform(0.6, 1.8)), 0.0, 0.0)
        end = _loose(rng, -1.5, -0.3)
    if flat:
        pose |= {f"foot.{side}:x": -turn[0] - 0.5 * bent for side in "LR"}
    keys = (Key(0.0, pose, tone), Key(0.2, pose, tone), Key(0.5, pose, end))
    scene = Scene(
        name,
        engine.world,
        keys,
        2.6,
        angles=pose,
        lean=turn,
        spin=spin,
        pivot=pivot,
        flat=flat,
        lift=_lift(engine.world),
    )
    return scene, None, engine


def _hop(name: str, rng: np.random.Generator) -> Made:
    """Stands, crouches, pushes off, flies, lands with bent knees."""
    engine = Engine(_world(rng, rng.random() < 0.3, STEPS_IN_FLIGHT))
    still, swing = arms(0.0, 8.0, 15.0), arms(rng.uniform(30, 90), 10.0, rng.uniform(5, 60))
    at = 0.06
    far = float(rng.choice([0.0, rng.uniform(0.0, 0.08)]))
    far = max(far, 0.05) if engine.world.boxes else far
    deep = rng.uniform(60, 100)
    stand, pitch = _standing(engine, 8.0, 4.0, at, still)
    crouch, _ = _standing(engine, deep, 0.33 * deep, at + far, arms(-35.0, 10.0, 10.0))
    landing, _ = _standing(engine, 50.0, 20.0, at, arms(30.0, 15.0, 30.0))
    tuck = legs(-rng.uniform(3, 20), rng.uniform(8, 35), 20.0) | swing
    t = float(rng.uniform(0.15, 0.3))
    low = t + float(rng.uniform(0.5, 0.7))
    off = low + float(rng.uniform(0.12, 0.2))
    keys = (
        Key(0.0, stand, 1.5),
        Key(t, stand, 1.5),
        Key(low - 0.1, crouch, 1.5),
        Key(low, crouch, 1.5),
        Key(off, legs(3.0, 3.0, 30.0) | swing, float(rng.uniform(0.8, 2.5))),
        Key(off + 0.2, tuck, 0.5),
        Key(off + 0.4, landing, 0.5),
        Key(off + 0.9, landing, 0.6),
    )
    return _on_its_feet(name, engine, keys, off + 1.2, stand, pitch), None, engine


def _throw(name: str, rng: np.random.Generator) -> Made:
    """Stands, is thrown into the air by a declared blow, moves its limbs there, lands limp."""
    engine = Engine(_world(rng, rng.random() < 0.3, STEPS_IN_FLIGHT))
    knee = rng.uniform(10, 60)
    pose, pitch = _standing(engine, knee, 0.4 * knee, 0.06, arms(rng.uniform(0, 60), 20.0, 30.0))
    start, lasts = float(rng.uniform(0.2, 0.4)), float(rng.uniform(0.12, 0.25))
    angle, away = rng.uniform(0, 2 * np.pi), rng.uniform(0.0, 2.5)
    gained = [away * np.cos(angle), away * np.sin(angle), rng.uniform(2.3, 4.0)]
    share = rng.uniform(0.3, 0.7)
    first = round(start * RATE)
    start = first / RATE
    net = engine.mass_kg * (np.array(gained) / lasts + [0.0, 0.0, 9.80665])
    forces = tuple(
        Force(first, lasts, segment, tuple(float(part * each) for each in net))
        for segment, part in (("hips", share), ("chest", 1.0 - share))
    )
    tone = float(10 ** rng.uniform(-1.3, -0.3))
    times = start + lasts + np.arange(4) * rng.uniform(0.15, 0.3)
    moves = [Key(float(t), anywhere(rng, 0.45), tone) for t in times]
    keys = (
        Key(0.0, pose, 1.5),
        Key(start, pose, 1.5),
        *moves,
        Key(float(times[-1]) + 0.3, {}, 0.01),
    )
    scene = Scene(
        name,
        engine.world,
        keys,
        2.2,
        angles=pose,
        lean=(pitch, 0.0, 0.0),
        lift=_lift(engine.world),
        forces=forces,
    )
    return scene, (start, start + lasts), engine


_MAKERS = {"limp": _limp, "stiff": _stiff, "hops": _hop, "throws": _throw}
