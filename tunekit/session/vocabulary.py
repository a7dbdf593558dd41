"""The words a log may use. One word per thing; the file format fixes them."""

from typing import Literal, get_args

Told = Literal[
    "new_chain", "new_cassette", "new_rings", "new_cable", "new_lever", "new_derailleur", "wheel_swapped",
    "wheel_refitted", "fall", "wet_or_dirty", "stored", "getting_worse", "sudden", "will_not_stay",
    "new_bike", "cold", "worked_on", "chain_jammed", "caught", "new_part", "comes_and_goes", "comes_back",
    "good_on_stand", "no_light", "no_charge", "link_lost",
]  # fmt: skip

Moment = Literal[
    "to_larger_cog", "to_smaller_cog", "to_larger_ring", "to_smaller_ring",
    "pedalling", "pedalling_hard", "backpedalling", "coasting", "over_bumps", "starting",
]  # fmt: skip

Heard = Literal[
    "clean", "poor",
    "slow", "refused", "double_click", "too_far", "fell_inside", "fell_outside", "jams", "no_response",
    "lever_heavy", "lever_wall", "no_click",
    "rattle", "wanders", "skip", "jumps", "rumble", "tick", "grinds", "clanks", "scrapes", "hits_crank",
    "touches_spokes", "comes_off", "rubs_inner_plate", "rubs_outer_plate", "rubs_cage", "slack", "stretched",
    "no_drive", "drags_cranks", "chain_suck", "lever_light", "lever_creeps", "touches_ring", "squeals", "clatters",
    "wrong_way", "motor_runs", "better", "same", "worse",
]  # fmt: skip

Side = Literal["inboard", "outboard"]
Per = Literal["chain", "crank", "wheel", "cog", "pulley"]

MeasuredNumber = Literal[
    "pulley_gap_mm", "chain_wear_pct", "chain_length_links", "chainline_front_mm", "chainline_rear_mm",
    "pulley_offset_mm", "high_limit_offset_mm", "low_limit_offset_mm", "pulley_play_mm", "front_height_mm",
    "front_angle_deg", "front_inner_gap_mm", "front_outer_gap_mm", "battery_pct",
    # The set-up walk. Quiet edges: turns (cable) or steps (electronic) from where the walk began, + inboard.
    "quiet_edge_outboard", "quiet_edge_inboard", "steps_left_outboard", "steps_left_inboard",
    "barrel_turns_out", "front_barrel_turns_out", "low_stop_backoff_turns", "high_stop_backoff_turns",
    "rear_bolt_nm", "rear_anchor_nm", "front_clamp_nm", "front_anchor_nm", "lockring_nm", "ring_bolts_nm",
    "sag_gap_mm", "chainstay_growth_mm",
]  # fmt: skip
MeasuredYesNo = Literal[
    "cable_drag", "cable_slack", "cable_taut", "cable_frayed", "housing_pulls_tight", "reaches_by_hand",
    "limit_touches", "pivots_spring_back", "cage_springs_back", "cage_wags", "stiff_link", "worn_cog",
    "cogs_move", "freehub_turns_free", "pulley_turns_free", "lockring_tight", "wheel_seated", "lever_clicks",
    "front_cable_drag", "front_cable_slack", "front_cable_taut", "front_limit_touches", "front_cage_wags",
    "ring_runs_true", "connectors_seated", "lever_cell_ok", "derailleur_button_works",
    # The set-up walk; checked_... are the do-and-confirm list before handing over.
    "wires_clear", "frame_sound", "chain_routed", "chain_joined", "wide_teeth_seated", "knock_reset_known",
    "gap_clears", "stops_open", "adjust_left", "front_adjust_left", "cable_freed", "derailleur_off", "end_capped",
    "front_end_capped", "front_support",
    "branches_tried", "parts_paired", "versions_noted", "buttons_tried", "adjust_entered",
    "checked_low_stop", "checked_front_stops", "checked_chain_joined", "checked_bolts", "checked_wheel",
    "checked_brakes", "checked_clearance", "checked_ride",
]  # fmt: skip
Measured = Literal[MeasuredNumber, MeasuredYesNo, "hanger_rim_mm"]

Turned = Literal[
    "rear_barrel", "rear_micro_adjust", "high_limit", "low_limit", "b_screw", "front_barrel",
    "front_micro_adjust", "front_high_limit", "front_low_limit", "front_height_mm", "front_angle_deg",
    "hanger",
]  # fmt: skip

Fitted = Literal[
    "chain", "cassette", "cog", "cog_spacer", "rings", "ring_bolts", "rear_cable", "rear_cable_slack",
    "front_cable", "front_cable_slack", "hanger", "rear_derailleur", "rear_pivots", "front_derailleur",
    "front_clamp", "guide_pulley", "pulleys", "lever", "wheel", "freehub", "chain_route", "stiff_link",
    "bent_link", "joining_link", "lockring", "connectors", "wire", "battery", "lever_cell", "motor_reset",
    "cable_oiled", "front_pivots",
]  # fmt: skip

Walk = Literal[
    "rear_cable", "rear_electronic", "front_cable", "front_electronic", "single_ring",
    "cassette_swap", "new_chain", "new_cable", "wheel_swap", "after_fall",
]  # fmt: skip

UNHEARD_BY_GEOMETRY: frozenset[str] = frozenset(
    {
        "no_drive", "drags_cranks", "chain_suck", "lever_light", "lever_creeps", "touches_ring", "squeals",
        "clatters", "wrong_way", "motor_runs", "better", "same", "worse",
    }
)  # fmt: skip
"""Words that no geometry foretells; what reports say of them is in data/learned/."""
RENAMED: dict[str, str] = {"crash_reset_known": "knock_reset_known"}
"""Words of version 1 and what they are called today."""
YES_NO: frozenset[str] = frozenset(get_args(MeasuredYesNo))
SHIFTS: frozenset[str] = frozenset({"to_larger_cog", "to_smaller_cog", "to_larger_ring", "to_smaller_ring"})
RING_SHIFTS: frozenset[str] = frozenset({"to_larger_ring", "to_smaller_ring"})

WHAT_BY_KIND: dict[str, tuple[str, ...]] = {
    "told": get_args(Told),
    "heard": get_args(Heard),
    "measured": (*get_args(MeasuredNumber), *get_args(MeasuredYesNo), "hanger_rim_mm"),
    "turned": get_args(Turned),
    "fitted": get_args(Fitted),
}
