"""Which tests a run leaves to the second stage, `python -m pytest -m second`, which `.ci/run` makes after the first.

The first stage proves each thing once, in minutes; the second proves it on every shipped set and with every variant,
and has what takes longest. STRUTWRIGHT_THOROUGH=1 runs both, in their long form.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import pytest
from support import SETS, THOROUGH, few

SECOND: dict[str, tuple[str, ...]] = {
    "test_anodes": ("test_the_strut_in_the_water_is_no_larger_than_what_is_counted",),
    "test_calls_by_name": ("test_calls_with_many_values_name_them", "test_records_of_many_values_are_made_by_name"),
    "test_clearances": ("test_a_tool_in_the_arm_is_found_by_the_solid",),
    "test_command_line": ("test_meaning_knows_every_path",),
    "test_commands_of_kinds": ("test_housings_go_through_the_benchmark",),
    "test_each_way_of_adding": (
        "test_a_pattern_of_bolts_and_an_end_of_the_barrel",
        "test_a_limit_and_a_check_of_the_engineering",
    ),
    "test_hull_curve": ("test_another_face_in_the_file_is_found_out",),
    "test_inspection_record": ("test_a_form_of_another_strut_is_told",),
    "test_kernel_guard": ("test_this_process_never_loads_the_kernel",),
    "test_limits_move_findings": ("test_every_limit_of_a_search_moves_what_it_proposes_up_and_down",),
    "test_many": (
        "test_many_build_what_single_builds_do",
        "test_what_dies_or_cannot_be_used_stops_no_other",
        "test_a_stop_leaves_what_is_done_and_goes_on_from_there",
    ),
    "test_no_room": ("test_a_second_build_into_the_same_folder_is_refused",),
    "test_output_folder": ("test_stops_are_heard_where_the_shell_has_them_ignored",),
    "test_own_limits": ("test_the_benchmark_takes_limits", "test_a_judge_of_candidates_has_the_limits_of_its_job"),
    "test_packaging": (
        "test_wheel_holds_every_module_and_data_file",
        "test_wheel_holds_nothing_else",
        "test_the_bill_of_materials_has_all_that_is_needed",
    ),
    "test_page_in_browser": (
        "test_a_change_turns_the_finding_and_its_way_out_mends_it",
        "test_the_model_turns_and_a_set_is_kept_and_opened_again",
    ),
    "test_parameter_paths": ("test_every_path_in_the_source_is_a_parameter",),
    "test_repair": (
        "test_each_bearing_of_a_barrel_is_followed_by_itself",
        "test_limits_of_the_shop_move_the_sleeve",
        "test_the_wear_limit_is_the_safest_of_those_in_circulation_at_40_mm",
        "test_next_bolt_sizes_are_held_to_the_checks",
    ),
    "test_script": (
        "test_a_palm_is_changed_and_what_cannot_be_is_said",
        "test_a_script_builds_what_the_step_file_has",
        "test_nothing_is_asked_for_that_was_left_out",
    ),
    "test_sheets_parts": ("test_same_bytes_in_two_processes", "test_simple_outlines_need_no_corners"),
    "test_sizing": ("test_hints_never_decide",),
    "test_sizing_optimum": ("test_drag_counts_as_weight_in_the_search",),
    "test_start_command": (
        "test_start_makes_no_set_that_fails_its_own_check",
        "test_start_does_not_wait_for_a_silent_pipe_and_names_the_defaults",
    ),
    "test_study_rows": ("test_no_row_stands_better_than_its_check",),
    "test_survey_command": ("test_figures_go_into_a_copy_and_into_a_set_that_is_there",),
    "test_watch": ("test_it_ends_with_ctrl_c",),
    "test_words": ("test_no_size_is_put_into_words_by_hand",),
    "test_words_of_checks": ("test_a_broken_check_has_one_colon_to_a_line",),
}
"""Tests of the second stage, by file."""

VARIANTS: dict[str, dict[str, Sequence[int]]] = {
    "test_a_check_counts_everywhere": {"test_a_check_that_is_added_counts_everywhere": (1,)},
    "test_builders": {"test_every_section": (1,)},
    "test_command_line": {"test_what_is_no_set_is_told_plainly": range(0, 100, 3)},
    "test_fatigue_property": {"test_any_file_is_worked_out": range(0, 100, 2)},
    "test_hull_curve": {"test_a_curved_palm_is_measured_again_in_its_file": (0,)},
    "test_hull_inputs": {"test_new_asks_for_the_side": (1,)},
    "test_installation": {
        "test_what_is_out_is_told": range(0, 100, 3),
        "test_the_trial_has_the_room_that_is_left_and_each_bolt_its_palm": (0,),
    },
    "test_kernel_guard": {
        "test_a_lost_step_is_left_out_and_named": (0, 2, 4),
        "test_no_worker_outlives_its_job": (0, 3),
    },
    "test_limits_move_findings": {
        "test_a_limit_of_nought_makes_every_finding_of_the_geometry_still": range(0, 1000, 3),
        "test_every_limit_of_the_geometry_moves_a_finding_up_and_down": range(0, 1000, 3),
    },
    "test_main_sizes_property": {"test_each_parameter_of_the_strut_has_a_place": (0,)},
    "test_many": {"test_a_file_of_what_is_done_that_cannot_be_read_counts_for_nothing": (0,)},
    "test_new_section_kind": {
        "test_a_file_with_it_is_resolved_checked_and_sized": (0,),
        "test_a_fin_of_it_is_drawn_and_cut": (0,),
    },
    "test_no_check_is_silent": {"test_every_check_answers_for_a_random_set": range(0, 1000, 2)},
    "test_no_room": {"test_new_leaves_no_part_of_a_file": (0,), "test_what_is_printed_to_a_full_disk": (2,)},
    "test_output_folder": {"test_a_stop_of_a_real_build": (0,)},
    "test_own_limits_by_rule": {"test_a_size_by_rule_keeps_the_limit_in_force_and_says_so": range(0, 100, 3)},
    "test_parameter_paths": {"test_findings_of_trial_sets_name_parameters": range(0, 1000, 3)},
    "test_pintle_sleeve": {"test_checks_take_the_sleeve_for_the_pintle": (0,)},
    "test_plain_words": {"test_no_wrong_value_is_told_in_the_words_of_a_library": range(0, 100, 3)},
    "test_repair_command": {"test_sheet_and_form_fit_their_paper": (0,)},
    "test_sheet_texts": {"test_every_text_of_the_title_block_fits_on_every_sheet": range(0, 100, 2)},
    "test_sizing": {"test_bolts_of_the_smallest_and_largest_shafts": (0,)},
    "test_slips_of_the_program": {
        "test_a_study_clears_nothing_after_a_slip": range(0, 100, 3),
        "test_odd_sizes_leave_a_warning_in_a_study": (1,),
    },
    "test_start_command": {
        "test_start_says_which_answer_cannot_be_met_and_writes_nothing": (0, 2),
        "test_a_vee_on_a_small_shaft_has_a_drop_that_passes_and_is_told": (0,),
        "test_start_refuses_a_piped_answer_that_cannot_be_used": (0,),
    },
    "test_straighten_command": {"test_a_card_fits_its_paper_and_is_read_at_arms_length": range(0, 100, 3)},
    "test_stress": {"test_command_refuses_in_words": (0, 2)},
    "test_study": {"test_what_only_the_study_says_counts_as_in_a_check": (0,)},
    "test_survey_command": {"test_a_form_is_one_page_with_a_sketch_for_each_way": range(0, 100, 2)},
    "test_tube_barrel": {"test_tube_stock_of_a_shipped_set": (0,)},
}
"""Tests of which the first stage runs a few variants, by file: the places of these in the list of its parameters."""


def put_into_stages(items: list[pytest.Item], *, both: bool) -> None:
    """Mark what is of the second stage, and leave it out of the run unless both are asked for.

    Of a test over shipped sets the first stage takes the few that together have every feature, or else the first.
    """
    variants: defaultdict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        variants[item.nodeid.partition("[")[0]].append(item)
    for of_one in variants.values():
        for item in later(of_one):
            item.add_marker(pytest.mark.second)
            if not both:
                item.add_marker(pytest.mark.skip(reason="of the second stage: python -m pytest -m second"))


def later(variants: list[pytest.Item]) -> list[pytest.Item]:
    """Return those variants of a test that are of the second stage."""
    file, name = variants[0].path.stem, variants[0].nodeid.rpartition("::")[2].partition("[")[0]
    if name in SECOND.get(file, ()):
        return variants
    if (first := VARIANTS.get(file, {}).get(name)) is not None:
        return [item for k, item in enumerate(variants) if k not in first]
    over = [item for item in variants if any(s not in few() for s in sets_in(item))]
    return over[1:] if len(over) == len(variants) else over


def sets_in(item: pytest.Item) -> list[str]:
    """Return the shipped sets that are parameters of a test."""
    call = getattr(item, "callspec", None)
    return [] if call is None else [v for v in call.params.values() if isinstance(v, str) and v in SETS]


def asked_for(config: pytest.Config) -> bool:
    """Return whether a run has the second stage: by the long run, by its mark, or by the names of single tests."""
    return THOROUGH or "second" in config.option.markexpr or any("::" in arg for arg in config.args)
