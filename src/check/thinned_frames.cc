// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "check/thinned_frames.h"

namespace ohmglow::internal {

Case Thinned(const Case& job, int step) {
  Case thin = job;
  thin.frames = std::make_shared<ThinnedFrames>(job.frames, step);
  thin.frame_times_s.clear();
  for (std::size_t n = 0; n < job.frame_times_s.size(); n += static_cast<std::size_t>(step)) {
    thin.frame_times_s.push_back(job.frame_times_s[n]);
  }
  return thin;
}

}  // namespace ohmglow::internal
