# SPDX-License-Identifier: GPL-3.0-or-later
"""`locked_knee`: is a leg or an arm locked straight while the goal of its end goes on?"""

from ..basis import Basis
from ..declared import is_declared
from ..evidence import Evidence, RawEvent
from ..limbs import Limb, find_limbs
from ..locks import Lock, find_locks, straight_share
from ..loop import Cycle
from .contract import CheckInfo
from .limb_words import lock_says, lock_suggestion

# A lock of three frames, and two samples on either side.
SHORTEST = 7
# A limb that is straight for more of the shot than this is so by choice.
MOSTLY = 0.6
# A limb that is known on fewer samples than this share of them is not asked.
KNOWN = 0.5

INFO = CheckInfo(
    name="locked_knee",
    question="Is a leg, or an arm, locked straight while foot and hips move on?",
    definition=(
        "A knee or elbow is straight (under 1 degree between both bones) and at rest (under 7.2 "
        "degrees a second) for three frames or more while its ankle or wrist moves against hip or "
        "shoulder. Straight alone is no fault. A leg that straightens by itself comes to rest: "
        "what its reach lacks is the square of the angle. A leg whose foot or hips are steered "
        "beyond its reach is cut short instead: the reach goes on evenly to the limit (what it "
        "lacks grows by less than twice from frame to frame beside the lock, on one side at "
        "least, of an elbow on both), and the knee darts onto the line from hip to ankle and off "
        "it again, both by more than can be overlooked two frames away (.075 s). A leg that does "
        "little but tremble on one side is told by the other, where it is even all along: twice as "
        "far. So is a lock at an end of the range, with hip and ankle moving against each other by "
        ".9 % of the height meanwhile."
    ),
    unit="cm",
    limit=".9 % of the height off the line (1.5 cm at 1.7 m) .075 s before and after the lock",
    limit_in_full=(
        ".9 % of the height off the line (1.5 cm at 1.7 m) .075 s before and after the lock; "
        "where the reach is even on both sides (less than 1.4 times) .6 % (1 cm at 1.7 m), where "
        "one side alone tells it 1.8 % (3 cm at 1.7 m)"
    ),
    source=(
        "flexion as in Grood & Suntay 1983, J. Biomech. Eng. 105:136-144 (0 straight); the law of "
        "cosines for how reach and angle go together; limits set on half of the quality corpus"
    ),
    stages=("spline", "polish"),
    mend="Lower the hips a little, or bring the foot's control nearer, until the knee stays bent.",
    asked_of="points",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each lock, on the shin or forearm; evidence: knee and elbow ranges."""
    limbs = tuple(limb for limb in find_limbs(basis) if limb.known.mean() >= KNOWN)
    if not limbs:
        why = "no leg and no arm is known with its three joints for half of the range"
        return Evidence("locked_knee", skipped=why)
    if len(basis.frames) < SHORTEST:
        why = f"needs {SHORTEST} frames or more, the range has {len(basis.frames)}"
        return Evidence("locked_knee", skipped=why)
    factor = basis.settings.factor("locked_knee")
    free = [limb for limb in limbs if straight_share(basis, limb) <= MOSTLY]
    locks = [lock for limb in free for lock in find_locks(basis, limb, factor)]
    told = [
        lock for lock in locks if not is_declared(basis, lock.limb.lower, lock.first, lock.last)
    ]
    measures = _measures(limbs)
    if len(told) < len(locks):
        measures["locks_declared"] = float(len(locks) - len(told))
    return Evidence(
        "locked_knee",
        tuple(_event(basis, lock) for lock in told),
        good="" if told else _good(free),
        habit=_habit([limb for limb in limbs if limb not in free]),
        measures=measures,
    )


def _event(basis: Basis, lock: Lock) -> RawEvent:
    limb, to_story = lock.limb, basis.height.to_story
    return RawEvent(
        check="locked_knee",
        body=limb.lower,
        first=lock.first,
        last=lock.last,
        peak=lock.peak,
        amount=lock.off * to_story * 100.0,
        limit=lock.limit * to_story * 100.0,
        unit="cm",
        visible_m=lock.snap,
        step_m=0.0,
        says=lock_says(basis, lock),
        suggestion=lock_suggestion(basis, lock),
    )


def _good(free: list[Limb]) -> str:
    knees = [limb for limb in free if limb.joint == "knee"]
    if not knees:
        return ""
    least = min(float(limb.flexion_deg[limb.known].min(initial=180.0)) for limb in knees)
    if least < 0.0:  # how far it bends the wrong way is measured, and nothing good
        return "No knee locks."
    return f"No knee locks: the straightest is bent by {least:.0f} degrees."


def _habit(straight: list[Limb]) -> str:
    if not straight:
        return ""
    names = " and ".join(f"the {limb.whole}" for limb in straight)
    verb = "stays" if len(straight) == 1 else "stay"
    return f"{names[:1].upper()}{names[1:]} {verb} straight for most of the shot."


def _measures(limbs: tuple[Limb, ...]) -> dict[str, float]:
    """The range of every knee and elbow, degrees: 0 straight, bent the wrong way below 0."""
    found: dict[str, float] = {}
    for limb in limbs:
        degrees = limb.flexion_deg[limb.known]
        if len(degrees):
            side = "left" if limb.side == "L" else "right"
            found[f"{limb.joint}_{side}_min_deg"] = float(degrees.min())
            found[f"{limb.joint}_{side}_max_deg"] = float(degrees.max())
    return found
