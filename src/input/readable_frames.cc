// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "readable_frames.h"

#include <limits>

#include "count_pages.h"
#include "ohmglow/base/error.h"

namespace ohmglow {

void ReadableFrames::Read(int index, Image& kelvin) {
  try {
    return frames_->Read(index, kelvin);
  } catch (const InputError& error) {
    problems_.emplace(index, error.what());
  }
  const int lost = static_cast<int>(problems_.size());
  if (!FewLost(lost, count())) {
    throw InputError(problems_.begin()->second + " (" + std::to_string(lost) + " of " +
                     std::to_string(count()) +
                     " frames cannot be read, more than the tenth that may be lost)");
  }
  kelvin.create(size_px());
  kelvin.setTo(std::numeric_limits<float>::quiet_NaN());
}

std::string ReadableFrames::Problem(int index) const {
  const auto found = problems_.find(index);
  return found == problems_.end() ? std::string() : found->second;
}

}  // namespace ohmglow
