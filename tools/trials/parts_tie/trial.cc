// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "trial.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "simulate/description.h"
#include "simulate/random.h"

namespace ohmglow::trials {
namespace {

using simulate::Random;
using simulate::Setting;

constexpr int kStillFrames = 6;

}  // namespace

Setting MakeTrial(std::uint64_t seed) {
  simulate::Description d = simulate::DefaultDescription();
  d["board.width_mm"] = "45..110";
  d["board.height_mm"] = "35..80";
  d["board.side"] = "top|bottom";
  d["camera.width_px"] = "160..640";
  d["camera.height_px"] = "120..480";
  d["camera.mm_per_pixel"] = "0.167~0.5";
  d["camera.rotation_deg"] = "-180..180";
  d["camera.netd_k"] = "0.006";  // A mean over tens of frames.
  d["photo.tilt_deg"] = "0.5? 0..22";
  d["photo.rotation_deg"] = "-180..180";
  d["photo.margin"] = "1.05..1.5";
  d["photo.light"] = "0..0.6";
  d["photo.distortion"] = "-0.04..0.04";
  d["photo.clutter"] = "10..70";
  d["photo.blur_px"] = "0..1.5";
  d["photo.noise"] = "0..6";
  simulate::Scenario s = simulate::Draw(d, seed);
  s.width_px = s.width_px < 250 ? 160 : s.width_px < 400 ? 320 : 640;
  s.height_px = 0.75 * s.width_px;
  Random random(seed, "trial");
  // 10 to 60 pixels a millimetre, as far as a camera has pixels.
  const double per_mm = 10 * std::pow(6.0, random.Uniform());
  s.photo_width_px = std::clamp(per_mm * s.photo_margin * s.board_width_mm, 700.0, 5000.0);
  s.photo_blur_px *= std::max(1.0, per_mm / 25);
  for (double* angle : {&s.rotation_deg, &s.photo_rotation_deg}) {
    *angle = 90 * random.Integer(0, 3) - 180 + random.Uniform(-6, 6);
  }
  return simulate::MakeSetting(s);
}

StaticView MakeStill(const Setting& setting) {
  Setting few = setting;
  few.times_s.resize(kStillFrames);
  Image sum;
  const simulate::CaptureTruth truth =
      simulate::MakeFrames(few, [&](const simulate::Counts& counts) {
        Image one;
        cv::Mat(counts).convertTo(one, CV_32F, few.scenario.scale_k, few.scenario.zero_k);
        if (sum.empty()) {
          sum = one;
        } else {
          sum += one;
        }
      });
  sum *= 1.0 / kStillFrames;
  // Dead pixels are known by then: their courses do not follow.
  Image middle;
  cv::medianBlur(sum, middle, 3);
  for (const simulate::BadPixel& bad : truth.bad_pixels) sum(bad.at) = middle(bad.at);
  return {sum, Mask(sum.size(), uchar{255})};
}

List MakeList(const Setting& set, std::uint64_t seed) {
  Random random(seed, "list");
  List list;
  const int quarter = random.Integer(0, 3);
  const double c = std::array<double, 4>{1, 0, -1, 0}[static_cast<std::size_t>(quarter)];
  const double s = std::array<double, 4>{0, 1, 0, -1}[static_cast<std::size_t>(quarter)];
  const double flip = random.Chance(0.6) ? -1 : 1;  // y runs upwards in most drawings.
  const double x0 = random.Uniform(-50, 150);
  const double y0 = random.Uniform(-50, 150);
  list.list_from_board = cv::Matx33d(c, -s, x0, flip * s, flip * c, y0, 0, 0, 1);
  const double grid = random.Chance(0.5) ? 0.5 : 0.1;
  for (const simulate::BoardPart& p : set.board.parts) {
    if (random.Chance(0.08)) continue;  // Not in this list.
    Part part;
    part.ref = p.ref;
    part.center_mm = PlaneMap{list.list_from_board}.Apply(p.center_mm());
    const double w =
        std::max(grid, grid * std::round(p.box_mm.width * random.Uniform(0.9, 1.1) / grid));
    const double h =
        std::max(grid, grid * std::round(p.box_mm.height * random.Uniform(0.9, 1.1) / grid));
    part.width_mm = quarter % 2 == 0 ? w : h;
    part.height_mm = quarter % 2 == 0 ? h : w;
    part.side = p.top ? BoardSide::kTop : BoardSide::kBottom;
    part.kind = simulate::KindName(p.kind);
    list.parts.push_back(part);
  }
  // Listed but not placed.
  const std::size_t extra = list.parts.size() / 20;
  for (std::size_t k = 0; k < extra; ++k) {
    Part part = list.parts[k];
    part.center_mm = PlaneMap{list.list_from_board}.Apply(
        {random.Uniform(2, set.board.width_mm - 2), random.Uniform(2, set.board.height_mm - 2)});
    list.parts.push_back(part);
  }
  return list;
}

}  // namespace ohmglow::trials
