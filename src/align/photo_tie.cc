// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstdio>
#include <optional>
#include <string>

#include "align/parts_tie.h"
#include "ohmglow/align/photo_alignment.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLeastLandmarks = 3;

std::string Laid(const PhotoAlignment& found) {
  char text[240];
  std::snprintf(text,
                sizeof text,
                "The photo was laid on the frames without landmarks (confidence %.0f %%, to about "
                "%.0f photo pixels): see whether it fits.",
                100 * found.trust,
                std::max(1.0, found.error_px));
  return text;
}

std::string AskForLandmarks(const PhotoAlignment& found) {
  char text[360];
  std::snprintf(
      text,
      sizeof text,
      "The photo cannot be laid on the frames without landmarks (the best fit is only %.0f %% "
      "sure): give "
      "three or more, well apart (see ohmglow help case).",
      100 * found.trust);
  return text;
}

void Accept(const PhotoAlignment& found, BoardMaps& maps) {
  maps.photo_from_frame = found.photo_from_frame;
  maps.photo_trust = found.trust;
  maps.remarks.push_back(Laid(found));
}

}  // namespace

BoardMaps TieToBoard(const Case& job, const StaticView& still, const PhotoAlignOptions& options) {
  BoardMaps maps = FitBoardMaps(job.landmarks, job.photo.size());
  std::optional<PhotoAlignment> found;
  if (job.landmarks.size() < kLeastLandmarks && !job.photo.empty()) {
    found = AlignPhoto(still, job.photo, options);
    if (found->accepted) Accept(*found, maps);
  }
  if (!maps.board_from_frame && !job.parts.empty()) TieByParts(job, still, maps);
  // Unless the list, which lies on both, has tied them.
  if (found && !maps.photo_from_frame) maps.remarks.push_back(AskForLandmarks(*found));
  return maps;
}

}  // namespace ohmglow
