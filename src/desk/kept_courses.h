// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Dense>
#include <opencv2/core.hpp>
#include <optional>

#include "input/byte_source.h"

namespace ohmglow::desk {

/// The courses of all points of a result, put aside into a file without a name (TMPDIR, else /tmp):
/// they are most of what a result holds, and a question needs those around one spot.
class KeptCourses {
 public:
  /// Takes them out of `courses`: its size stays, its values are zero and its memory goes back to
  /// the system.
  /// @param courses  bins x points (row-major points); must outlive this object.
  /// @throws InputError  where there is no room for the file; `courses` is then as it was.
  KeptCourses(Eigen::MatrixXf& courses, cv::Size size);

  /// Those of a window stand in the matrix while this object lives.
  class Window {
   public:
    Window(const KeptCourses& kept, cv::Rect window);
    ~Window();
    Window(const Window&) = delete;
    Window& operator=(const Window&) = delete;

   private:
    const KeptCourses& kept_;
  };

  /// The values of all points in one bin.
  [[nodiscard]] Eigen::RowVectorXf Row(Eigen::Index bin) const;

 private:
  void Release() const;

  Eigen::MatrixXf& courses_;
  cv::Size size_;
  std::optional<ByteSource> file_;  // Course by course, then bin by bin.
};

}  // namespace ohmglow::desk
