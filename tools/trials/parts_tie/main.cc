// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

#include "ohmglow/align/parts_alignment.h"
#include "program.h"
#include "simulate/photo.h"
#include "simulate/random.h"
#include "trial.h"

// Trials of the parts list that ties itself to a picture.

namespace {

using namespace ohmglow;  // NOLINT(google-build-using-namespace)

constexpr const char* kUsage =
    "parts_tie_trials FIRST_SEED COUNT [pfuPFU]\n"
    "parts_tie_trials --case CASE.INI TRUTH.JSON\n\n"
    "Lays parts lists on pictures without landmarks and prints one row a try, with the\n"
    "true error over the board in millimetres: of simulated boards (p: photo, f: frame,\n"
    "u: frame whose scale is not known; P, F and U: the same pictures with the list of\n"
    "another board), or of a case folder.\n";

constexpr int kGrid = 12;
constexpr int kCaseFrames = 30;

/// What a try is judged by.
struct Truth {
  PlaneMap picture_from_board;
  cv::Matx33d list_from_board = cv::Matx33d::eye();
  cv::Size size_px;
  cv::Rect2d board_mm;
};

/// Rms over what the picture shows of the board [mm].
double ErrorMm(const PlaneMap& picture_from_list, const Truth& truth) {
  const PlaneMap list_from_picture = picture_from_list.Inverse();
  const PlaneMap board_from_list{truth.list_from_board.inv()};
  double sum = 0;
  int count = 0;
  for (int j = 0; j < kGrid; ++j) {
    for (int i = 0; i < kGrid; ++i) {
      const Point at(truth.board_mm.x + truth.board_mm.width * (i + 0.5) / kGrid,
                     truth.board_mm.y + truth.board_mm.height * (j + 0.5) / kGrid);
      const Point p = truth.picture_from_board.Apply(at);
      if (!cv::Rect2d({}, cv::Size2d(truth.size_px)).contains(p)) continue;
      const Point off = board_from_list.Apply(list_from_picture.Apply(p)) - at;
      sum += off.dot(off);
      ++count;
    }
  }
  return count > 0 ? std::sqrt(sum / count) : 1e9;
}

template <typename Align>
void Try(const std::string& name, const char* what, const Truth& truth, const Align& align) {
  const std::clock_t begin = std::clock();
  const PartsAlignment found = align();
  const double seconds = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
  std::printf("%s,%s,%.2f,%.2f,%.2f,%.3f,%.3f,%.3f,%d,%.2f\n",
              name.c_str(),
              what,
              found.evidence,
              found.rival_evidence,
              found.evidence - found.rival_evidence,
              found.trust,
              std::min(99.0, ErrorMm(found.picture_from_board, truth)),
              found.error_mm,
              found.accepted ? 1 : 0,
              seconds);
  std::fflush(stdout);
}

void TrySimulated(std::uint64_t seed, const std::string& modes) {
  const simulate::Setting set = trials::MakeTrial(seed);
  const BoardSide side = set.scenario.top() ? BoardSide::kTop : BoardSide::kBottom;
  const auto has = [&](char mode) { return modes.find(mode) != std::string::npos; };
  const trials::List list = trials::MakeList(set, seed);
  trials::List other = list;
  if (modes.find_first_of("PFU") != std::string::npos) {
    const simulate::Setting board = trials::MakeTrial(seed + 5000);
    other = trials::MakeList(board, seed + 5000);
    const bool same_side = board.scenario.top() == set.scenario.top();
    for (Part& p : other.parts) {
      if (same_side) continue;
      p.side = p.side == BoardSide::kTop ? BoardSide::kBottom : BoardSide::kTop;
    }
  }
  const std::string name = std::to_string(seed);
  const cv::Rect2d board_mm(0, 0, set.board.width_mm, set.board.height_mm);
  if (has('p') || has('P')) {
    const cv::Mat photo = simulate::DrawPhoto(set.board, set.scenario, set.photo_view);
    const Truth truth{set.photo_from_board, list.list_from_board, photo.size(), board_mm};
    const auto align = [&](const trials::List& l) {
      return [&] { return AlignPartsToPhoto(l.parts, side, photo, {}); };
    };
    if (has('p')) Try(name, "photo", truth, align(list));
    if (has('P')) Try(name, "photo of another board", truth, align(other));
  }
  if (modes.find_first_of("fFuU") != std::string::npos) {
    const StaticView still = trials::MakeStill(set);
    const Truth truth{set.frame_from_board, list.list_from_board, set.view.size_px, board_mm};
    simulate::Random random(seed, "knows");
    PartsAlignOptions options;
    options.mm_per_pixel = set.view.mm_per_pixel * random.Uniform(0.95, 1.05);
    const auto align = [&](const trials::List& l) {
      return [&] { return AlignPartsToFrame(l.parts, side, still, options); };
    };
    if (has('f')) Try(name, "frame", truth, align(list));
    if (has('F')) Try(name, "frame of another board", truth, align(other));
    options.mm_per_pixel.reset();
    if (has('u')) Try(name, "frame without a scale", truth, align(list));
    if (has('U')) Try(name, "frame of another board without a scale", truth, align(other));
  }
}

PlaneMap MapOf(const nlohmann::json& rows) {
  PlaneMap map;
  for (int j = 0; j < 3; ++j) {
    for (int i = 0; i < 3; ++i) {
      map.matrix(j, i) = rows.at(static_cast<std::size_t>(j)).at(static_cast<std::size_t>(i));
    }
  }
  return map;
}

// Mean of the first frames as they are, without registration: the camera moves little in them.
StaticView FirstFrames(FrameSource& frames) {
  Image sum, one;
  const int count = std::min(kCaseFrames, frames.count());
  for (int n = 0; n < count; ++n) {
    frames.Read(n, one);
    if (sum.empty()) sum = Image(one.size(), 0.0F);
    sum += one;
  }
  sum *= 1.0 / count;
  Mask seen;
  cv::inRange(sum, 1, 1e5, seen);
  return {sum, seen};
}

void TryCase(const std::string& case_file, const std::string& truth_file) {
  const Case job = LoadCase(case_file);
  const auto json = nlohmann::json::parse(std::ifstream(truth_file));
  cv::Rect2d board_mm;
  for (const Part& p : job.parts) {
    const cv::Rect2d at(p.center_mm.x, p.center_mm.y, 0.1, 0.1);
    board_mm = board_mm.empty() ? at : (board_mm | at);
  }
  const Truth photo{
      MapOf(json.at("homography_board_to_photo")), cv::Matx33d::eye(), job.photo.size(), board_mm};
  Try(job.title, "photo", photo, [&] {
    return AlignPartsToPhoto(job.parts, job.side, job.photo, {});
  });
  const StaticView still = FirstFrames(*job.frames);
  PartsAlignOptions options;
  options.mm_per_pixel = job.mm_per_pixel;
  const Truth frame{MapOf(json.at("homography_board_to_frame")),
                    cv::Matx33d::eye(),
                    still.picture_k.size(),
                    board_mm};
  Try(job.title, "frame", frame, [&] {
    return AlignPartsToFrame(job.parts, job.side, still, options);
  });
}

int Run(int argc, char** argv) {
  if (argc < 3) {
    std::cerr << kUsage;
    return tools::kOptions;
  }
  if (std::string(argv[1]) == "--case" && argc == 4) {
    TryCase(argv[2], argv[3]);
    return tools::kDone;
  }
  std::printf("name,what,evidence,rival,margin,trust,error_mm,stated_mm,accepted,seconds\n");
  const auto first = static_cast<std::uint64_t>(std::stoull(argv[1]));
  const auto count = static_cast<std::uint64_t>(std::stoull(argv[2]));
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    TrySimulated(seed, argc > 3 ? argv[3] : "pfPF");
  }
  return tools::kDone;
}

}  // namespace

int main(int argc, char** argv) {
  return ohmglow::tools::RunProgram("parts_tie_trials", [&] { return Run(argc, argv); });
}
