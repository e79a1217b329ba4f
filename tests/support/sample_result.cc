// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/sample_result.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <opencv2/imgproc.hpp>

namespace ohmglow::testing {
namespace {

constexpr int kWidth = 160;
constexpr int kHeight = 120;
constexpr double kMmPerPixel = 0.45;

struct SamplePlace {
  const char* ref;
  double x, y;  // Frame pixels.
  double confidence, power_w, width_mm;
  HeatSide side;
};

constexpr SamplePlace kPlaces[] = {
    {"C41", 104.3, 71.8, 0.94, 0.52, 2.4, HeatSide::kNear},
    {"U7", 58.2, 38.9, 0.41, 0.061, 6.0, HeatSide::kFar},
    {"R12", 35.1, 88.4, 0.04, 0.0093, 3.0, HeatSide::kUndecided},
    {"C17", 127.0, 30.2, 0.03, 0.0081, 2.0, HeatSide::kNear},
    {"Q2", 80.5, 96.0, 0.02, 0.0062, 5.0, HeatSide::kUndecided},
    {"C9", 76.0, 60.4, 0.02, 0.0051, 2.0, HeatSide::kNear},
    {"L1", 128.4, 95.1, 0.01, 0.0035, 7.0, HeatSide::kUndecided},
    {"J2", 22.8, 27.6, 0.005, 0.0028, 4.0, HeatSide::kNear},
};

PlaneMap PhotoFromFrame(cv::Size photo) {
  // The photo shows a little less than the frame, slightly turned.
  const double s = std::min(photo.width / 150.0, photo.height / 112.0);
  const double x0 = 0.5 * photo.width - s * 0.5 * kWidth;
  const double y0 = 0.5 * photo.height - s * 0.5 * kHeight;
  return {{s, 0.012 * s, x0, -0.012 * s, s, y0 + 0.012 * s * 0.5 * kWidth, 0, 0, 1}};
}

PlaneMap BoardFromFrame() { return {{kMmPerPixel, 0, -6.0, 0, kMmPerPixel, -4.0, 0, 0, 1}}; }

std::vector<GrowthPoint> MakeGrowth(double rise_k) {
  std::vector<GrowthPoint> growth;
  for (int i = 0; i < 5; ++i) {
    const double share = 0.2 * (i + 1);
    growth.push_back({5.0 + i, 0.5 + 0.25 * i, share * rise_k, 4 + 2.0 * i, 3.1 * share * rise_k});
  }
  return growth;
}

Candidate MakeCandidate(const SampleOptions& options, int index) {
  SamplePlace place = kPlaces[static_cast<std::size_t>(index) % std::size(kPlaces)];
  if (options.close_pair && index == 1) {
    place.x = kPlaces[0].x + 2 / kMmPerPixel;
    place.y = kPlaces[0].y;
    place.width_mm = 2.4;
  }
  Candidate c;
  c.confidence =
      options.verdict == Verdict::kNone ? 0.5 * std::min(place.confidence, 0.2) : place.confidence;
  if (options.verdict == Verdict::kSeveral && index == 1) c.confidence = 0.88;
  c.frame_px = {place.x, place.y};
  c.sigma_px = 0.2 + 0.1 * index;
  if (options.maps) {
    c.board_mm = BoardFromFrame().Apply(c.frame_px);
    c.photo_px = PhotoFromFrame(options.photo_size_px).Apply(c.frame_px);
  }
  c.side = place.side;
  c.rise_k = 6.5 * place.power_w;
  c.power_w = place.power_w;
  c.power_low_w = 0.8 * place.power_w;
  c.power_high_w = 1.25 * place.power_w;
  c.share_of_supply = place.power_w / 0.9;
  c.current_exponent = 2.02;
  c.current_exponent_sigma = 0.05;
  c.onset_s = 5.3;
  c.width_mm = place.width_mm;
  c.snr = 1000 * place.power_w;
  if (options.maps) c.parts = {{place.ref, 0.81}};
  if (options.maps && index == 0) c.parts.push_back({"C42", 0.15});
  c.remarks = {
      Remark::Quoted("The rise follows the square of the current."),
      Remark::Quoted("It lies 3 mm from a lead contact, but the heat is not centred there.")};
  c.growth = MakeGrowth(c.rise_k);
  return c;
}

void AddBoard(LocateResult& result) {
  result.reference_k = Image(kHeight, kWidth, 295.0F);
  const Point low = BoardFromFrame().Inverse().Apply({0, 0});
  const Point high = BoardFromFrame().Inverse().Apply({60, 46});
  cv::rectangle(result.reference_k, cv::Point(low), cv::Point(high), cv::Scalar(296.2), -1);
  for (const SamplePlace& place : kPlaces) {
    const cv::Point center(static_cast<int>(place.x), static_cast<int>(place.y));
    const cv::Point half(static_cast<int>(1 + place.width_mm), static_cast<int>(place.width_mm));
    cv::rectangle(result.reference_k, center - half, center + half, cv::Scalar(297.1), -1);
  }
  cv::GaussianBlur(result.reference_k, result.reference_k, {}, 0.8);
}

void AddResponse(LocateResult& result) {
  result.response_k = Image(kHeight, kWidth, 0.0F);
  cv::RNG random(20);
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      double rise = random.gaussian(result.noise_response_k);
      for (const Candidate& c : result.candidates) {
        const double d2 = std::pow(x - c.frame_px.x, 2) + std::pow(y - c.frame_px.y, 2);
        const double w2 = std::pow(c.width_mm / kMmPerPixel, 2);
        rise += c.rise_k / (1 + 4 * d2 / w2);
      }
      // A part that cools after earlier use.
      rise -= 0.15 * std::exp(-(std::pow(x - 45.0, 2) + std::pow(y - 60.0, 2)) / 60.0);
      result.response_k(y, x) = static_cast<float>(rise);
    }
  }
  result.snr = result.response_k / result.noise_response_k;
}

void AddFrames(LocateResult& result) {
  for (int i = 0; i < 12; ++i) {
    FrameState frame;
    frame.used = i != 4;
    if (!frame.used) frame.reason = Remark::Quoted("repeats the frame before it");
    frame.segment = i < 5 ? 0 : 1;
    frame.frame_from_reference = {0.1 * i, -0.05 * i, 0.002 * i, 1 + 1e-5 * i};
    result.alignment.frames.push_back(frame);
  }
  result.alignment.num_segments = 2;
  result.alignment.largest_shift_px = 1.23;
  result.alignment.median_residual_px = 0.051;
}

void DrawPart(cv::Mat& photo, Point center, double half_px, int kind) {
  const cv::Point2d half(half_px * 1.3, half_px);
  const cv::Scalar body = kind % 2 == 0 ? cv::Scalar(92, 132, 168) : cv::Scalar(38, 36, 34);
  cv::rectangle(photo, cv::Point(center - half), cv::Point(center + half), {200, 205, 205}, -1);
  const cv::Point2d inner(half.x * 0.65, half.y);
  cv::rectangle(photo, cv::Point(center - inner), cv::Point(center + inner), body, -1);
}

}  // namespace

LocateResult MakeSampleResult(const SampleOptions& options) {
  LocateResult result;
  result.title = "Tide-gauge readout, 12 V rail (invented)";
  result.case_file = "case.ini";
  result.assumed = {{"surface.emissivity", "0.95"},
                    {"board.points",
                     "found by edges",
                     AssumedHow::kDefault,
                     "confidence 97 %",
                     "other side (back.ini)"}};
  result.assumed.back().told = Remark::Quoted("two rows are lost");
  result.frame_size_px = {kWidth, kHeight};
  result.rate_hz = 8;
  result.mm_per_pixel = kMmPerPixel;
  result.noise_per_frame_k = 0.047;
  result.noise_response_k = 0.0031;
  result.clock_offset_s = 0.1 + 0.2;
  result.clock_offset_sigma_s = 0.04;
  result.levels = {{5, 13, 0.5, 0.11}, {13, 21, 1.0, 0.22}, {21, 29, 1.5, 0.33}};
  result.verdict = options.verdict;
  result.detectable_w = 0.0042;
  result.advice = {
      Remark::Quoted("Take the power off and measure C41 to ground; lift it if it reads low."),
      Remark::Quoted("Capture the other side as well: the second place may sit there."),
      Remark::Quoted(
          "Caution: parts near the fault may be hot; keep the current limit where it is.")};
  if (options.maps) {
    result.maps.photo_from_frame = PhotoFromFrame(options.photo_size_px);
    result.maps.board_from_frame = BoardFromFrame();
    result.maps.board_error_mm = 0.2;
  }
  for (int i = 0; i < options.num_candidates; ++i) {
    result.candidates.push_back(MakeCandidate(options, i));
  }
  AddFrames(result);
  AddBoard(result);
  AddResponse(result);
  return result;
}

cv::Mat MakeSamplePhoto(const SampleOptions& options) {
  cv::Mat photo(options.photo_size_px, CV_8UC3, cv::Scalar(150, 146, 142));
  const PlaneMap map = PhotoFromFrame(options.photo_size_px);
  const PlaneMap frame_from_board = BoardFromFrame().Inverse();
  const double scale = map.matrix(0, 0);
  std::vector<cv::Point> outline;
  for (const Point corner : {Point(0, 0), Point(60, 0), Point(60, 46), Point(0, 46)}) {
    outline.emplace_back(map.Apply(frame_from_board.Apply(corner)));
  }
  cv::fillConvexPoly(photo, outline, cv::Scalar(62, 98, 40), cv::LINE_AA);
  for (std::size_t i = 0; i < std::size(kPlaces); ++i) {
    const SamplePlace& place = kPlaces[i];
    DrawPart(photo,
             map.Apply({place.x, place.y}),
             std::max(2.0, 0.5 * scale * place.width_mm / kMmPerPixel * 0.8),
             static_cast<int>(i));
  }
  return photo;
}

}  // namespace ohmglow::testing
