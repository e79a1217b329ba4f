// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/compare/compare.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <string>
#include <utility>
#include <vector>

#include "analysis.h"
#include "binning/binning.h"
#include "compare/compared_places.h"
#include "compare/quiet_spread.h"
#include "compare/region_numbers.h"
#include "compare/resistance.h"
#include "compare/unbin_pair.h"
#include "compare/verdict.h"
#include "input/case_remarks.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "supply_course.h"

namespace ohmglow {
namespace {

constexpr double kLandmarkErrorPx = 0.5;
constexpr double kLeastStartErrorPx = 0.3;
constexpr double kSamePartMm = 1.5;
constexpr double kAlikeParts = 0.6;

StaticView ViewOf(const Analysis& analysis) {
  return {analysis.response.static_k, analysis.response.seen};
}

std::optional<PairStart> StartOf(const BoardMaps& before,
                                 const BoardMaps& after,
                                 double mm_before,
                                 double mm_after) {
  if (!before.board_from_frame || !after.board_from_frame) return std::nullopt;
  PairStart start;
  start.after_from_before.matrix =
      after.board_from_frame->Inverse().matrix * before.board_from_frame->matrix;
  start.after_from_before.matrix *= 1 / start.after_from_before.matrix(2, 2);
  const auto error_px = [](const BoardMaps& maps, double mm) {
    return maps.board_error_mm > 0 ? maps.board_error_mm / mm : kLandmarkErrorPx;
  };
  start.error_px = std::max(
      kLeastStartErrorPx,
      std::hypot(error_px(before, mm_before), error_px(after, mm_after) * mm_after / mm_before));
  return start;
}

/// What is known of a capture's place on the board: by landmarks, or by its parts list.
struct Placed {
  const Case& job;
  const BoardMaps& maps;
};

PairAlignment AlignCases(const Placed& first,
                         const Placed& second,
                         const StaticView& before_view,
                         const StaticView& after_view,
                         PairAlignOptions options) {
  const Case& before = first.job;
  const Case& after = second.job;
  const auto start = StartOf(first.maps, second.maps, before.mm_per_pixel, after.mm_per_pixel);
  // A scale that somebody measured narrows the search.
  const auto assumed = [](const Case& job) {
    return FindAssumed(job.assumed, "board.mm_per_pixel") != nullptr;
  };
  if (!assumed(before) && !assumed(after)) {
    options.expected_scale = before.mm_per_pixel / after.mm_per_pixel;
    options.max_scale = std::min(options.max_scale, 1.25);
  } else {
    // Another camera most likely shows as much of the board.
    options.expected_scale *=
        static_cast<double>(after_view.seen.cols) / std::max(1, before_view.seen.cols);
  }
  return AlignPair(before_view, after_view, start, options);
}

// AFTER's rise at the common current, in BEFORE's view; NaN where not seen.
Image AfterInBefore(const Analysis& after, const PlaneMap& after_from_before, cv::Size size) {
  constexpr int kBack = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
  Image map;
  Mask seen;
  cv::warpPerspective(after.response.rise_k, map, after_from_before.matrix, size, kBack);
  cv::warpPerspective(after.response.seen, seen, after_from_before.matrix, size, kBack);
  map.setTo(std::numeric_limits<float>::quiet_NaN(), seen < 250);
  return map;
}

void CompareHeat(const Case& before_job,
                 const Analysis& before,
                 const Analysis& after,
                 const CompareOptions& options,
                 CompareResult& out) {
  out.scale_amps_a = before.drive->top_amps_a();
  const std::vector<WeighedPlace> places =
      WeighPlaces(before_job, before, after, out.alignment, options.gone_share);
  Blindness blindness;
  blindness.before_showed_none = before.result.verdict == Verdict::kNone;
  blindness.after_amps_a = after.drive->top_amps_a();
  blindness.scale_amps_a = out.scale_amps_a;
  for (const WeighedPlace& weighed : places) {
    if (!weighed.place.suspect || weighed.new_in_after) continue;
    if (!weighed.place.ratio_sigma) blindness.suspect_outside = true;
    blindness.suspect_sigma =
        std::max(blindness.suspect_sigma.value_or(0), weighed.place.ratio_sigma.value_or(9));
  }
  DecideVerdict(places, blindness, out);
  for (const WeighedPlace& weighed : places) out.places.push_back(weighed.place);
  const double scale = out.scale_amps_a / after.drive->top_amps_a();
  out.before_k = before.response.rise_k.clone();
  out.after_k =
      AfterInBefore(after, out.alignment.after_from_before, out.before_k.size()) * (scale * scale);
  out.noise_k = std::max(QuietSpread(out.before_k, before.response.seen),
                         scale * scale * QuietSpread(after.response.rise_k, after.response.seen));
}

struct Seen {
  std::vector<Image> quarters_k;
  Mask mask;
};

PlaneMap FrameFromBoard(const BoardMaps& maps) {
  if (!maps.board_from_frame) {
    throw DataError(
        "--regions are in board coordinates: give three or more landmarks with "
        "board_x_mm,board_y_mm in points.csv of the first case");
  }
  return maps.board_from_frame->Inverse();
}

void CompareRegions(const std::vector<Region>& regions,
                    const BoardMaps& before,
                    const Seen& first,
                    const Seen& second,
                    CompareResult& out) {
  if (regions.empty()) return;
  const PlaneMap before_from_board = FrameFromBoard(before);
  const PlaneMap after_from_board{out.alignment.after_from_before.matrix *
                                  before_from_board.matrix};
  for (const Region& region : regions) {
    out.regions.push_back(
        {region.name,
         MeasureRegion(region, before_from_board, first.quarters_k, first.mask),
         MeasureRegion(region, after_from_board, second.quarters_k, second.mask)});
  }
}

bool KnowsSupply(const Case& job) { return job.supply || job.levels.size() > 1; }

CompareResult OnlyRegions(const Case& before,
                          const Case& after,
                          const std::vector<Region>& regions,
                          const CompareOptions& options) {
  const auto quiet = [](double) {};
  const Registered first = Register(before, options.locate, quiet);
  const Registered second = Register(after, options.locate, quiet);
  const Seen seen_before{TimeQuarters(first.stack), first.stack.seen};
  const Seen seen_after{TimeQuarters(second.stack), second.stack.seen};
  CompareResult out;
  out.before.title = before.title;
  out.before.case_file = before.file.filename().string();
  out.after.title = after.title;
  out.after.case_file = after.file.filename().string();
  const BoardMaps before_maps = FitBoardMaps(before.landmarks);
  const BoardMaps after_maps = FitBoardMaps(after.landmarks);
  out.alignment = AlignCases({before, before_maps},
                             {after, after_maps},
                             {seen_before.quarters_k.front(), seen_before.mask},
                             {seen_after.quarters_k.front(), seen_after.mask},
                             options.align);
  out.words.emplace_back(RemarkKind::kOnlyRegionsCompared);
  CompareRegions(regions, before_maps, seen_before, seen_after, out);
  return out;
}

// What is wrong is wrong with one of two captures: say which.
Analysis AnalyzeNamed(const Case& job, const LocateOptions& options, const char* which) {
  try {
    RequireCurrents(job);
    Analysis analysis = Analyze(job, options);
    RequireCurrentsFit(analysis.result);
    return analysis;
  } catch (const DataError& error) {
    throw DataError(std::string("the ") + which + " capture: " + error.what());
  }
}

// Two lists of one board share nearly all names, each at its place.
void RequireOneBoard(const Case& before, const Case& after) {
  if (before.parts.empty() || after.parts.empty()) return;
  std::size_t alike = 0;
  for (const Part& part : before.parts) {
    alike += static_cast<std::size_t>(
        std::any_of(after.parts.begin(), after.parts.end(), [&](const Part& other) {
          return other.ref == part.ref && other.side == part.side &&
                 cv::norm(other.center_mm - part.center_mm) < kSamePartMm;
        }));
  }
  const std::size_t fewer = std::min(before.parts.size(), after.parts.size());
  if (static_cast<double>(alike) < kAlikeParts * static_cast<double>(fewer)) {
    throw DataError("the parts lists of the two cases agree in " + std::to_string(alike) + " of " +
                    std::to_string(fewer) +
                    " parts only: give two captures of one board, with the same board coordinates");
  }
}

bool SameCapture(const StaticView& before, const StaticView& after) {
  return before.picture_k.size() == after.picture_k.size() &&
         cv::norm(before.picture_k, after.picture_k, cv::NORM_INF) == 0;
}

CompareResult CompareBinned(const Case& before,
                            const Case& after,
                            const std::vector<Region>& regions,
                            const CompareOptions& options) {
  const bool regions_alone = !regions.empty() && (!KnowsSupply(before) || !KnowsSupply(after));
  // Before the work begins, not after it, unless the parts list may tell.
  if (!regions.empty() && (regions_alone || before.parts.empty())) {
    static_cast<void>(FrameFromBoard(FitBoardMaps(before.landmarks)));
  }
  RequireOneBoard(before, after);
  if (regions_alone) {
    return OnlyRegions(before, after, regions, options);
  }
  LocateOptions locate = options.locate;
  const auto report = options.locate.progress;
  if (report) locate.progress = [&](double share) { report(0.5 * share); };
  Analysis first = AnalyzeNamed(before, locate, "first");
  if (report) locate.progress = [&](double share) { report(0.5 + 0.5 * share); };
  Analysis second = AnalyzeNamed(after, locate, "second");
  CompareResult out;
  out.alignment = AlignCases({before, first.result.maps},
                             {after, second.result.maps},
                             ViewOf(first),
                             ViewOf(second),
                             options.align);
  out.resistance = CompareResistance(before.supply, after.supply);
  CompareHeat(before, first, second, options, out);
  if (SameCapture(ViewOf(first), ViewOf(second))) {
    out.verdict = CompareVerdict::kUndecided;
    out.probability = 1;
    out.words = {Remark(RemarkKind::kSameCaptureTwice)};
  }
  CompareRegions(regions,
                 first.result.maps,
                 {std::move(first.quarters_k), first.response.seen},
                 {std::move(second.quarters_k), second.response.seen},
                 out);
  out.before = std::move(first.result);
  out.after = std::move(second.result);
  return out;
}

}  // namespace

void CompareOptions::Validate() const {
  locate.Validate();
  align.Validate();
  if (!(gone_share > 0 && gone_share < 1)) {
    throw OptionError("CompareOptions::gone_share must lie between 0 and 1; it is " +
                      std::to_string(gone_share));
  }
}

CompareResult Compare(const Case& before,
                      const Case& after,
                      const std::vector<Region>& regions,
                      const CompareOptions& options) {
  options.Validate();
  if (!before.frames || !after.frames) throw DataError("a case has no frames");
  for (const Case* job : {&before, &after}) {
    if (job->frames->values() == FrameValues::kKelvin) continue;
    throw DataError(std::string("the frames of the ") + (job == &before ? "first" : "second") +
                    " capture are no temperatures: how much heat is left can be told in kelvin "
                    "only; film both with a camera or a program that saves temperatures");
  }
  if (before.side != after.side) {
    throw DataError(
        "the captures show different sides of the board ([board] side): film the same side again");
  }
  // A region's hottest pixel is asked for.
  const bool single = !regions.empty();
  const std::array<int, 2> binning{single ? 1 : ChooseBinning(before),
                                   single ? 1 : ChooseBinning(after)};
  CompareResult out =
      CompareBinned(Binned(before, binning[0]), Binned(after, binning[1]), regions, options);
  UnbinPair(before, after, binning, out);
  return out;
}

}  // namespace ohmglow
