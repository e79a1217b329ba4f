// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
//
// The whole job from C++: reads a case, locates, prints the first place and
// its power.
#include <cstdio>
#include <iostream>

#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: locate_example CASE.ini\n";
    return 2;
  }
  try {
    const ohmglow::Case job = ohmglow::LoadCase(argv[1]);
    ohmglow::LocateOptions options;
    options.rank.max_candidates = 3;
    const ohmglow::LocateResult result = ohmglow::Locate(job, options);
    if (result.verdict == ohmglow::Verdict::kNone) {
      std::printf("nothing found; %.3f W would have been seen\n", result.detectable_w);
      return 0;
    }
    const ohmglow::Candidate& first = result.candidates.front();
    std::printf("pixel %.1f, %.1f: %.3f W\n", first.frame_px.x, first.frame_px.y, first.power_w);
    if (!first.parts.empty()) std::printf("part %s\n", first.parts.front().ref.c_str());
    return 0;
  } catch (const ohmglow::Error& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
}
