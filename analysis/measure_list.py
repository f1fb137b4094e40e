# SPDX-License-Identifier: GPL-3.0-or-later
"""Every measure that a shot may carry: its name, its unit and what it is.

A measure that is not listed here fails a test. Lengths are metres at the character's height in
the story, rates are per second, and nothing here is ever a finding by itself.
"""

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class MeasureInfo:
    """unit as people write it ("" for a plain ratio), and the definition in a sentence."""

    unit: str
    definition: str


def _listed(rows: Mapping[str, tuple[str, str]]) -> Mapping[str, MeasureInfo]:
    return MappingProxyType({name: MeasureInfo(*row) for name, row in rows.items()})


# Of a shot: `measures` in the check JSON.
SHOT_MEASURES = _listed(
    {
        # the body
        "duration_s": ("s", "from the first sample to the last"),
        "root_travel_m": ("m", "level way of the body's main control from first to last sample"),
        "root_speed_m_s": ("m/s", "that way over the duration"),
        "root_peak_speed_m_s": ("m/s", "highest speed of the body's main control"),
        "root_rise_m": ("m", "its highest place above its lowest"),
        "com_rise_m": ("m", "the same of the centre of mass"),
        "com_speed_m_s": ("m/s", "mean level speed of the centre of mass over the ground"),
        "event_force_peak_bw": (
            "body weights",
            "largest force inside declared events, beyond gravity and what contacts can give",
        ),
        "event_speed_m_s": (
            "m/s",
            "the most by which such a force changes the speed of the body within one event",
        ),
        "push_peak_bw": ("body weights", "largest force on the body that no contact can give"),
        "hit_m_s": (
            "m/s",
            "hardest hit of trunk, head or arms on what bears: speed lost in two frames",
        ),
        "force_peak_bw": ("body weights", "largest force that the centre of mass's rise tells"),
        "body_mass_kg": (
            "kg",
            "mass of a body of the story's height, where something heavy is held",
        ),
        "held_mass_kg": ("kg", "mass of what is held, as far as it is told: the most at once"),
        # feet and flights
        "plants": ("", "how many times a foot stands"),
        "plant_slip_median_m": ("m", "median slip of the feet that stand and bear the body"),
        "plant_slip_worst_m": ("m", "the furthest of those slips"),
        "landing_slip_median_m": ("m", "median slip of feet that touch, while they still land"),
        "touch_down_m_s": ("m/s", "median speed at which feet come down as they touch"),
        "sink_usual_m": ("m", "median depth of planted soles under what bears them"),
        "foot_contacts_left": ("", "how many times the left foot comes to stand"),
        "foot_contacts_right": ("", "how many times the right foot comes to stand"),
        "plant_median_s": ("s", "how long a foot stands, the median of what is seen whole"),
        "hand_stays": ("", "how many times a hand rests on a declared support"),
        "plants_pushed": ("", "plants that slip inside an event that was declared"),
        "ground_speed_m_s": ("m/s", "speed of the ground that a cycle in place walks on"),
        "ground_turn_deg_s": (
            "deg/s",
            "how fast a cycle in place turns over that ground, to the left",
        ),
        "hang_share": ("", "mean share of a flight's time in its top quarter; a free one: .5"),
        "step_beyond_pct": (
            "%",
            "most that a step of a walk goes beyond what the arcs of those beside it carry it",
        ),
        "swing_share": (
            "",
            "mean share of the time in the outer quarters of swings; a sine: .33, even: .25",
        ),
        "fall_m_s2": ("m/s2", "median acceleration of the flights' falls; gravity: 9.81"),
        "carry_off_m": ("m", "how far flights go beyond what their take-offs carry, the most"),
        "air_drift_m": ("m", "how far they land off what their first half foretells, the median"),
        "flights": ("", "how many times nothing bears the figure"),
        "flights_too_short": ("", "how many of them last under .25 s: their fall is not judged"),
        "flight_median_s": ("s", "median time of the flights of which both ends are seen"),
        "flight_longest_s": ("s", "the longest of those"),
        "topple_s": (
            "s",
            "time of the last stiff fall about the feet, over the lean it is told by",
        ),
        "topple_rod_s": ("s", "what an even rod of the figure's height takes over that lean"),
        "topple_pendulum_s": ("s", "what a mass at its centre of mass takes over that lean"),
        "balance_margin_m": (
            "m",
            "least distance of the weight inside what bears it, in slow motion; below 0: outside",
        ),
        "catch_step_m": (
            "m",
            "how far inside its feet a falling body goes as a step lands that stops it, the last",
        ),
        # the gait: over its straight and level strides, a foot's landing to its next one
        "strides": ("", "how many strides, of both feet, are measured"),
        "run_share": ("", "share of the strides that are run"),
        "gait_speed_m_s": ("m/s", "speed over the ground in the strides"),
        "cadence_per_min": ("steps/min", "steps a minute"),
        "stride_m": ("m", "mean length of a stride"),
        "stride_s": ("s", "mean time of a stride"),
        "step_width_m": ("m", "mean distance of the feet across the way; below 0 they cross over"),
        "root_lateral_m": ("m", "mean way of the body's main control from side to side, a stride"),
        "root_vertical_m": ("m", "mean way of the body's main control up and down, a stride"),
        "com_lateral_m": ("m", "the same of the centre of mass, from side to side"),
        "com_vertical_m": ("m", "the same of the centre of mass, up and down"),
        "foot_contact_left_share": ("", "share of a stride's frames on which the left foot bears"),
        "foot_contact_right_share": (
            "",
            "share of a stride's frames on which the right foot bears",
        ),
        "double_support_share": (
            "",
            "share of a stride's frames on which both feet bear; a walk: about .2",
        ),
        "air_share": ("", "share of a stride for which nothing bears the figure"),
        "froude": ("", "speed squared over gravity times the legs; people run from about .5 on"),
        # how points move
        "root_dead_pct": ("%", "share of the time in which the body stands dead under its limbs"),
        "hard_stop_share": ("", "share of the stops that are dead"),
        "hard_start_share": ("", "share of the starts that are at full speed"),
        "straight_share": ("", "share of the way that runs in straight, even lines"),
        # the trunk
        "chest_hip_turn_deg": ("degrees", "range of the chest's twist against the hips"),
        "chest_hip_bend_deg": ("degrees", "range of its bend forward and back against them"),
        "chest_hip_side_deg": ("degrees", "range of its bend to the sides against them"),
        "chest_hip_phase_deg": ("degrees", "0: both swing to and fro together; 180: in opposition"),
        # the first prop that a hand holds
        "prop_lag_s": ("s", "by how much it turns later than its forearm; below 0: earlier"),
        "prop_wrist_range_deg": ("degrees", "range of its angle to the forearm"),
        # knees and elbows, 0 straight
        "knee_left_min_deg": ("degrees", "least bend of the left knee; below 0: the wrong way"),
        "knee_left_max_deg": ("degrees", "its most"),
        "knee_right_min_deg": ("degrees", "least bend of the right knee; below 0: the wrong way"),
        "knee_right_max_deg": ("degrees", "its most"),
        "elbow_left_min_deg": ("degrees", "least bend of the left elbow"),
        "elbow_left_max_deg": ("degrees", "its most"),
        "elbow_right_min_deg": ("degrees", "least bend of the right elbow"),
        "elbow_right_max_deg": ("degrees", "its most"),
        "leg_left_stretch_pct": ("%", "by how much the left leg is longer than at rest, at most"),
        "leg_right_stretch_pct": ("%", "by how much the right leg is"),
        "arm_left_stretch_pct": ("%", "by how much the left arm is"),
        "arm_right_stretch_pct": ("%", "by how much the right arm is"),
        "locks_declared": ("", "locked knees and elbows inside declared events"),
        "arrival_spread_s": ("s", "as the figure comes to rest: from first part to last, median"),
        "overshoot_pct": (
            "%",
            "how far the usual part goes beyond its place then, of its way, median",
        ),
        "settle_s": ("s", "from the first part's arrival until all is at rest, where one does"),
        "impact_hips_s": ("s", "median time from a landing to the lowest place of the hips"),
        "impact_chest_s": ("s", "the same of the chest"),
        "impact_head_s": ("s", "the same of the head"),
        # the picture
        "screen_travel_percent": ("% of the picture's height", "way of the figure on the picture"),
        "screen_travel_by_camera_percent": ("% of the picture's height", "the camera's part of it"),
        "camera_share_of_screen_travel": ("", "the camera's share of both ways on the picture"),
        "points": ("", "the measures of every followed point, by part"),
    }
)

# Of a followed point: in `measures.points`, by part.
POINT_MEASURES = _listed(
    {
        "spacing_m": ("m", "median way from frame to frame"),
        "spacing_max_m": ("m", "largest way from frame to frame"),
        "arc_height_pct": ("%", "median height of its strokes over their chord, of the chord"),
        "curvature_per_m": ("1/m", "median curvature of its path where it moves"),
        "power_exponent": ("", "of speed against radius; drawn ellipses: .33"),
        "smoothness": ("", "median spectral arc length of its strokes; a minimum jerk: -1.4"),
        "lag_s": (
            "s",
            "how long it trails what it follows: arms and head the chest, that the root",
        ),
        "reversals_per_s": ("1/s", "turns back along its main direction, seen from the pelvis"),
    }
)


def measures_text(*, width: int = 80) -> str:
    """All measures with unit and definition, wrapped to `width` columns."""
    heads = {
        "measures of a shot": SHOT_MEASURES,
        "measures of each point, as `points`": POINT_MEASURES,
    }
    lines = []
    for head, measures in heads.items():
        lines.append(head)
        for name, info in measures.items():
            lines.append(f"  {name} [{info.unit}]" if info.unit else f"  {name}")
            lines.append(
                textwrap.fill(
                    info.definition, width, initial_indent=" " * 10, subsequent_indent=" " * 10
                )
            )
    return "\n".join(lines)
