// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "ohmglow/align/board_maps.h"
#include "ohmglow/align/static_view.h"
#include "ohmglow/input/case.h"

namespace ohmglow {

/// Sets board_from_frame by where the parts list falls in the photo, where that
/// is tied to the frame, else in the frame itself; with the latter the photo is
/// tied through the list where nothing else did. Adds a remark either way.
/// @param maps  without board_from_frame.
void TieByParts(const Case& job, const StaticView& still, BoardMaps& maps);

}  // namespace ohmglow
