// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <cstddef>
#include <random>
#include <utility>

#include "heat/response.h"
#include "heat/source_kinds.h"
#include "support/scene.h"

namespace ohmglow {
namespace {

// Most memory that this process ever held.
double PeakBytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return 1024.0 * static_cast<double>(usage.ru_maxrss);
}

// The bins are let go and the courses softened in place: to fit the response takes less than
// the bins took, and not another set of courses on top.
TEST(FitResponse, HoldsTheCoursesOnce) {
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "the sanitizer holds memory of its own";
#endif
  const testing::Steps steps = {{5, 1.0}, {15, 2.0}, {28, 0.0}};
  Stack stack = testing::StillStack({320, 240}, 100, 3, 0.133);
  std::mt19937 random(5);
  testing::AddNoise(random, 0.05, stack);
  TemporalModel model = TemporalModel::OffsetAlone(stack);
  const Drive drive(testing::StepLog(steps, 40), 0);
  Eigen::MatrixXf courses = PixelCourses(stack, model);
  RemoveCommonOffset(courses, model, drive, stack.seen);
  KeepStaticBins(stack);
  const double size_bytes = sizeof(float) * static_cast<double>(courses.size());
  const double before_bytes = PeakBytes();
  const Response response = FitResponse(
      std::move(courses), stack, drive, MakeSourceCourses(Plate{}), HeatOptions(), model);
  EXPECT_EQ(response.courses.cols(), 320 * 240);
  EXPECT_LT(PeakBytes() - before_bytes, 0.5 * size_bytes);
}

}  // namespace
}  // namespace ohmglow
