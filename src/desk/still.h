// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <mutex>
#include <string>
#include <vector>

#include "ohmglow/base/image.h"
#include "ohmglow/input/case.h"

namespace ohmglow::desk {

/// A first look at the frames, before anything is registered: what landmarks are set on.
struct Still {
  Image rest;  ///< Mean of the first frames: about the view of the reference frame.
  Image rise;  ///< Frames at the highest current (without a log: the last) over the first.
  std::vector<double> means;  ///< Of each frame.
};

/// Reads the frames of a capture once and remembers them while its files stay the same.
class Stills {
 public:
  /// The first frames alone: comes at once.
  [[nodiscard]] Image Rest(const Case& job, const std::string& stamp);
  /// All of them.
  [[nodiscard]] Still Whole(const Case& job, const std::string& stamp);

 private:
  void Renew(const std::string& stamp);
  const Image& RestOf(const Case& job);

  std::mutex mutex_;  // A source of frames is read by one at a time.
  std::string stamp_;
  Still still_;
};

}  // namespace ohmglow::desk
