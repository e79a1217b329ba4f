// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/say_scale.h"

#include <cstdio>

#include "input/case_remarks.h"

namespace ohmglow {

void SayScaleOf(LocateResult& result) {
  if (result.maps.board_trust) {
    char text[60];
    std::snprintf(text, sizeof text, "%.4g mm", result.mm_per_pixel);
    SetAssumedScale({"board.mm_per_pixel", text, AssumedHow::kDefault, "from board.parts"},
                    result.assumed);
  }
  if (!result.maps.board_from_frame) {
    SetAssumedScale(AssumedScale(result.mm_per_pixel, false), result.assumed);
  }
}

}  // namespace ohmglow
