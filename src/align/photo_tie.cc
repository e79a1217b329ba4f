// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <optional>

#include "align/parts_tie.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr std::size_t kLeastLandmarks = 3;

Remark Laid(const PhotoAlignment& found) {
  return Remark(RemarkKind::kPhotoLaid)
      .With("percent", 100 * found.trust)
      .With("error_px", std::max(1.0, found.error_px));
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
  if (found && !maps.photo_from_frame) {
    maps.remarks.push_back(
        Remark(RemarkKind::kPhotoNotLaid).With("percent", std::floor(100 * found->trust)));
  }
  return maps;
}

}  // namespace ohmglow
