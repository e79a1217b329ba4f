// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/rank.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "heat/median.h"
#include "ohmglow/base/error.h"
#include "rank/confidence.h"
#include "rank/growth.h"
#include "rank/overrun.h"
#include "rank/spot.h"

namespace ohmglow {
namespace {

// Detector maps searched together, roughly independent ones among lags and sizes.
constexpr double kIndependentMaps = 4;
// Correlation length of the finer detector: Gaussian of 1 px, both ways.
constexpr double kDetectorFwhmPx = 2.355 * 1.414;
constexpr double kSaddleFraction = 0.75;
// Steps this strong tell better where a place is than what the background lets through.
constexpr double kStrongSteps = 15;
constexpr double kReachOfSteps = 7;
constexpr double kTwinPx = 1.5;
constexpr double kCourseSigmaPx = 1.0;
constexpr double kSurroundingsPx = 12;
constexpr double kWorthListing = 0.05;
constexpr double kFoundConfidence = 0.5;
// Log likelihood ratio that settles the side together with the parts list.
constexpr double kFarPrior = 0.35;
constexpr double kDecidedProb = 0.85;
// What neither fit nor balance knows: heat capacity, film, heat kept in the part.
constexpr double kPowerModelLogSigma = 0.25;
constexpr double kBoardMarginMm = 6;
// Share of the power that the fits see at the end of steps of some seconds;
// the rest stays in the part, runs off along the copper or is lost in the
// drift's freedom. Medians over 40 simulated captures of tools/simulate
// (seeds 101..108 and 201..206 of its descriptions), not of measured ones.
constexpr double kSeenShareChip = 0.65;
constexpr double kSeenShareBody = 0.46;
// Parts narrower than this are chips: their heat is in the board at once.
constexpr double kLeastBodyMm = 2.5;
// Rings of the power fit reach as far as heat travels between two steps.
constexpr double kReachMm = 12;
// What patchy copper makes of the halo of a strong spot.
constexpr double kHaloShare = 0.4;
constexpr double kHaloMm = 6;
constexpr int kBackfitRounds = 2;
constexpr std::size_t kStrongSpots = 6;
constexpr double kRoundElongation = 3;
// The rise is read over this part of the highest level, at its end, as exactly
// as the clock is usually known.
constexpr double kEndOfTop = 0.1;
constexpr double kClockErrorS = 0.2;
// Location error floors: registration and patchy copper.
constexpr double kLeastSigmaPx = 0.25;
constexpr double kSigmaOfWidth = 0.06;
// Heat of a source beyond the rim of what was seen peaks on that rim.
constexpr int kRimPx = 3;
constexpr double kRimSigmaPx = 3;

// Largest value of a map within two pixels, or as far beyond an overrun.
double LargestAround(const Image& map, const Peak& peak) {
  const int reach = 2 + static_cast<int>(std::ceil(1.5 * peak.overrun_px));
  const cv::Rect frame(0, 0, map.cols, map.rows);
  const cv::Point corner(cvRound(peak.at_px.x) - reach, cvRound(peak.at_px.y) - reach);
  const cv::Mat around = map(cv::Rect(corner, cv::Size(2 * reach + 1, 2 * reach + 1)) & frame);
  double largest = 0;
  cv::minMaxLoc(around, nullptr, &largest);
  return largest;
}

// Maxima of strong steps, and beyond their reach those of all that is seen.
std::vector<Peak> FindPlaces(const Detector& detector, double threshold) {
  Image strong = detector.steps_k().clone();
  strong.setTo(0, detector.z() < threshold);
  strong.setTo(0, detector.z_steps() < kReachOfSteps);
  std::vector<Peak> places = FindPeaks(strong, 1e-9, kSaddleFraction);
  const auto steps_at = [&](const Peak& peak) {
    return detector.z_steps()(cvRound(peak.at_px.y), cvRound(peak.at_px.x));
  };
  std::erase_if(places, [&](const Peak& peak) { return steps_at(peak) < kStrongSteps; });
  for (Peak& peak : places) {
    // A wide source's own size shows its middle; finer ones show the parts around it.
    peak.at_px = ClimbTo(detector.StepsOfSize(peak.at_px), peak.at_px).at_px;
    peak.height =
        std::max(steps_at(peak), detector.z()(cvRound(peak.at_px.y), cvRound(peak.at_px.x)));
  }
  Image rest = detector.z().clone();
  rest.setTo(0, rest < threshold);
  for (const Peak& peak : FindPeaks(rest, 1e-9, kSaddleFraction)) {
    if (steps_at(peak) < kStrongSteps) places.push_back(peak);
  }
  std::sort(places.begin(), places.end(), [](const Peak& a, const Peak& b) {
    return a.height > b.height;
  });
  // Two fine maxima may lead to one wide place.
  std::vector<Peak> apart;
  for (const Peak& peak : places) {
    const bool twin = std::any_of(apart.begin(), apart.end(), [&](const Peak& other) {
      return cv::norm(other.at_px - peak.at_px) < kTwinPx;
    });
    if (!twin) apart.push_back(peak);
  }
  return apart;
}

class Ranker {
 public:
  Ranker(const Response& response,
         const TemporalModel& model,
         const Drive& drive,
         const BoardMaps& maps,
         const Case& job)
      : response_(response),
        model_(model),
        drive_(drive),
        maps_(maps),
        job_(job),
        prior_(MakePrior(job)),
        courses_(model, drive, MakeSourceCourses(prior_.plate)),
        spots_(ForPowers(model, response), drive, prior_),
        rise_k_(FillOverruns(response.rise_k, response.out_of_range)),
        readable_(response.seen.clone()) {
    if (!response.out_of_range.empty()) readable_.setTo(255, response.out_of_range);
    for (const Contact& contact : job.contacts) contacts_px_.push_back(contact.frame_px);
  }

  /// @param rivals  the stronger peaks.
  [[nodiscard]] Spot Measure(const Peak& peak, std::span<const Peak> rivals) const {
    Spot spot;
    spot.mm_per_pixel = ScaleAt(peak.at_px);
    spot.peak = peak;
    const cv::Point pixel(cvRound(peak.at_px.x), cvRound(peak.at_px.y));
    spot.rise_k = rise_k_(pixel);
    spot.rise_z = LargestAround(response_.rise_z, peak);
    spot.snr = peak.overrun_px > 0 ? LargestAround(response_.detector.z(), peak)
                                   : response_.detector.StandsOut(peak.at_px);
    spot.shape = MeasureShape(rise_k_, readable_, peak.at_px, contacts_px_);
    spot.course = courses_.Fit(
        SpotCourse(response_.courses, response_.seen, peak.at_px, kCourseSigmaPx, kSurroundingsPx),
        response_.noise_median_k);
    MeasureRivals(rivals, spot);
    spot.at_rim = peak.overrun_px <= 0 && AtRim(pixel);
    for (const Point contact : contacts_px_) {
      spot.contact_mm =
          std::min(spot.contact_mm, spot.mm_per_pixel * cv::norm(contact - peak.at_px));
    }
    return spot;
  }

  // Powers of all spots together, by backfitting: each is fitted to what the
  // others leave over. Then side, place and part, which rest on the fits.
  void FitTogether(std::vector<Spot>& spots) const {
    Eigen::MatrixXf modes = spots_.ToModes(response_.courses);
    const cv::Size size = response_.seen.size();
    for (int round = 0; round < kBackfitRounds; ++round) {
      // Weak spots hardly change the strong ones: once is enough for them.
      const std::size_t count = round == 0 ? spots.size() : std::min(spots.size(), kStrongSpots);
      for (Spot& spot : std::span(spots).first(count)) {
        const Point at = spot.peak.at_px;
        const bool round_spot = spot.shape.elongation < kRoundElongation;
        if (round_spot) spots_.AddSpot(spot.fit, at, spot.mm_per_pixel, 1, size, modes);
        const SpotModel::View view{
            spot.mm_per_pixel, kReachMm, response_.noise_median_k, spot.course.log_junction > 2};
        spot.fit = spots_.Fit(modes, response_.seen, at, view);
        // A wire is no round spot: taking one out would dig holes beside it.
        if (round_spot) spots_.AddSpot(spot.fit, at, spot.mm_per_pixel, -1, size, modes);
      }
    }
    for (Spot& spot : spots) {
      Place(spot);
      spot.power_w = PowerOf(spot, modes);
    }
  }

  [[nodiscard]] double DetectableW(double threshold) const {
    // The detector's Gaussian mean keeps noise_k / (2 sqrt(pi) sigma) of the noise.
    const double noise_k = response_.noise_median_k / (2 * std::sqrt(M_PI) * kCourseSigmaPx);
    return threshold * noise_k / spots_.StrengthPerWatt(job_.mm_per_pixel, kCourseSigmaPx);
  }

  [[nodiscard]] Candidate Describe(const Spot& spot, const Judgement& judgement) const;

 private:
  // Strong heat is measured by its steps alone: the background that was learned
  // beside it is full of it, and would bend its shape.
  static TemporalModel ForPowers(TemporalModel model, const Response& response) {
    double strongest = 0;
    cv::minMaxLoc(response.detector.z_steps(), nullptr, &strongest);
    if (strongest > kStrongSteps) model.Grant(response.usual);
    return model;
  }

  [[nodiscard]] bool AtRim(cv::Point pixel) const {
    const cv::Point reach(kRimPx, kRimPx);
    const cv::Rect box(pixel - reach, pixel + reach + cv::Point(1, 1));
    const cv::Rect inside = box & cv::Rect({0, 0}, readable_.size());
    return inside != box || cv::countNonZero(readable_(inside)) < box.area();
  }

  static PlatePrior MakePrior(const Case& job) {
    PlatePrior prior;
    prior.plate = PlateOf(job);
    prior.sheet_known = job.sheet_conductance_w_k.has_value();
    return prior;
  }

  [[nodiscard]] double ScaleAt(Point p) const {
    if (!maps_.board_from_frame) return job_.mm_per_pixel;
    return std::sqrt(std::abs(cv::determinant(maps_.board_from_frame->Jacobian(p))));
  }

  // Moulded bodies keep heat back and are hotter on top than the board under
  // them: there only the board around tells what flows into it.
  [[nodiscard]] double PowerOf(Spot& spot, Eigen::MatrixXf& modes) const {
    const double body_mm = BodyRadiusMm(spot);
    if (body_mm <= 0) return spot.fit.power_w / kSeenShareChip;
    const Point at = spot.peak.at_px;
    const cv::Size size = response_.seen.size();
    // As in FitTogether: what was never taken out must not be put back.
    const bool round_spot = spot.shape.elongation < kRoundElongation;
    if (round_spot) spots_.AddSpot(spot.fit, at, spot.mm_per_pixel, 1, size, modes);
    SpotModel::View view{
        spot.mm_per_pixel, kReachMm, response_.noise_median_k, spot.course.log_junction > 2};
    view.body_mm = body_mm;
    const SpotFit around = spots_.Fit(modes, response_.seen, at, view);
    if (round_spot) spots_.AddSpot(spot.fit, at, spot.mm_per_pixel, -1, size, modes);
    if (around.power_w > 0) spot.fit = around;
    return spot.fit.power_w / kSeenShareBody;
  }

  // Radius of the body that most likely sits at the spot; 0 for chips.
  [[nodiscard]] double BodyRadiusMm(const Spot& spot) const {
    if (spot.parts.parts.empty() || spot.parts.parts.front().prob < 0.5) return 0;
    for (const Part& part : job_.parts) {
      if (part.ref != spot.parts.parts.front().ref || part.side != job_.side) continue;
      const double shorter_mm = std::min(part.width_mm, part.height_mm);
      if (shorter_mm < kLeastBodyMm) return 0;
      return std::sqrt(part.width_mm * part.height_mm / M_PI);
    }
    return 0;
  }

  // Median over the end of the highest current; bins that may reach past the
  // switch-off, as exactly as the clock is known, do not count.
  [[nodiscard]] std::optional<double> RiseAtTop(const std::vector<GrowthPoint>& growth) const {
    double top_s = 0;
    for (const SupplyLevel& level : drive_.Levels()) {
      if (level.amps_a > 0.95 * drive_.top_amps_a()) top_s = level.end_s - level.start_s;
    }
    double bin_s = 0;
    if (growth.size() > 1) {
      bin_s =
          (growth.back().time_s - growth.front().time_s) / static_cast<double>(growth.size() - 1);
    }
    const double last_s = drive_.top_end_s() - 0.5 * bin_s - kClockErrorS;
    std::vector<double> rises_k;
    for (auto point = growth.rbegin(); point != growth.rend(); ++point) {
      if (point->time_s > last_s) continue;
      if (!rises_k.empty() && point->time_s < last_s - kEndOfTop * top_s) break;
      rises_k.push_back(point->rise_k);
    }
    if (rises_k.empty()) return std::nullopt;
    return MedianOf(rises_k);
  }

  // How much of a peak may be the ragged halo that a stronger one has on
  // patchy copper.
  static void MeasureRivals(std::span<const Peak> rivals, Spot& spot) {
    for (const Peak& rival : rivals) {
      const double distance_mm = spot.mm_per_pixel * cv::norm(rival.at_px - spot.peak.at_px);
      const double halo = kHaloShare * rival.height * std::exp(-distance_mm / kHaloMm);
      spot.halo_ratio = std::max(spot.halo_ratio, halo / spot.peak.height);
    }
  }

  // Side, board place and parts, which depend on each other.
  void Place(Spot& spot) const {
    const double log_ratio =
        std::clamp(spot.fit.far_log_likelihood - spot.fit.near_log_likelihood, -6.0, 6.0);
    const double odds = kFarPrior / (1 - kFarPrior) * std::exp(log_ratio);
    spot.far_prob = odds / (1 + odds);
    if (!maps_.board_from_frame) return;
    spot.board_mm = maps_.board_from_frame->Apply(spot.peak.at_px);
    if (job_.parts.empty()) return;
    const double sigma_mm = std::hypot(spot.mm_per_pixel * SigmaPx(spot),
                                       std::max(0.1, maps_.BoardErrorMm(spot.peak.at_px)));
    spot.parts = MatchParts(job_.parts, *spot.board_mm, sigma_mm, job_.side, spot.far_prob);
    // Where only one side has a part at the place, that speaks for the side.
    spot.far_prob = 1 - spot.parts.prob_this_side;
    spot.on_board = OnBoard(*spot.board_mm);
  }

  [[nodiscard]] bool OnBoard(Point place_mm) const {
    Point low(1e9, 1e9);
    Point high(-1e9, -1e9);
    for (const Part& part : job_.parts) {
      const Point half(part.width_mm / 2 + kBoardMarginMm, part.height_mm / 2 + kBoardMarginMm);
      const Point a = part.center_mm - half;
      const Point b = part.center_mm + half;
      low = {std::min(low.x, a.x), std::min(low.y, a.y)};
      high = {std::max(high.x, b.x), std::max(high.y, b.y)};
    }
    return place_mm.x >= low.x && place_mm.x <= high.x && place_mm.y >= low.y &&
           place_mm.y <= high.y;
  }

  [[nodiscard]] double SigmaPx(const Spot& spot) const {
    const double noise_px = 0.5 * spot.shape.width_px / std::max(spot.snr, 1.0);
    if (spot.at_rim) return std::hypot(kRimSigmaPx, kSigmaOfWidth * spot.shape.width_px);
    return std::hypot(std::hypot(noise_px, kLeastSigmaPx), kSigmaOfWidth * spot.shape.width_px);
  }

  const Response& response_;
  const TemporalModel& model_;
  const Drive& drive_;
  const BoardMaps& maps_;
  const Case& job_;
  PlatePrior prior_;
  CourseModel courses_;
  SpotModel spots_;
  Image rise_k_;   // with what is beyond the camera's range filled
  Mask readable_;  // ... and counted as seen
  std::vector<Point> contacts_px_;
};

// No place turns more into heat than the supply delivers.
void BoundBySupply(double supply_w, Candidate& out) {
  out.share_of_supply = std::min(1.0, out.power_w / supply_w);
  if (out.power_w > supply_w) {
    out.remarks.emplace_back(
        "Its heat reads higher than all that the supply delivers: the power "
        "stands at that limit.");
  }
  for (double* power_w : {&out.power_w, &out.power_low_w, &out.power_high_w}) {
    *power_w = std::min(*power_w, supply_w);
  }
}

Candidate Ranker::Describe(const Spot& spot, const Judgement& judgement) const {
  Candidate out;
  out.frame_px = spot.peak.at_px;
  out.remarks = judgement.remarks;
  out.evidence = judgement.evidence;
  out.sigma_px = SigmaPx(spot);
  out.board_mm = spot.board_mm;
  if (maps_.photo_from_frame) out.photo_px = maps_.PhotoPlace(spot.peak.at_px);
  if (spot.far_prob > kDecidedProb) {
    out.side = HeatSide::kFar;
  } else if (spot.far_prob < 1 - kDecidedProb) {
    out.side = HeatSide::kNear;
  }
  out.rise_k = spot.rise_k;
  out.power_w = spot.power_w;
  const double sigma = std::hypot(spot.fit.power_log_sigma, kPowerModelLogSigma);
  out.power_low_w = spot.power_w * std::exp(-1.96 * sigma);
  out.power_high_w = spot.power_w * std::exp(1.96 * sigma);
  double supply_w = 0;
  for (const SupplyLevel& level : drive_.Levels()) {
    if (level.amps_a > 0.95 * drive_.top_amps_a()) supply_w = std::max(supply_w, level.watts_w());
  }
  if (supply_w > 0) BoundBySupply(supply_w, out);
  out.current_exponent = spot.course.exponent;
  out.current_exponent_sigma = spot.course.exponent_sigma;
  out.width_mm = spot.mm_per_pixel * spot.shape.width_px;
  out.snr = spot.snr;
  out.parts = spot.parts.parts;
  const double exponent = spot.course.log_junction > 2 ? 1 : 2;
  Growth growth = MeasureGrowth(
      response_, model_, drive_, spot.peak.at_px, spot.mm_per_pixel, spot.course.lag_s, exponent);
  out.growth = std::move(growth.points);
  // The course at the place itself, where it has one, reads the rise best.
  if (const auto rise_k = RiseAtTop(out.growth)) out.rise_k = *rise_k;
  out.onset_s = growth.onset_s;
  return out;
}

}  // namespace

void RankOptions::Validate() const {
  if (!(false_alarm_prob > 0 && false_alarm_prob < 0.5)) {
    throw OptionError("RankOptions::false_alarm_prob must lie between 0 and 0.5; it is " +
                      std::to_string(false_alarm_prob));
  }
  if (max_candidates < 1) {
    throw OptionError("RankOptions::max_candidates must be at least 1; it is " +
                      std::to_string(max_candidates));
  }
}

Ranking RankSources(const Response& response,
                    const TemporalModel& model,
                    const Drive& drive,
                    const BoardMaps& maps,
                    const Case& job,
                    const RankOptions& options) {
  options.Validate();
  const Ranker ranker(response, model, drive, maps, job);
  const double threshold = NoiseThreshold(
      cv::countNonZero(response.seen), kDetectorFwhmPx, kIndependentMaps, options.false_alarm_prob);
  std::vector<Peak> peaks =
      JoinAtOverruns(FindPlaces(response.detector, threshold), response.out_of_range);
  std::erase_if(peaks, [&](const Peak& peak) {
    return peak.overrun_px <= 0 && response.detector.StandsOut(peak.at_px) < threshold;
  });
  // Weaker peaks are only worth their time while the list has room for them.
  const auto room = static_cast<std::size_t>(options.max_candidates) + 4;
  if (peaks.size() > room) peaks.resize(room);
  struct Entry {
    Spot spot;
    Judgement judgement;
    double weight_w = 0;
  };
  std::vector<Spot> spots;
  for (std::size_t i = 0; i < peaks.size(); ++i) {
    spots.push_back(ranker.Measure(peaks[i], std::span(peaks).first(i)));
  }
  ranker.FitTogether(spots);
  std::vector<Entry> entries;
  double heaviest_w = 0;
  for (Spot& spot : spots) {
    Entry entry{std::move(spot), {}, 0};
    entry.judgement = JudgeSpot(entry.spot, threshold);
    entry.weight_w = entry.judgement.plausibility * entry.spot.power_w;
    heaviest_w = std::max(heaviest_w, entry.weight_w);
    entries.push_back(std::move(entry));
  }
  std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
    return a.weight_w * a.judgement.plausibility > b.weight_w * b.judgement.plausibility;
  });
  Ranking ranking;
  ranking.detectable_w = ranker.DetectableW(threshold);
  for (const Entry& entry : entries) {
    if (static_cast<int>(ranking.candidates.size()) >= options.max_candidates) break;
    Candidate candidate = ranker.Describe(entry.spot, entry.judgement);
    // A weaker place is less likely the fault than the strongest plausible one:
    // currents that feed a short warm tracks and coils as well.
    const double share = heaviest_w > 0 ? entry.weight_w / heaviest_w : 0;
    candidate.confidence = std::min(0.99, entry.judgement.plausibility * share);
    candidate.evidence.push_back({"takes the most heat of the plausible ones", share});
    if (share < 0.5 && entry.judgement.plausibility > 0.5) {
      candidate.remarks.emplace_back("Far weaker than the first place.");
    }
    // The first three always stand, so that a reader sees what was passed over.
    if (ranking.candidates.size() >= 3 && candidate.confidence < kWorthListing) continue;
    ranking.candidates.push_back(std::move(candidate));
  }
  const auto confident = std::count_if(
      ranking.candidates.begin(), ranking.candidates.end(), [](const Candidate& candidate) {
        return candidate.confidence >= kFoundConfidence;
      });
  ranking.verdict = confident == 0   ? Verdict::kNone
                    : confident == 1 ? Verdict::kFound
                                     : Verdict::kSeveral;
  if (ranking.verdict == Verdict::kNone) {
    // No promise that a listed place breaks: what was seen and doubted might be the fault.
    for (const Candidate& candidate : ranking.candidates) {
      ranking.detectable_w = std::max(ranking.detectable_w, candidate.power_w);
    }
  }
  return ranking;
}

}  // namespace ohmglow
