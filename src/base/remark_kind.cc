// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/base/remark_kind.h"

#include <algorithm>
#include <array>
#include <cstddef>

namespace ohmglow {
namespace {

struct Row {
  std::string_view key;
  RemarkNature nature;
};

// In the order of the kinds.
constexpr auto kRows = std::to_array<Row>({
    {"quoted", RemarkNature::kPlain},
    // What was measured of a place and speaks for or against it.
    {"by_itself", RemarkNature::kAgainst},
    {"smooth_course", RemarkNature::kAgainst},
    {"odd_exponent", RemarkNature::kAgainst},
    {"lead_wire", RemarkNature::kAgainst},
    {"track", RemarkNature::kAgainst},
    {"barely_stands_out", RemarkNature::kAgainst},
    {"hardly_warms", RemarkNature::kAgainst},
    {"halo", RemarkNature::kAgainst},
    {"contact_near", RemarkNature::kAgainst},
    {"beyond_parts", RemarkNature::kAgainst},
    {"at_rim", RemarkNature::kAgainst},
    {"come_out_aside", RemarkNature::kAgainst},
    {"from_below", RemarkNature::kPlain},
    {"unlisted_source", RemarkNature::kAgainst},
    {"no_part", RemarkNature::kPlain},
    {"beside_part", RemarkNature::kPlain},
    {"perhaps_on_part", RemarkNature::kPlain},
    {"carrier", RemarkNature::kAgainst},
    {"perhaps_carrier", RemarkNature::kAgainst},
    {"out_of_range", RemarkNature::kAgainst},
    {"grows_square", RemarkNature::kPlain},
    {"grows_linear", RemarkNature::kPlain},
    {"grows_otherwise", RemarkNature::kPlain},
    {"growth_too_faint", RemarkNature::kPlain},
    {"far_weaker", RemarkNature::kAgainst},
    {"metal_top", RemarkNature::kPlain},
    {"bound_by_readings", RemarkNature::kPlain},
    {"bound_by_supply", RemarkNature::kPlain},
    {"read_as_resistance", RemarkNature::kPlain},
    {"read_as_drop", RemarkNature::kPlain},
    {"clipped", RemarkNature::kAgainst},
    // Of captures of both sides.
    {"found_from_other_side", RemarkNature::kPlain},
    {"other_side_misses_it", RemarkNature::kAgainst},
    {"this_side_misses_it", RemarkNature::kAgainst},
    {"seen_from_both", RemarkNature::kPlain},
    {"side_top", RemarkNature::kPlain},
    {"side_bottom", RemarkNature::kPlain},
    {"missing_on_other_side", RemarkNature::kAgainst},
    {"stronger_on_other_side", RemarkNature::kAgainst},
    {"both_claim_it", RemarkNature::kAgainst},
    {"none_claims_it", RemarkNature::kAgainst},
    {"powers_disagree", RemarkNature::kPlain},
    {"of_place", RemarkNature::kPlain},
    // What to do next.
    {"shows_from", RemarkNature::kWarns},
    {"more_current", RemarkNature::kWarns},
    {"passed_over", RemarkNature::kUndermines},
    {"passed_over_relative", RemarkNature::kUndermines},
    {"passed_over_unlisted", RemarkNature::kUndermines},
    {"passed_over_unlisted_relative", RemarkNature::kUndermines},
    {"clocks_perhaps_unmatched", RemarkNature::kPlain},
    {"contact_hides_fault", RemarkNature::kPlain},
    {"take_off_shields", RemarkNature::kPlain},
    {"take_off_shields_mark_contacts", RemarkNature::kPlain},
    {"look_at_part_next", RemarkNature::kPlain},
    {"look_at_second_next", RemarkNature::kPlain},
    {"only_a_hint", RemarkNature::kWarns},
    {"check_polarity", RemarkNature::kPlain},
    {"film_other_side", RemarkNature::kPlain},
    {"turn_board", RemarkNature::kPlain},
    {"part_open", RemarkNature::kPlain},
    {"tell_apart", RemarkNature::kPlain},
    {"take_part_off", RemarkNature::kWarns},
    {"take_unnamed_off", RemarkNature::kWarns},
    {"not_in_view", RemarkNature::kPlain},
    {"further_fault_unseen", RemarkNature::kPlain},
    {"parts_of_list", RemarkNature::kPlain},
    {"parts_of_list_more", RemarkNature::kPlain},
    {"caution_relative", RemarkNature::kCaution},
    {"caution_hot", RemarkNature::kCaution},
    {"caution_supply", RemarkNature::kCaution},
    {"warm_by_itself", RemarkNature::kPlain},
    {"warm_no_fault", RemarkNature::kPlain},
    {"both_said", RemarkNature::kPlain},
    {"near_part", RemarkNature::kPlain},
    {"at_board", RemarkNature::kPlain},
    {"at_pixel", RemarkNature::kPlain},
    {"and_more", RemarkNature::kPlain},
    {"joint_shows_from", RemarkNature::kWarns},
    {"joint_more_current", RemarkNature::kWarns},
    {"work_there", RemarkNature::kPlain},
    {"side_stays_open", RemarkNature::kPlain},
    // What is odd about the supply, its times and its course.
    {"levels_hardly_told", RemarkNature::kUndermines},
    {"levels_not_seen", RemarkNature::kUndermines},
    {"level_without_trace", RemarkNature::kUndermines},
    {"level", RemarkNature::kPlain},
    {"switching_not_seen", RemarkNature::kUndermines},
    {"foreign_log", RemarkNature::kUndermines},
    {"rival_clock", RemarkNature::kPlain},
    {"spans_differ", RemarkNature::kUndermines},
    {"guessed_by_dates", RemarkNature::kPlain},
    {"guessed_by_rate", RemarkNature::kPlain},
    {"only_volts_setting", RemarkNature::kPlain},
    {"log_without_volts", RemarkNature::kPlain},
    {"volts_not_noted", RemarkNature::kPlain},
    {"currents_not_noted", RemarkNature::kPlain},
    {"course", RemarkNature::kPlain},
    {"course_costs_heat", RemarkNature::kPlain},
    {"course_goes_slowly", RemarkNature::kPlain},
    {"course_only_rises", RemarkNature::kPlain},
    {"course_without_rest", RemarkNature::kPlain},
    {"short_hardly_told", RemarkNature::kPlain},
    {"short_needs_heat", RemarkNature::kPlain},
    {"short_needs_some_heat", RemarkNature::kPlain},
    {"end_at_zero", RemarkNature::kPlain},
    {"film_longer", RemarkNature::kPlain},
    {"alternate_s", RemarkNature::kPlain},
    {"alternate_min", RemarkNature::kPlain},
    // Where things lie: scale, registration, photo, parts list.
    {"scale_is_guess", RemarkNature::kUndermines},
    {"watts_by_guess", RemarkNature::kUndermines},
    {"frame_may_be_off", RemarkNature::kUndermines},
    {"no_texture", RemarkNature::kPlain},
    {"weak_texture", RemarkNature::kPlain},
    {"photo_laid", RemarkNature::kPlain},
    {"photo_not_laid", RemarkNature::kUndermines},
    {"parts_laid_on_photo", RemarkNature::kPlain},
    {"parts_laid_on_frames", RemarkNature::kPlain},
    {"parts_not_tied", RemarkNature::kUndermines},
    {"regions_untied", RemarkNature::kPlain},
    {"few_landmarks", RemarkNature::kPlain},
    {"landmarks_unchecked", RemarkNature::kPlain},
    {"photo_landmark_left_out", RemarkNature::kPlain},
    {"board_landmark_left_out", RemarkNature::kPlain},
    // Why a frame takes no part, and what happened at a frame.
    {"frame_unreadable", RemarkNature::kPlain},
    {"frame_repeats", RemarkNature::kPlain},
    {"frame_frozen", RemarkNature::kPlain},
    {"frame_saturated", RemarkNature::kPlain},
    {"frame_lost", RemarkNature::kPlain},
    {"frame_blurred", RemarkNature::kPlain},
    {"frame_covered", RemarkNature::kPlain},
    {"frames_missing", RemarkNature::kPlain},
    {"picture_stood_still", RemarkNature::kPlain},
    {"none_repeated", RemarkNature::kPlain},
    {"written_often", RemarkNature::kPlain},
    {"then_stepped", RemarkNature::kPlain},
    {"then_stepped_relative", RemarkNature::kPlain},
    {"covered_warmer", RemarkNature::kPlain},
    {"covered_colder", RemarkNature::kPlain},
    {"covered_warmer_relative", RemarkNature::kPlain},
    {"covered_colder_relative", RemarkNature::kPlain},
    {"stays_covered", RemarkNature::kPlain},
    // What a comparison of two captures means.
    {"place_named", RemarkNature::kPlain},
    {"place_named_part", RemarkNature::kPlain},
    {"heat_gone", RemarkNature::kPlain},
    {"heat_gone_none_new", RemarkNature::kPlain},
    {"heat_gone_same_resistance", RemarkNature::kPlain},
    {"measure_before_power", RemarkNature::kWarns},
    {"still_takes_power", RemarkNature::kPlain},
    {"also_look_at", RemarkNature::kPlain},
    {"takes_power_now", RemarkNature::kPlain},
    {"warms_as_before", RemarkNature::kPlain},
    {"warms_unfilmed_before", RemarkNature::kPlain},
    {"none_to_compare", RemarkNature::kPlain},
    {"wrong_order_places", RemarkNature::kPlain},
    {"second_misses_fault", RemarkNature::kPlain},
    {"neither_fault_nor_none", RemarkNature::kPlain},
    {"rail_takes_less", RemarkNature::kWarns},
    {"needs_more_current", RemarkNature::kWarns},
    {"needs_more_current_or_frames", RemarkNature::kWarns},
    {"wrong_order_resistance", RemarkNature::kPlain},
    {"same_capture_twice", RemarkNature::kPlain},
    {"only_regions_compared", RemarkNature::kPlain},
    {"resistances_not_compared", RemarkNature::kPlain},
    {"leads_in_resistance", RemarkNature::kPlain},
});
static_assert(kRows.size() == static_cast<std::size_t>(RemarkKind::kNum));

}  // namespace

std::string_view KeyOf(RemarkKind kind) { return kRows.at(static_cast<std::size_t>(kind)).key; }

std::optional<RemarkKind> KindOf(std::string_view key) {
  const auto* const row =
      std::find_if(kRows.begin(), kRows.end(), [&](const Row& one) { return one.key == key; });
  if (row == kRows.end()) return std::nullopt;
  return static_cast<RemarkKind>(row - kRows.begin());
}

RemarkNature NatureOf(RemarkKind kind) { return kRows.at(static_cast<std::size_t>(kind)).nature; }

}  // namespace ohmglow
