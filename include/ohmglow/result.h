// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/align/alignment.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/heat/supply_level.h"
#include "ohmglow/input/assumption.h"

namespace ohmglow {

enum class Verdict { kFound, kSeveral, kNone };

/// A place is called a fault from this confidence on. By what either mistake
/// costs (common practice, no source): a sound part lifted an hour, a fault not
/// named 40 minutes, for another capture and a longer search.
inline constexpr double kFaultConfidence = 60.0 / (60 + 40);
enum class HeatSide { kNear, kFar, kUndecided };  ///< Seen from the camera.

/// A number and its 95 % interval.
struct Estimate {
  double value = 0;
  double low = 0;
  double high = 0;
};

/// One point of a candidate's course in time.
struct GrowthPoint {
  double time_s = 0;
  double amps_a = 0;
  double rise_k = 0;
  double area_mm2 = 0;    ///< Warmer than half of the largest rise so far.
  double heat_k_mm2 = 0;  ///< Integral of the rise around the place.
  /// What was fitted to `rise_k`, and its standard error.
  std::optional<double> fit_k = {}, fit_sigma_k = {};
};

/// What a place's heat at one current makes of its rise.
struct LevelRise {
  double amps_a = 0;
  /// Rise at the end of the highest current, had all levels been of this heat.
  double rise_k = 0;
  double sigma_k = 0;
};

/// The same place in a capture of the other side.
struct SeenFromOtherSide {
  std::optional<std::size_t> rank;  ///< In that capture's own list, from 1; empty: not in it.
  Point frame_px;                   ///< Reference frame of that capture.
  double rise_k = 0;                ///< At that capture's highest current.
  std::optional<double> power_w;    ///< As that capture alone has it, at this one's current.
  std::optional<double> width_mm;
  std::optional<double> confidence;  ///< As that capture alone has it.
};

struct PartMatch {
  std::string ref;
  double prob = 0;
  /// Where the part itself sits; undecided where that was not noted.
  HeatSide side = HeatSide::kUndecided;
};

/// A piece of evidence on a place: what the odds that it is a fault are
/// multiplied by.
struct Evidence {
  std::string name;   ///< What was asked, a phrase: "stands out of the noise".
  double factor = 1;  ///< Below 1: speaks against the place; 1: says nothing.
  /// What was measured, as the calibration weighs it: the logarithm of a
  /// likelihood ratio, or how clearly the answer is yes (0: fully, or not asked).
  double value = 0;
};

/// The evidence without which a place is no heat of the supply.
inline constexpr std::string_view kFollowsSupply = "follows the steps of the supply";

/// A place that may be the fault. Unknown numbers are empty.
struct Candidate {
  double confidence = 0;  ///< Probability that this is where the fault dissipates.
  Point frame_px;         ///< Reference frame.
  double sigma_px = 0;    ///< Standard error of the place, per axis.
  /// Where the heat peaks, and its standard error, where the parts list has drawn
  /// the place from there to what it names. Not in result.json.
  std::optional<Point> peak_px;
  std::optional<double> peak_sigma_px;
  [[nodiscard]] Point Peak() const { return peak_px.value_or(frame_px); }
  [[nodiscard]] double PeakSigma() const { return peak_sigma_px.value_or(sigma_px); }
  std::optional<Point> board_mm;
  std::optional<Point> photo_px;
  HeatSide side = HeatSide::kUndecided;
  std::optional<double> far_prob;  ///< That it dissipates on the side turned away.
  double rise_k = 0;               ///< Peak rise over the baseline at the highest current.
  double power_w = 0;
  double power_low_w = 0;
  double power_high_w = 0;  ///< 95 % interval.
  std::optional<double> share_of_supply;
  /// Power over current squared of the one fault, if it heats as a resistance
  /// does and all the current flows through it ...
  std::optional<Estimate> resistance_ohm;
  /// ... and power over current, if as a junction does: the volts across it.
  std::optional<Estimate> drop_v;
  /// Of the board around the place: conductivity along it times thickness.
  std::optional<Estimate> sheet_conductance_w_k;
  std::optional<double> current_exponent;
  std::optional<double> current_exponent_sigma;
  std::optional<double> onset_s;
  double width_mm = 0;  ///< Full width at half of the peak.
  double snr = 0;       ///< Of the fitted response at the place.
  std::vector<PartMatch> parts;
  /// Of the lead contact whose heat this most likely is; may be without a name.
  std::optional<std::string> contact;
  std::vector<Remark> remarks;
  /// All that was asked. The product of the factors are the odds of the place
  /// against there being no fault in sight; the other places' odds then share
  /// the probability (src/rank/README.md).
  std::vector<Evidence> evidence;
  std::vector<GrowthPoint> growth;
  std::vector<LevelRise> levels;                ///< Rising current.
  std::optional<SeenFromOtherSide> other_side;  ///< Where both sides were filmed.
};

/// The whole path of the current by the supply's readings: volts = drop + ohm * amps.
struct SupplyPath {
  double top_amps_a = 0;
  double drop_v = 0;  ///< Stays however small the current: a junction on the way.
  double drop_sigma_v = 0;
  double ohm = 0;  ///< Leads, contacts, tracks and a short together.
  double sigma_ohm = 0;
  [[nodiscard]] double drop_w() const { return drop_v * top_amps_a; }
  [[nodiscard]] double ohmic_w() const { return ohm * top_amps_a * top_amps_a; }
};

/// The board about one place as a plate, by how heat spreads in it:
/// C dT/dt = kappa laplace T - H T + q.
struct PlateFit {
  Estimate sheet_conductance_w_k;  ///< kappa: conductivity along the board times thickness.
  Estimate heat_capacity_j_m2k;    ///< C, parts and copper included.
  Estimate film_w_m2k;             ///< H, both faces together.
};

/// A picture or map that was saved beside result.json.
struct SavedPicture {
  std::string key;           ///< What it shows: "response", "static", "photo".
  std::string file;          ///< Name within the folder.
  std::string unit;          ///< Of the values of a map; empty for a photo.
  double scale = 1;          ///< Pixels saved for one of the original.
  std::string meaning = {};  ///< What a value says; empty: the unit tells.
};

/// A capture of the other side that took part in the decision.
struct OtherSide {
  std::string title;
  std::string case_file;
  Verdict verdict = Verdict::kNone;    ///< That capture alone.
  double top_amps_a = 0;               ///< Highest current there.
  double detectable_w = 0;             ///< There, at its highest current.
  std::vector<Remark> conflicts;       ///< Where the two captures disagree.
};

/// Everything `Locate` found out; the values behind result.json.
struct LocateResult {
  /// Of relative frames nothing is known in kelvin or watts: every member in
  /// kelvin is then a share of the largest rise among the places (1 at that
  /// place), and every one in watts is unknown. ToRelative() sees to it.
  FrameValues values = FrameValues::kKelvin;
  std::string title;
  std::string case_file;
  std::vector<Assumption> assumed;

  cv::Size frame_size_px;
  int binning = 1;  ///< So many pixels, along and across, were worked on as one.
  double rate_hz = 0;
  Alignment alignment;
  BoardMaps maps;

  double noise_per_frame_k = 0;
  double noise_response_k = 0;
  std::optional<double> clock_offset_s;
  std::optional<double> clock_offset_sigma_s;
  std::vector<Remark> supply_remarks;  ///< What is odd about the log.
  std::vector<SupplyLevel> levels;
  /// Otherwise nothing was noted of the supply and its steps are those that the frames show: the
  /// levels have times but no currents, and nothing is known that a current is needed for.
  bool currents_known = true;
  std::optional<double> most_volts_v;  ///< The supply's setting, where nothing logged volts.
  std::optional<SupplyPath> supply_path;  ///< Where the log has volts at two levels or more.
  std::optional<PlateFit> plate;          ///< By the strongest round place, no clip or body.

  Verdict verdict = Verdict::kNone;
  /// Why kNone says nothing of the board; empty: it does say that no fault was seen.
  Remark verdict_reason;
  std::vector<Candidate> candidates;  ///< Best first.
  double elsewhere_prob = 1;          ///< That the fault is at none of the places.
  /// Power from which a fault usually gets a verdict, at a middling place; 0: not known.
  double detectable_w = 0;
  std::vector<Remark> advice;
  std::optional<OtherSide> other_side;

  Image reference_k;  ///< The static picture in the reference frame [K].
  Image response_k;   ///< Rise that follows the supply, at the highest current [K].
  Image snr;          ///< Signal-to-noise ratio of the spot filter.
  /// Sharpened heat at the highest current: a part of 2 mm on the seen face
  /// peaks near its watts. NaN where nothing was seen; empty: not made.
  Image power_w;
  double power_sigma_w = 0;  ///< Standard deviation of `power_w` at a middling place.
  /// Watts that such a part must have here to stand out with 95 %; NaN unseen.
  Image limit_w;
  double mm_per_pixel = 0;
  BoardSide side = BoardSide::kTop;  ///< Of the board, facing the camera.
  std::vector<SavedPicture> pictures;

  /// What the places that are called a fault take of the supply [W].
  [[nodiscard]] double FaultWatts() const {
    double sum_w = 0;
    for (const Candidate& candidate : candidates) {
      const bool counts = candidate.confidence >= kFaultConfidence && candidate.power_w > 0;
      if (counts) sum_w += candidate.power_w;
    }
    return sum_w;
  }
};

}  // namespace ohmglow
