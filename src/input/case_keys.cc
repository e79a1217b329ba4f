// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_keys.h"

namespace ohmglow {

const std::vector<std::string>& CaseKeys() {
  static const std::vector<std::string> kNames = {"title",
                                                  "frames.source",
                                                  "frames.unit",
                                                  "frames.shrink",
                                                  "frames.warm_end",
                                                  "frames.scale",
                                                  "frames.zero",
                                                  "frames.table",
                                                  "frames.curve_gain",
                                                  "frames.curve_wavelength_um",
                                                  "frames.curve_shift_um_k",
                                                  "frames.curve_dark",
                                                  "frames.rate_hz",
                                                  "frames.times",
                                                  "frames.width_px",
                                                  "frames.height_px",
                                                  "frames.offset_bytes",
                                                  "frames.gap_bytes",
                                                  "frames.type",
                                                  "frames.crop",
                                                  "frames.member",
                                                  "frames.name_times",
                                                  "supply.log",
                                                  "supply.clock_offset_s",
                                                  "supply.columns",
                                                  "supply.delimiter",
                                                  "supply.decimal",
                                                  "supply.rate_hz",
                                                  "supply.levels",
                                                  "supply.levels_within_s",
                                                  "supply.steps",
                                                  "supply.volts",
                                                  "board.side",
                                                  "board.mm_per_pixel",
                                                  "board.thickness_mm",
                                                  "board.sheet_conductance_w_k",
                                                  "board.heat_capacity_j_m2k",
                                                  "board.photo",
                                                  "board.points",
                                                  "board.parts",
                                                  "board.parts_columns",
                                                  "board.parts_unit",
                                                  "board.parts_top",
                                                  "board.parts_chips",
                                                  "board.parts_bottom_x",
                                                  "board.parts_decimal",
                                                  "board.parts_delimiter",
                                                  "board.contacts",
                                                  "surface.emissivity",
                                                  "surface.reflected_c",
                                                  "surface.window_transmission",
                                                  "surface.window_c",
                                                  "surface.film_w_m2k"};
  return kNames;
}

}  // namespace ohmglow
