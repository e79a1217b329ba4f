// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/check/capture_check.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include "align/screening.h"
#include "analysis.h"
#include "base/quantile.h"
#include "binning/binning.h"
#include "binning/unbin.h"
#include "check/capture_todo.h"
#include "check/thinned_frames.h"
#include "heat/identifiability.h"
#include "heat/plate.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "rank/advice_view.h"
#include "rank/clock_reading.h"

namespace ohmglow {
namespace {

using internal::Judged;

constexpr int kLeastFrames = 60;  // Kept, however large they are.
// Half of the usual bins: fits cost less, and steps are still told to 0.1 s.
constexpr int kBins = 64;
constexpr double kColdShare = 0.01;

int StepFor(const Case& job, double most_pixels) {
  const cv::Size worked_on = job.frames->size_px() / ChooseBinning(job);
  const double pixels = static_cast<double>(job.frames->count()) * worked_on.area();
  const int by_pixels = static_cast<int>(std::ceil(pixels / most_pixels));
  return std::clamp(by_pixels, 1, std::max(1, job.frames->count() / kLeastFrames));
}

void DescribeFrames(const Case& job, CaptureCheck& check) {
  check.num_frames = job.frames->count();
  check.size_px = job.frames->size_px();
  const std::vector<double>& times_s = job.frame_times_s;
  if (times_s.size() > 1) check.length_s = times_s.back() - times_s.front();
  ScreeningReport times;
  ScreenTimes(times_s, times);
  check.lost_frames = times.lost_frames.value_or(0);
  Image first;
  job.frames->Read(0, first);
  std::vector<float> values;
  std::copy_if(first.begin(), first.end(), std::back_inserter(values), [](float v) {
    return std::isfinite(v);
  });
  if (values.empty()) return;
  check.coldest_k = QuantileOf(values, kColdShare);
  check.hottest_k = QuantileOf(values, 1 - kColdShare);
}

// Those that screening leaves out, of all frames: a shutter that closes for three
// of them falls between those that are registered.
std::vector<LeftOut> CountLeftOut(const std::vector<FrameState>& frames) {
  std::vector<LeftOut> rows;
  for (const FrameState& frame : frames) {
    if (frame.used) continue;
    const auto known = std::find_if(rows.begin(), rows.end(), [&](const LeftOut& row) {
      return row.reason.kind == frame.reason.kind;
    });
    if (known != rows.end()) {
      ++known->frames;
    } else {
      rows.push_back({frame.reason, 1});
    }
  }
  std::stable_sort(rows.begin(), rows.end(), [](const LeftOut& a, const LeftOut& b) {
    return a.frames > b.frames;
  });
  return rows;
}

// @param judged  by the pixels that were worked on.
void TakeAlignment(const Alignment& alignment, RegistrationVerdict judged, CaptureCheck& check) {
  check.noise_k = alignment.noise_k;
  check.view = {
      judged, alignment.median_residual_px, alignment.largest_shift_px, alignment.num_segments - 1};
}

void TakeResult(const Case& job, const LocateResult& result, int step, CaptureCheck& check) {
  check.rate_hz = result.rate_hz * step;
  check.assumed = result.assumed;
  check.mm_per_pixel = result.mm_per_pixel;
  check.noise_k = result.noise_per_frame_k;
  check.levels = result.levels;
  if (const auto clock = ReadClock(result)) {
    check.clock_offset_s = clock->offset_s;
    check.clock_sigma_s = clock->sigma_s;
  }
  check.clock_open = result.clock_offset_s && !check.clock_offset_s;
  for (const SupplyLevel& level : result.levels) {
    check.top_amps_a = std::max(check.top_amps_a.value_or(0), level.amps_a);
  }
  // As of the frames looked at: what all of them average out is little beside what the board's
  // own texture and drift leave.
  if (result.detectable_w > 0) check.detectable_w = result.detectable_w;
  if (!result.maps.board_from_frame) return;
  check.place_error_mm = result.maps.board_error_mm;
  const std::vector<Part> unseen = PartsNotInView(PartsOn(job.side, job.parts), result);
  check.num_parts_seen = check.num_parts - static_cast<int>(unseen.size());
  check.parts_unseen = NamesOf(unseen);
}

double TopWatts(const LocateResult& result) {
  double top_w = 0;
  for (const SupplyLevel& level : result.levels) {
    if (std::isfinite(level.watts_w())) top_w = std::max(top_w, level.watts_w());
  }
  return top_w;
}

bool IsOfVolts(const Remark& remark) {
  return remark.kind == RemarkKind::kOnlyVoltsSetting ||
         remark.kind == RemarkKind::kLogWithoutVolts || remark.kind == RemarkKind::kVoltsNotNoted;
}

bool IsUntied(const Remark& remark) {
  return remark.kind == RemarkKind::kPartsNotTied || remark.kind == RemarkKind::kPhotoNotLaid;
}

// What the chain says of the thinned case.
Judged JudgeHeat(const Case& job, int step, const LocateOptions& options, CaptureCheck& check) {
  Judged judged;
  const int binning = ChooseBinning(job);
  Analysis found = AnalyzeHeat(Binned(internal::Thinned(job, step), binning), options);
  const auto view = JudgeRegistration(found.result.alignment).verdict;
  Unbin(job, binning, found.result);
  TakeAlignment(found.result.alignment, view, check);
  TakeResult(job, found.result, step, check);
  judged.course_advice = JudgeDrive(*found.model, *found.drive, PlateOf(job)).advice;
  judged.clock_sigma_s = found.result.clock_offset_sigma_s.value_or(0);
  judged.supply_remarks = found.result.supply_remarks;
  const std::vector<Remark>& of_maps = found.result.maps.remarks;
  std::copy_if(of_maps.begin(), of_maps.end(), std::back_inserter(judged.untied), IsUntied);
  // That there are no volts is no reason to film again.
  std::erase_if(judged.supply_remarks, IsOfVolts);
  const Mask& hot = found.response.out_of_range;
  judged.out_of_range_px = hot.empty() ? 0 : cv::countNonZero(hot);
  judged.top_w = TopWatts(found.result);
  return judged;
}

// What can be said where there is no heat to look for.
void JudgeFramesAlone(const Case& job,
                      int step,
                      const LocateOptions& options,
                      CaptureCheck& check) {
  try {
    const Registered registered = Register(internal::Thinned(job, step), options, [](double) {});
    TakeAlignment(registered.alignment, JudgeRegistration(registered.alignment).verdict, check);
  } catch (const DataError&) {
    // Told by the refusal already.
  }
}

}  // namespace

void CaptureCheckOptions::Validate() const {
  locate.Validate();
  if (most_pixels >= 1e5) return;
  throw OptionError("CaptureCheckOptions::most_pixels = " + std::to_string(most_pixels) +
                    ": must be >= 1e5");
}

CaptureCheck CheckCapture(const Case& job, const CaptureCheckOptions& options) {
  options.Validate();
  CaptureCheck check;
  check.title = job.title;
  check.case_file = job.file.filename().string();
  check.assumed = job.assumed;
  check.side = job.side;
  check.mm_per_pixel = job.mm_per_pixel;
  check.has_parts = !job.parts.empty();
  check.num_parts = static_cast<int>(std::count_if(
      job.parts.begin(), job.parts.end(), [&](const Part& part) { return part.side == job.side; }));
  LocateOptions quick = options.locate;
  quick.heat.max_bins = std::min(quick.heat.max_bins, kBins);
  Judged judged;
  try {
    if (!job.frames) throw DataError("the case has no frames");
    check.values = job.frames->values();
    DescribeFrames(job, check);
    const int step = StepFor(job, options.most_pixels);
    check.left_out = CountLeftOut(internal::ScreenFrames(*job.frames, quick.align, {}).frames);
    check.num_looked_at = (check.num_frames + step - 1) / step;
    check.rate_hz = check.length_s > 0 ? (check.num_frames - 1) / check.length_s : 0;
    try {
      judged = JudgeHeat(job, step, quick, check);
    } catch (const DataError& error) {
      judged.refusal = error.what();
      JudgeFramesAlone(job, step, quick, check);
    }
  } catch (const DataError& error) {
    judged.refusal = error.what();
  }
  if (check.values == FrameValues::kRelative) {
    check.noise_k.reset();
    check.coldest_k = check.hottest_k = 0;
  }
  judged.unsized_columns = job.unsized_columns;
  check.todo = internal::ListToDo(check, judged);
  check.usable = check.todo.empty()          ? Usable::kYes
                 : check.todo.front().needed ? Usable::kNo
                                             : Usable::kWithWarnings;
  return check;
}

}  // namespace ohmglow
