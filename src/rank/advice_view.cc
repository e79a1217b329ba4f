// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice_view.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr int kSamples = 7;  // Along each side of a part.
constexpr double kLeastSeen = 0.5;
constexpr std::size_t kMostUnseenNamed = 4;

bool IsSeen(const LocateResult& result, Point frame_px) {
  const cv::Point at(cvRound(frame_px.x), cvRound(frame_px.y));
  if (!cv::Rect({0, 0}, result.frame_size_px).contains(at)) return false;
  return result.limit_w.size() != result.frame_size_px || std::isfinite(result.limit_w(at));
}

double SeenShare(const Part& part, const LocateResult& result, const PlaneMap& frame_from_board) {
  int num_seen = 0;
  for (int i = 0; i < kSamples; ++i) {
    for (int j = 0; j < kSamples; ++j) {
      const Point off(((i + 0.5) / kSamples - 0.5) * part.width_mm,
                      ((j + 0.5) / kSamples - 0.5) * part.height_mm);
      num_seen += IsSeen(result, frame_from_board.Apply(part.center_mm + off)) ? 1 : 0;
    }
  }
  return static_cast<double>(num_seen) / (kSamples * kSamples);
}

}  // namespace

std::vector<Part> PartsNotInView(const std::vector<Part>& parts, const LocateResult& result) {
  std::vector<Part> out;
  if (!result.maps.board_from_frame || result.frame_size_px.area() <= 0) return out;
  const PlaneMap frame_from_board = result.maps.board_from_frame->Inverse();
  for (const Part& part : parts) {
    if (SeenShare(part, result, frame_from_board) < kLeastSeen) out.push_back(part);
  }
  return out;
}

std::vector<Part> PartsOn(BoardSide side, const std::vector<Part>& parts) {
  std::vector<Part> out;
  std::copy_if(parts.begin(), parts.end(), std::back_inserter(out), [&](const Part& part) {
    return part.side == side;
  });
  return out;
}

std::vector<Part> InBoth(const std::vector<Part>& some, const std::vector<Part>& others) {
  std::vector<Part> out;
  for (const Part& part : some) {
    const bool known = std::any_of(others.begin(), others.end(), [&](const Part& other) {
      return other.ref == part.ref && other.side == part.side;
    });
    if (known) out.push_back(part);
  }
  return out;
}

Remark NamesOf(const std::vector<Part>& parts) {
  std::vector<Part> sorted = parts;
  std::stable_sort(sorted.begin(), sorted.end(), [](const Part& a, const Part& b) {
    return a.width_mm * a.height_mm > b.width_mm * b.height_mm;
  });
  if (sorted.empty()) return {};
  // "and 1 other" would be as long as its name.
  const std::size_t num = sorted.size() > kMostUnseenNamed + 1 ? kMostUnseenNamed : sorted.size();
  std::vector<Remark> names;
  for (std::size_t i = 0; i < num; ++i) names.push_back(Remark::Quoted(sorted[i].ref));
  if (num == sorted.size()) {
    return Remark(RemarkKind::kPartsOfList).With("parts", std::move(names));
  }
  return Remark(RemarkKind::kPartsOfListMore)
      .With("parts", std::move(names))
      .With("count", static_cast<double>(sorted.size() - num));
}

}  // namespace ohmglow
