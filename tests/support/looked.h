// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "heat/response.h"
#include "heat/source_kinds.h"
#include "support/scene.h"

namespace ohmglow::testing {

/// A stack looked at under a drive, as the ranking finds it.
struct Looked {
  Looked(const Stack& stack, Drive drive_of_it)
      : drive(std::move(drive_of_it)), model(TemporalModel::OffsetAlone(stack)) {
    Eigen::MatrixXf courses = PixelCourses(stack, model);
    RemoveCommonOffset(courses, model, drive, stack.seen);
    response = FitResponse(courses, stack, drive, sources, {}, model);
  }

  SourceCourses sources = MakeSourceCourses(Plate{});
  Drive drive;
  TemporalModel model;
  Response response;
};

}  // namespace ohmglow::testing
