// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/compare/pair_alignment.h"
#include "ohmglow/input/case.h"
#include "ohmglow/input/regions.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"

namespace ohmglow {

enum class PlaceChange { kGone, kWeaker, kUnchanged, kStronger, kNew, kUnknown };

/// One place in both captures. Watts are those at `CompareResult::scale_amps_a`.
struct ComparedPlace {
  std::string name;  ///< "A", "B", ...: BEFORE's places first, then new ones.
  PlaceChange change = PlaceChange::kUnknown;
  double change_prob = 0;
  bool suspect = false;           ///< Counts for the verdict: a place that may be a fault.
  Point before_px;                ///< BEFORE's reference frame.
  Point after_px;                 ///< AFTER's reference frame.
  std::optional<Point> photo_px;  ///< BEFORE's photo.
  std::optional<double> before_w, before_low_w, before_high_w;  ///< 95 % interval.
  std::optional<double> after_w, after_low_w, after_high_w;
  /// After over before, and its standard error.
  std::optional<double> ratio, ratio_sigma;
  /// Where nothing is seen any more: 95 % upper limit.
  std::optional<double> after_below_w;
  std::vector<PartMatch> parts;
  std::optional<std::string> contact;  ///< The lead contact whose heat this is.
};

/// From volts over amps at the highest current of each log. The resistance of
/// the supply's leads is in both and cancels if they were not changed.
struct ResistanceChange {
  std::optional<double> before_ohm, after_ohm;
  std::optional<double> change_ohm, change_sigma_ohm;
  Remark remark;
};

/// Temperatures of a region over the whole capture, emissivity as in the case.
struct RegionNumbers {
  double mean_c = 0;
  double max_c = 0;
  double spread_k = 0;    ///< Standard deviation over the region.
  double quarters_k = 0;  ///< Largest difference between the means of its quarters.
  double sigma_k = 0;     ///< Standard error of the mean: noise and the camera's wandering.
};

struct ComparedRegion {
  std::string name;
  std::optional<RegionNumbers> before, after;  ///< Empty where it was not seen.
};

enum class CompareVerdict {
  kRepaired,     ///< The fault's heat is gone and none came up.
  kNotRepaired,  ///< The fault still dissipates.
  kNewPlace,     ///< The fault's heat is gone, another place warms.
  kUndecided,    ///< AFTER (or BEFORE) could not have shown it.
};

/// Everything `Compare` found out; the values behind compare.json.
struct CompareResult {
  LocateResult before, after;  ///< Empty of frames where only regions were asked for.
  PairAlignment alignment;
  CompareVerdict verdict = CompareVerdict::kUndecided;
  double probability = 0;     ///< Of the verdict.
  std::vector<Remark> words;  ///< What it means; what is needed.
  double scale_amps_a = 0;    ///< Current that watts and maps are scaled to.
  std::vector<ComparedPlace> places;
  ResistanceChange resistance;
  std::vector<ComparedRegion> regions;
  Image before_k;      ///< Rise at scale_amps_a, BEFORE's view.
  Image after_k;       ///< The same of AFTER, in BEFORE's view; NaN where not seen.
  double noise_k = 0;  ///< Standard deviation of the noisier of the two maps.
};

struct CompareOptions {
  LocateOptions locate;
  PairAlignOptions align;
  /// A fault counts as gone below this share of its former power; 0 .. 1.
  double gone_share = 0.15;

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Compares two captures of one board: is the fault gone?
/// @param regions  may be empty. With regions and without a supply log in
///                 either case, only the regions are compared.
/// @throws OptionError, DataError (no trustworthy alignment, see AlignPair();
///         captures of different sides; regions without a board map), InputError.
[[nodiscard]] CompareResult Compare(const Case& before,
                                    const Case& after,
                                    const std::vector<Region>& regions,
                                    const CompareOptions& options);

}  // namespace ohmglow
