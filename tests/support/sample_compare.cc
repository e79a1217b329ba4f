// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "support/sample_compare.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

#include "support/sample_result.h"

namespace ohmglow::testing {
namespace {

constexpr double kRiseOfWatt = 6.5;  // As MakeSampleResult() has it.

SampleOptions ResultOptions(const SampleCompareOptions& options) {
  return {std::min(options.num_places, 8),
          options.num_places > 0 ? Verdict::kFound : Verdict::kNone,
          options.photo_size_px,
          options.maps,
          false};
}

// The first place tells the verdict; the others go through all there is.
PlaceChange ChangeOf(CompareVerdict verdict, int index) {
  constexpr std::array kOthers{PlaceChange::kUnchanged,
                               PlaceChange::kWeaker,
                               PlaceChange::kStronger,
                               PlaceChange::kGone,
                               PlaceChange::kUnknown};
  if (index >= 8) return PlaceChange::kNew;
  if (index > 0) return kOthers[static_cast<std::size_t>(index - 1) % kOthers.size()];
  switch (verdict) {
    case CompareVerdict::kNotRepaired:
      return PlaceChange::kUnchanged;
    case CompareVerdict::kUndecided:
      return PlaceChange::kUnknown;
    case CompareVerdict::kRepaired:
    case CompareVerdict::kNewPlace:
      break;
  }
  return PlaceChange::kGone;
}

double RatioOf(PlaceChange change) {
  if (change == PlaceChange::kWeaker) return 0.41;
  return change == PlaceChange::kStronger ? 2.3 : 0.97;
}

void SetPowers(ComparedPlace& place, double before_w) {
  if (place.change == PlaceChange::kNew) {
    place.after_w = 0.045;
    place.after_low_w = 0.03;
    place.after_high_w = 0.06;
    return;
  }
  place.before_w = before_w;
  place.before_low_w = 0.8 * before_w;
  place.before_high_w = 1.25 * before_w;
  if (place.change == PlaceChange::kUnknown) return;
  if (place.change == PlaceChange::kGone) {
    place.after_below_w = 0.0018;
    return;
  }
  place.ratio = RatioOf(place.change);
  place.ratio_sigma = 0.03;
  place.after_w = *place.ratio * before_w;
  place.after_low_w = 0.8 * *place.after_w;
  place.after_high_w = 1.25 * *place.after_w;
}

ComparedPlace MakePlace(const SampleCompareOptions& options,
                        const LocateResult& before,
                        int index) {
  ComparedPlace place;
  place.name = std::string(1, static_cast<char>('A' + index));
  place.change = ChangeOf(options.verdict, index);
  place.change_prob = 0.97 - 0.05 * index;
  place.suspect = index == 0 || index == 8;
  double before_w = 0;
  if (index < 8) {
    const Candidate& candidate = before.candidates[static_cast<std::size_t>(index)];
    place.before_px = candidate.frame_px;
    place.photo_px = candidate.photo_px;
    place.parts = candidate.parts;
    before_w = candidate.power_w;
  } else {
    place.before_px = index == 8 ? Point(52.0, 62.5) : Point(104.0, 40.0);
    if (before.maps.photo_from_frame) {
      place.photo_px = before.maps.photo_from_frame->Apply(place.before_px);
    }
    if (options.maps) place.parts = {{index == 8 ? "R31" : "C22", 0.7}};
  }
  place.after_px = place.before_px + Point(3, -2);
  SetPowers(place, before_w);
  return place;
}

Image AfterMap(const SampleCompareOptions& options, const CompareResult& result) {
  Image after_k = result.before_k.clone();
  for (const ComparedPlace& place : result.places) {
    const double change_w = place.after_w.value_or(0) - place.before_w.value_or(0);
    if (place.change == PlaceChange::kUnknown) continue;
    const double width_px = 4;
    for (int y = 0; y < after_k.rows; ++y) {
      for (int x = 0; x < after_k.cols; ++x) {
        const double d2 = std::pow(x - place.before_px.x, 2) + std::pow(y - place.before_px.y, 2);
        after_k(y, x) +=
            static_cast<float>(kRiseOfWatt * change_w / (1 + 4 * d2 / (width_px * width_px)));
      }
    }
  }
  if (!options.unseen) return after_k;
  for (int y = 0; y < after_k.rows; ++y) {
    for (int x = 0; x < after_k.cols; ++x) {
      if (x + 0.4 * y < 32) after_k(y, x) = std::numeric_limits<float>::quiet_NaN();
    }
  }
  return after_k;
}

std::vector<Remark> WordsOf(CompareVerdict verdict) {
  switch (verdict) {
    case CompareVerdict::kRepaired:
      return {Remark::Quoted("Place A took 520 mW at 1 A and now takes less than 1.8 mW."),
              Remark::Quoted("Nothing else on the board warms more than before.")};
    case CompareVerdict::kNotRepaired:
      return {Remark::Quoted("Place A still takes 500 mW at 1 A.")};
    case CompareVerdict::kNewPlace:
      return {
          Remark::Quoted("Place A no longer warms, but another place does that was cool before.")};
    case CompareVerdict::kUndecided:
      break;
  }
  return {Remark::Quoted("The second capture would have shown the fault only above 700 mW at 1 A."),
          Remark::Quoted("Capture again with at least 0.8 A for at least 40 s, or with four times "
                         "as many frames.")};
}

ComparedRegion MakeRegion(int index) {
  ComparedRegion region;
  region.name = "cooler " + std::to_string(index + 1);
  region.before = RegionNumbers{41.23 + index, 52.8, 3.412, 4.1, 0.08};
  if (index % 4 != 3) region.after = RegionNumbers{38.9 + index, 44.12, 1.207, 0.9, 0.11};
  return region;
}

}  // namespace

CompareResult MakeSampleCompare(const SampleCompareOptions& options) {
  CompareResult result;
  result.before = MakeSampleResult(ResultOptions(options));
  result.after = MakeSampleResult(ResultOptions(options));
  result.after.title = "Tide-gauge readout, after the repair (invented)";
  result.alignment = {{}, false, 0.21, 0.83, 0.94, 0.995, 12.1, 1.1};
  const cv::Matx23d shift(1, 0, 3, 0, 1, -2);
  result.alignment.after_from_before.matrix = {1, 0, 3, 0, 1, -2, 0, 0, 1};
  cv::warpAffine(result.after.reference_k.clone(),
                 result.after.reference_k,
                 shift,
                 result.after.reference_k.size(),
                 cv::INTER_LINEAR,
                 cv::BORDER_REPLICATE);
  result.verdict = options.verdict;
  result.probability = options.verdict == CompareVerdict::kUndecided ? 0.55 : 0.97;
  result.words = WordsOf(options.verdict);
  result.scale_amps_a = 1;
  for (int i = 0; i < options.num_places; ++i) {
    result.places.push_back(MakePlace(options, result.before, i));
  }
  result.resistance = {
      0.22, 1.45, 1.23, 0.012, Remark::Quoted("The leads are in both values and cancel.")};
  for (int i = 0; i < options.num_regions; ++i) result.regions.push_back(MakeRegion(i));
  result.before_k = result.before.response_k.clone();
  result.after_k = AfterMap(options, result);
  result.noise_k = 0.0031;
  return result;
}

cv::Mat MakeSampleComparePhoto(const SampleCompareOptions& options) {
  return options.maps ? MakeSamplePhoto(ResultOptions(options)) : cv::Mat();
}

CompareResult MakeSampleRegions(int num_regions) {
  CompareResult result;
  result.before.title = "Tide-gauge readout at work (invented)";
  result.before.case_file = "before/case.ini";
  result.after.title = "The same with a new pad (invented)";
  result.after.case_file = "after/case.ini";
  result.words = {
      Remark::Quoted("Neither case has a supply log, so only the regions were compared.")};
  for (int i = 0; i < num_regions; ++i) result.regions.push_back(MakeRegion(i));
  return result;
}

}  // namespace ohmglow::testing
