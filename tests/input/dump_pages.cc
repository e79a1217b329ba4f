// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0

// Writes the frames of a file as they are read, for checks against other programs:
// input_dump_pages FILE [width height] gives one line "count width height" on
// stderr and all values as 32-bit floats on stdout.
#include <cstdio>
#include <cstdlib>
#include <exception>

#include "input/count_pages.h"

int main(int argc, char** argv) {
  if (argc != 2 && argc != 4) return 2;
  try {
    ohmglow::FrameFormat format;
    if (argc == 4) {
      format.width_px = std::atoi(argv[2]);
      format.height_px = std::atoi(argv[3]);
    }
    const auto pages = ohmglow::OpenCounts(argv[1], format);
    std::fprintf(
        stderr, "%d %d %d\n", pages->count(), pages->size_px().width, pages->size_px().height);
    cv::Mat counts;
    cv::Mat values;
    for (int page = 0; page < pages->count(); ++page) {
      pages->Read(page, counts);
      counts.convertTo(values, CV_32F);
      std::fwrite(values.ptr(), sizeof(float), values.total(), stdout);
    }
    return 0;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
