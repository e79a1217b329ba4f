// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/remembered_frames.h"

namespace ohmglow::internal {

RememberedFrames::RememberedFrames(FrameSource& frames, std::size_t most_bytes) : frames_(frames) {
  const auto count = static_cast<std::size_t>(frames.count());
  const auto each = static_cast<std::size_t>(frames.size_px().area()) * sizeof(float);
  if (count <= most_bytes / each) kept_.resize(count);
}

void RememberedFrames::Read(int index, Image& kelvin) {
  if (kept_.empty()) {
    frames_.Read(index, kelvin);
    return;
  }
  Kept& kept = kept_.at(static_cast<std::size_t>(index));
  if (kept.kelvin.empty()) {
    frames_.Read(index, kept.kelvin);
    kept.problem = frames_.Problem(index);
  }
  kept.kelvin.copyTo(kelvin);
}

std::string RememberedFrames::Problem(int index) const {
  return kept_.empty() ? frames_.Problem(index) : kept_.at(static_cast<std::size_t>(index)).problem;
}

}  // namespace ohmglow::internal
