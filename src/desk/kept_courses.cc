// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/kept_courses.h"

#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>
#include <cstring>

#include "input/spool.h"

namespace ohmglow::desk {
namespace {

constexpr const char* kCoursesName = "the courses of a result";

std::size_t NumBytes(const Eigen::MatrixXf& courses) {
  return static_cast<std::size_t>(courses.size()) * sizeof(float);
}

}  // namespace

KeptCourses::KeptCourses(Eigen::MatrixXf& courses, cv::Size size) : courses_(courses), size_(size) {
  Spool spool(kCoursesName);
  spool.Write(0, courses.data(), NumBytes(courses));
  const std::size_t row_bytes = static_cast<std::size_t>(courses.cols()) * sizeof(float);
  for (Eigen::Index bin = 0; bin < courses.rows(); ++bin) {
    const Eigen::RowVectorXf row = courses.row(bin);
    spool.Write(
        NumBytes(courses) + static_cast<std::size_t>(bin) * row_bytes, row.data(), row_bytes);
  }
  file_.emplace(spool.Finish(kCoursesName));
  Release();
}

// Pages that are given back read as zero from then on; the ends may share theirs with others.
void KeptCourses::Release() const {
  const auto page = static_cast<std::uintptr_t>(sysconf(_SC_PAGESIZE));
  const auto begin = reinterpret_cast<std::uintptr_t>(courses_.data());
  const std::uintptr_t end = begin + NumBytes(courses_);
  const std::uintptr_t first = (begin + page - 1) / page * page;
  const std::uintptr_t last = end / page * page;
  const bool given =
      last > first && madvise(reinterpret_cast<void*>(first), last - first, MADV_DONTNEED) == 0;
  if (!given) {
    courses_.setZero();
    return;
  }
  std::memset(courses_.data(), 0, first - begin);
  std::memset(reinterpret_cast<void*>(last), 0, end - last);
}

KeptCourses::Window::Window(const KeptCourses& kept, cv::Rect window) : kept_(kept) {
  window &= cv::Rect({0, 0}, kept.size_);
  const std::size_t course_bytes = static_cast<std::size_t>(kept.courses_.rows()) * sizeof(float);
  for (int y = window.y; y < window.y + window.height; ++y) {
    const Eigen::Index first = Eigen::Index{y} * kept.size_.width + window.x;
    kept.file_->Read(static_cast<std::size_t>(first) * course_bytes,
                     static_cast<std::size_t>(window.width) * course_bytes,
                     kept.courses_.col(first).data(),
                     kCoursesName);
  }
}

KeptCourses::Window::~Window() { kept_.Release(); }

Eigen::RowVectorXf KeptCourses::Row(Eigen::Index bin) const {
  Eigen::RowVectorXf row(courses_.cols());
  const std::size_t row_bytes = static_cast<std::size_t>(row.size()) * sizeof(float);
  file_->Read(NumBytes(courses_) + static_cast<std::size_t>(bin) * row_bytes,
              row_bytes,
              row.data(),
              kCoursesName);
  return row;
}

}  // namespace ohmglow::desk
