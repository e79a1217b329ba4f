// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Motion, screening and bad pixels on the captures with known truth. Prints a
// row a case; the bounds are those of today, so that none gets worse unseen.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "align/synthetic.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

namespace fs = std::filesystem;

Similarity FromJson(const nlohmann::json& row) {
  return {row[0].get<double>(), row[1].get<double>(), row[2].get<double>(), row[3].get<double>()};
}

std::vector<double> MotionErrors(const Alignment& alignment,
                                 const nlohmann::json& truth,
                                 cv::Size size) {
  const nlohmann::json& shifts = truth.at("shifts");
  const Similarity back =
      FromJson(shifts.at(static_cast<std::size_t>(alignment.reference))).Inverse();
  std::vector<double> errors;
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    if (!alignment.frames[n].used) continue;
    errors.push_back(testing::MotionDistance(
        alignment.frames[n].frame_from_reference, FromJson(shifts.at(n)).After(back), size));
  }
  std::sort(errors.begin(), errors.end());
  return errors;
}

std::set<int> ShutterFrames(const nlohmann::json& truth) {
  std::set<int> frames;
  for (const auto& event : truth.at("shutter_frames")) {
    for (int k = 0; k < event[1].get<int>(); ++k) frames.insert(event[0].get<int>() + k);
  }
  return frames;
}

struct PixelScore {
  int bad = 0;
  int found = 0;
  int lost = 0;
};

PixelScore ScorePixels(const Mask& good, const nlohmann::json& truth) {
  PixelScore score;
  for (const auto& p : truth.at("bad_pixels")) {
    ++score.bad;
    score.found += good(p[1].get<int>(), p[0].get<int>()) == 0 ? 1 : 0;
  }
  score.lost = static_cast<int>(good.total()) - cv::countNonZero(good) - score.found;
  return score;
}

void CheckCase(const fs::path& folder, const nlohmann::json& truth) {
  const Case job = LoadCase(folder / "case.ini");
  const cv::Size size = job.frames->size_px();
  const Alignment alignment = Align(*job.frames, {});

  const auto errors = MotionErrors(alignment, truth, size);
  const PixelScore pixels = ScorePixels(alignment.good_pixels, truth);
  const std::string motion = truth.at("motion");
  const double median = errors[errors.size() / 2];
  const double p95 = errors[errors.size() * 95 / 100];
  std::printf(
      "%-18s %-6s median %.3f p95 %.3f stated %.3f px, bad %d of %d, lost %d, noise %.3f K\n",
      folder.filename().c_str(),
      motion.c_str(),
      median,
      p95,
      alignment.median_residual_px,
      pixels.found,
      pixels.bad,
      pixels.lost,
      alignment.noise_k);

  EXPECT_LE(median, motion == "tripod" ? 0.05 : 0.10);
  EXPECT_LE(p95, motion == "tripod" ? 0.12 : 0.25);
  const std::set<int> shutter = ShutterFrames(truth);
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    EXPECT_EQ(alignment.frames[n].used, !shutter.contains(static_cast<int>(n))) << n;
  }
  EXPECT_EQ(alignment.num_segments, 1 + static_cast<int>(truth.at("shutter_frames").size()));
  EXPECT_GE(pixels.found, 0.98 * pixels.bad);
  EXPECT_LE(pixels.lost, 2e-4 * size.area());
  const double noise_k = truth.at("sigma_k").get<double>() / job.emissivity;
  EXPECT_NEAR(alignment.noise_k, noise_k, 0.05 * noise_k);
}

TEST(CasesMotion, MeetsTheTruthOfEveryCapture) {
  const fs::path cases = OHMGLOW_CASES_DIR;
  if (!fs::exists(cases / "open.txt")) {
    GTEST_SKIP() << "SKIPPED: there is no folder " << cases << " with the captures of known truth";
  }
  std::ifstream list(cases / "open.txt");
  for (std::string name; std::getline(list, name);) {
    if (name.empty() || name.front() == '#') continue;
    SCOPED_TRACE(name);
    std::ifstream file(cases / "truth" / (name + ".truth.json"));
    CheckCase(cases / name, nlohmann::json::parse(file));
  }
}

}  // namespace
}  // namespace ohmglow
