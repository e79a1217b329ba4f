// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

namespace ohmglow::simulate {

/// One case, every number drawn. What each field means, its unit and its
/// default stand in the table of keys in keys.cc (`simulate --help`).
struct Scenario {
  std::uint64_t seed = 0;
  double capture = 0;
  std::string name;

  std::string title, kind, film;

  double board_seed, board_width_mm, board_height_mm, board_thickness_mm, board_layers;
  double copper_um, plane_cover, islands, via_groups;
  std::string board_side, board_color;
  double film_top_w_m2k, film_bottom_w_m2k;
  double chips, resistors, circuits, transistors, inductors, connectors, cans, bottom_share;

  double ramp_s, clock_rate_ppm, log_gap_s, log_volts;
  double baseline_s, levels, top_amps, step_s, end_zero, log_hz, clock_offset_s, lead_ohm, load_ohm;

  double fault_count, fault_power_w, fault_exponent, fault_neighbor_mm, second_ratio;
  double first_ratio, off_middle_share;
  std::string fault_part, fault_side, fault_rework;

  double contacts, contact_w, wires, wire_k, track_w, inductor_w, power_scale;
  double standby_w, standby_onset_s, warm_w, warm_off_s, switched, switched_w;
  double hand_k, hand_begin_s, hand_hold_s, hand_sigma_mm, reflection_k, reflection_width;

  double width_px, height_px, mm_per_pixel, off_center_px, rotation_deg, tilt_deg, fov_deg, blur_px;
  double rate_hz, seconds, jitter, time_table, time_origin_s, scale_k, zero_k;
  double ambient_c, reflected_k, base_k, ambient_drift_k;
  double netd_k, column_k, fixed_k, slow_k, drift_k, bad_pixels, shutter_events;
  double row_k, drifting_pixels, pixel_drift_k, jump_events, doubled_frames, lost_frames,
      time_fault;
  double object_k, object_begin_s, object_hold_s, object_share;

  double photo_tilt_deg, photo_rotation_deg, photo_width_px, photo_margin, photo_light;
  double photo_distortion, photo_clutter, photo_blur_px, photo_noise;

  std::string motion;
  double motion_px, tilt_sway_deg, exposure_s;

  /// Seed of what differs between two captures of one board.
  [[nodiscard]] std::uint64_t capture_seed() const {
    return seed + 1'000'003 * static_cast<std::uint64_t>(capture);
  }
  /// The described side is the top: from it fault, contacts and tracks are placed.
  [[nodiscard]] bool described_top() const { return board_side == "top"; }
  /// The camera sees the top.
  [[nodiscard]] bool top() const { return described_top() == (film != "other"); }
};

}  // namespace ohmglow::simulate
