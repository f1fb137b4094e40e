# SPDX-License-Identifier: GPL-3.0-or-later
"""The clip: one character (or object) sampled over one frame range, as plain numbers."""

from dataclasses import dataclass, field, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .clip_rules import check_arrays
from .errors import ClipError
from .meta import Meta
from .plain_text import number_text
from .quaternions import continuous

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# What is left of float32 rounding in a rig that stands still: metres, quaternion components.
STILL_M, STILL_TURN = 1e-5, 1e-4
# Arrays whose first axis is the frame, and therefore are cut with the range.
PER_FRAME = (
    "frames",
    "positions",
    "rotations",
    "valid",
    "camera_pose",
    "camera_projection",
    "camera_cut",
    "ground_velocity",
    "channel_values",
    "control_matrices",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Clip:
    """Joint motion of one character; T frames, J joints. Arrays are read-only.

    frames (T,)            frame numbers, evenly spaced, rising; fps frames a second
    joints (J,)            names; parents (J,) index of the anatomical parent or -1
    positions (T,J,3)      joint heads, metres, Z up, world
    rotations (T,J,4)      unit quaternions w,x,y,z, plain world orientation, Y along the bone
    rest_positions (J,3), rest_rotations (J,4), lengths (J,)   the rest pose, metres
    valid (T,J)            False where there is a gap; NaN is refused anywhere else
    points (P,), point_joint (P,), point_offset (P,3)   named points in a joint's axes, metres
    camera_pose (T,4,4), camera_projection (T,4,4), camera_cut (T,)   the active camera
    supports (S,T,4,4)     boxes that bear weight: each matrix takes the cube from -0.5 to 0.5
                           to the box in the world, metres; a flat object gives a flat box
    ground_velocity (T,3)  of the ground that carries an in-place cycle, m/s
    channels (K,), channel_values (T,K)   the controls' evaluated channels
    control_matrices (T,C,4,4)   world matrices of the controls named in meta.controls
    meta                   what the clip says about itself

    The first six are required. Raises ClipError, one sentence, for anything that does not fit.
    """

    frames: Floats
    fps: float
    joints: tuple[str, ...]
    parents: Ints
    positions: Floats
    rotations: Floats
    rest_positions: Floats | None = None
    rest_rotations: Floats | None = None
    lengths: Floats | None = None
    valid: Bools | None = None
    points: tuple[str, ...] = ()
    point_joint: Ints | None = None
    point_offset: Floats | None = None
    camera_pose: Floats | None = None
    camera_projection: Floats | None = None
    camera_cut: Bools | None = None
    supports: Floats | None = None
    ground_velocity: Floats | None = None
    channels: tuple[str, ...] = ()
    channel_values: Floats | None = None
    control_matrices: Floats | None = None
    meta: Meta = field(default_factory=Meta)

    def __post_init__(self) -> None:
        for item in fields(self):
            if item.name != "meta":
                object.__setattr__(self, item.name, _plain(item.name, getattr(self, item.name)))
        check_arrays(self)

    @property
    def dt_s(self) -> float:
        """Seconds from one sample to the next."""
        return float(self.frames[1] - self.frames[0]) / self.fps

    @property
    def is_ball(self) -> bool:
        """Whether it is of a ball that stands for the body: nothing else of it is followed."""
        return self.meta.ball is not None

    @property
    def valid_mask(self) -> Bools:
        """(T,J) True where the joint's motion is known."""
        if self.valid is None:
            return np.ones(self.positions.shape[:2], dtype=bool)
        return self.valid

    @property
    def known_joints(self) -> Bools:
        """(J,) True for joints that are known on any frame."""
        return np.asarray(self.valid_mask.any(axis=0))

    @property
    def moves(self) -> bool:
        """Whether any joint is ever elsewhere, or turned otherwise, than on another frame."""
        turned = self._spread(continuous(self._without_gaps(self.rotations)))
        return self._spread(self.positions) > STILL_M or turned > STILL_TURN

    @property
    def has_no_size(self) -> bool:
        """Whether its joints, more than one, are always all in one place."""
        known = self.valid_mask[..., None]
        highest = np.where(known, self.positions, -np.inf).max(axis=1)
        size = highest - np.where(known, self.positions, np.inf).min(axis=1)
        return len(self.joints) > 1 and not (size > 0.0).any()

    def _without_gaps(self, values: Floats) -> Floats:
        """(T,J,...) with each gap filled by the sample before it, or else the first known one."""
        known = self.valid_mask
        sample = np.where(known, np.arange(len(known))[:, None], -1)
        source = np.maximum.accumulate(sample, axis=0)
        source = np.where(source < 0, known.argmax(axis=0), source)
        return np.asarray(values[source, np.arange(known.shape[1])])

    def _spread(self, values: Floats) -> float:
        known = self.valid_mask[..., None]
        highest = np.where(known, values, -np.inf).max(axis=0)
        return float((highest - np.where(known, values, np.inf).min(axis=0)).max())

    def joint(self, name: str) -> int:
        """Index of a joint; raises ClipError when there is none of that name."""
        try:
            return self.joints.index(name)
        except ValueError:
            raise ClipError(
                f"the clip has no joint {name!r}; it has {_some(self.joints)}: use one of these."
            ) from None

    def cut(self, first: float, last: float) -> "Clip":
        """The same clip over frames first..last, both included; needs two frames or more.

        What the clip says of itself as a loop holds for the whole of it: a cut that drops
        frames of a loop is none, and of all others it is not known.
        """
        if last < first:
            raise ClipError(
                f"the range {number_text(first)} to {number_text(last)} ends before it begins, "
                "expected a first frame and a later last one: turn it round."
            )
        keep = (self.frames >= first - 1e-6) & (self.frames <= last + 1e-6)
        if keep.sum() < 2:
            raise ClipError(
                f"the range {number_text(first)} to {number_text(last)} holds {int(keep.sum())} "
                f"frames of the clip, which has {number_text(self.frames[0])} to "
                f"{number_text(self.frames[-1])}; expected two or more: "
                "choose a range inside the clip."
            )
        cycle = False if self.meta.cycle else None
        meta = self.meta if keep.all() else replace(self.meta, cycle=cycle, loop_end=None)
        return replace(self._kept(np.flatnonzero(keep)), meta=meta)

    def every(self, step: int, first: int = 0) -> "Clip":
        """The same clip with one sample in `step`, from sample `first` on; it needs two.

        A cut that falls between two samples that stay is a cut at the second.
        """
        kept = np.arange(first, len(self.frames), step)
        thinned = self._kept(kept)
        if self.camera_cut is None:
            return thinned
        cuts = np.zeros(len(kept), dtype=bool)
        at = np.searchsorted(kept, np.flatnonzero(self.camera_cut))
        cuts[at[at < len(kept)]] = True
        return replace(thinned, camera_cut=cuts)

    def _kept(self, samples: Ints) -> "Clip":
        changes: dict[str, Any] = {}
        for name in PER_FRAME:
            value = getattr(self, name)
            if value is not None:
                changes[name] = value[samples]
        if self.supports is not None:
            changes["supports"] = self.supports[:, samples]
        return replace(self, **changes)


_KINDS: dict[str, Any] = {
    "parents": np.int64,
    "point_joint": np.int64,
    "valid": np.bool_,
    "camera_cut": np.bool_,
}
_NAMES = ("joints", "points", "channels")


def _plain(name: str, value: Any) -> Any:
    """Bring one field to its declared type; arrays become read-only copies when needed."""
    if value is None:
        return None
    if name in _NAMES:
        return tuple(str(item) for item in np.asarray(value).ravel())
    if name == "fps":
        return _number(value)
    try:
        given = np.asarray(value)
        _refuse_rounding(name, given)
        array = np.array(given, dtype=_KINDS.get(name, np.float64), copy=True)
    except (TypeError, ValueError, OverflowError):
        raise ClipError(
            f"{name} is no array of numbers; expected numbers of one shape: save it again."
        ) from None
    array.flags.writeable = False
    return array


def _refuse_rounding(name: str, given: NDArray[Any]) -> None:
    """Numbers that their declared type would silently cut short are a mistake."""
    if np.iscomplexobj(given):
        raise ClipError(f"{name} hold complex numbers, expected real ones: save the real parts.")
    if _KINDS.get(name) is np.int64 and given.dtype.kind == "f":
        broken = given[~((given == np.trunc(given)) & (np.abs(given) < 2.0**53))]
        if broken.size:
            raise ClipError(
                f"{name} hold {number_text(broken.flat[0])}, expected whole numbers: correct them."
            )


def _number(value: Any) -> float:
    try:
        given = np.asarray(value)
        _refuse_rounding("fps", given)
        return float(np.asarray(given, dtype=np.float64).reshape(()))
    except (TypeError, ValueError, OverflowError):
        raise ClipError("fps is no single number; expected frames a second, such as 24.") from None


def _some(names: tuple[str, ...], most: int = 5) -> str:
    shown = ", ".join(names[:most])
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"
