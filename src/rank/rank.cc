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

#include "base/median.h"
#include "heat/plate.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "rank/carriers.h"
#include "rank/confidence.h"
#include "rank/growth.h"
#include "rank/judge.h"
#include "rank/line_fit.h"
#include "rank/list_fit.h"
#include "rank/overrun.h"
#include "rank/part_form.h"
#include "rank/part_match.h"
#include "rank/place_courses.h"
#include "rank/places.h"
#include "rank/spot.h"
#include "rank/spot_place.h"
#include "rank/spot_powers.h"
#include "rank/supply_budget.h"
#include "rank/verdict_rules.h"
#include "rank/weights.h"
#include "rank/wide_fit.h"

namespace ohmglow {
namespace {

// Detector maps searched together, roughly independent ones among lags and sizes.
constexpr double kIndependentMaps = 4;
// Correlation length of the finer detector: Gaussian of 1 px, both ways.
constexpr double kDetectorFwhmPx = 2.355 * 1.414;
// Full width at half maximum of a Gaussian spot as wide as the detector's size, seen through it,
// over that size.
constexpr double kWidthOfSize = kDetectorFwhmPx;
// Log likelihood by which another course must be worse for heat to be the supply's for sure.
constexpr double kSurelyFollows = -4.6;
// Probability that settles the side.
constexpr double kDecidedProb = 0.85;
// What the fit's own error, model and all, does not hold.
constexpr double kPowerModelLogSigma = 0.1;
// What patchy copper makes of the halo of a strong spot.
constexpr double kHaloShare = 0.4;
constexpr double kHaloMm = 6;
// The rise is read over this part of the highest level, at its end, as exactly
// as the clock is usually known.
constexpr double kEndOfTop = 0.1;
constexpr double kClockErrorS = 0.2;
// Heat of a source beyond the rim of what was seen peaks on that rim.
constexpr int kRimPx = 3;
// Rises are scaled up by more than a fifth where somebody told of bare metal; paints and
// laminates (0.8 to 0.95; from memory) differ by less.
constexpr float kToldOfMetal = 1.2F;

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
        courses_(response, model, drive, MakeSourceCourses(PlateOf(job))),
        rise_k_(FillOverruns(response.rise_k, response.out_of_range, response.read_rise_k)),
        readable_(response.seen.clone()),
        list_fits_(ListFits(job, maps)) {
    // One number for all levels tells nothing of what lies on the way.
    if (job.supply && !job.most_volts_v) {
      path_ = ReadSupplyPath(*job.supply, drive.top_amps_a());
    }
    if (!response.out_of_range.empty()) readable_.setTo(255, response.out_of_range);
    for (const Contact& contact : job.contacts) contacts_px_.push_back(contact.frame_px);
  }

  /// @param rivals  the stronger peaks.
  [[nodiscard]] Spot Measure(const Peak& peak, std::span<const Peak> rivals) {
    return MeasureAt(peak, rivals, courses_.At(peak.at_px));
  }

  // The same of wide heat that the peaks hide, where it is the supply's for sure.
  [[nodiscard]] std::optional<Spot> MeasureHidden(const WidePlace& wide,
                                                  std::span<const Peak> peaks) {
    const Point at_px = wide.peak.at_px;
    const double mm = ScaleAt(maps_, job_, at_px);
    const PlaceCourses::Place place =
        courses_.AtWide(at_px, kWideSigmaMm / mm, kWideSurroundingsMm / mm);
    Spot spot = MeasureAt(wide.peak, peaks, place);
    // What the stronger ones make of its heat is known better than by their halos.
    spot.halo_ratio = wide.held_of_left;
    const double other = std::max(spot.course.log_by_itself, spot.course.log_smooth);
    if (place.clear_steps < kClearSteps || other > kSurelyFollows) return std::nullopt;
    return spot;
  }

  [[nodiscard]] Spot MeasureAt(const Peak& peak,
                               std::span<const Peak> rivals,
                               const PlaceCourses::Place& place) {
    Spot spot;
    spot.mm_per_pixel = ScaleAt(maps_, job_, peak.at_px);
    spot.peak = peak;
    const cv::Point pixel(cvRound(peak.at_px.x), cvRound(peak.at_px.y));
    spot.rise_k = rise_k_(pixel);
    spot.rise_z = LargestAround(response_.rise_z, peak);
    spot.course = courses_.FitOf(place);
    spot.snr = peak.overrun_px > 0 ? LargestAround(response_.detector.z(), peak)
                                   : StandsOut(peak, place, spot.course);
    spot.shape = MeasureShape(rise_k_, readable_, peak.at_px, contacts_px_);
    spot.most_width_px = kWidthOfSize * response_.detector.BestAt(peak.at_px).sigma_px;
    // That a junction lies on the path speaks for those that look like one; that
    // none does speaks against all.
    const double log_path = path_ ? LogJunctionOnPath(*path_) : 0;
    if (log_path < 0 || spot.course.log_junction > 0) spot.course.log_junction += log_path;
    MeasureRivals(rivals, spot);
    spot.at_rim = peak.overrun_px <= 0 && AtRim(pixel);
    for (const Point contact : contacts_px_) {
      spot.contact_mm =
          std::min(spot.contact_mm, spot.mm_per_pixel * cv::norm(contact - peak.at_px));
    }
    return spot;
  }

  // Places that stand out, the strongest first; weaker ones only while the list
  // has room for them.
  [[nodiscard]] std::vector<Peak> Peaks(double threshold, int max_candidates) {
    std::vector<Peak> peaks =
        JoinAtOverruns(FindPlaces(response_.detector, threshold), response_.out_of_range);
    std::erase_if(peaks, [&](const Peak& peak) {
      if (peak.overrun_px > 0 || response_.detector.StandsOut(peak.at_px) >= threshold) {
        return false;
      }
      const PlaceCourses::Place place = courses_.At(peak.at_px);
      const CourseFit course = courses_.FitOf(place);
      return StandsOut(peak, place, course) < threshold;
    });
    const auto room = static_cast<std::size_t>(max_candidates) + 4;
    if (peaks.size() > room) peaks.resize(room);
    return peaks;
  }

  [[nodiscard]] Candidate Describe(const Spot& spot, const Judgement& judgement) const;

  [[nodiscard]] double list_fits() const { return list_fits_; }
  [[nodiscard]] const std::optional<SupplyPath>& path() const { return path_; }

 private:
  [[nodiscard]] bool AtRim(cv::Point pixel) const {
    const cv::Point reach(kRimPx, kRimPx);
    const cv::Rect box(pixel - reach, pixel + reach + cv::Point(1, 1));
    const cv::Rect inside = box & cv::Rect({0, 0}, readable_.size());
    return inside != box || cv::countNonZero(readable_(inside)) < box.area();
  }

  // Strong heat is in the background all over the picture: there a place stands out by
  // its steps, as far as the models of a source go, however little of the background.
  [[nodiscard]] double StandsOut(const Peak& peak,
                                 const PlaceCourses::Place& place,
                                 const CourseFit& course) const {
    const double usual = response_.detector.StandsOut(peak.at_px);
    const bool steps = LargestAround(response_.detector.z_steps(), peak) >= Detector::kStrongSteps;
    const bool follows = std::max(course.log_by_itself, course.log_smooth) < kSurelyFollows;
    return steps && follows ? std::max(usual, place.clear_steps) : usual;
  }

  // Name of the contact whose heat this is, if any's.
  [[nodiscard]] std::optional<std::string> ContactAt(const Spot& spot,
                                                     const Judgement& judgement) const {
    const bool is_one = FactorOf(judgement.evidence, kNoLeadContact) < kSurelyAgainst;
    if (!is_one) return std::nullopt;
    const Contact* nearest = nullptr;
    double least_px = 0;
    for (const Contact& contact : job_.contacts) {
      const double apart_px = cv::norm(contact.frame_px - spot.peak.at_px);
      if (nearest != nullptr && apart_px >= least_px) continue;
      nearest = &contact;
      least_px = apart_px;
    }
    return nearest == nullptr ? std::nullopt : std::optional(nearest->name);
  }

  [[nodiscard]] bool EmissivityIsTold(const Spot& spot) const {
    const cv::Point pixel(cvRound(spot.peak.at_px.x), cvRound(spot.peak.at_px.y));
    return !response_.rise_gain.empty() && response_.rise_gain(pixel) > kToldOfMetal;
  }

  // The likeliest part, on the side seen, has a bare metal top.
  [[nodiscard]] bool UnderMetal(const Spot& spot) const {
    if (spot.parts.parts.empty() || EmissivityIsTold(spot)) return false;
    return std::any_of(job_.parts.begin(), job_.parts.end(), [&](const Part& part) {
      return part.ref == spot.parts.parts.front().ref && part.side == job_.side &&
             HasMetalTop(part);
    });
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
      spot.rival_mm = std::min(spot.rival_mm, distance_mm);
      spot.halo_ratio = std::max(spot.halo_ratio, halo / spot.peak.height);
    }
  }

  const Response& response_;
  const TemporalModel& model_;
  const Drive& drive_;
  const BoardMaps& maps_;
  const Case& job_;
  PlaceCourses courses_;
  std::optional<SupplyPath> path_;
  Image rise_k_;      // with what is beyond the camera's range filled
  Mask readable_;     // ... and counted as seen
  double list_fits_;  // the probability that the list is of this board
  std::vector<Point> contacts_px_;
};

Candidate Ranker::Describe(const Spot& spot, const Judgement& judgement) const {
  Candidate out;
  out.frame_px = spot.place_px;
  out.remarks = judgement.remarks;
  out.evidence = judgement.evidence;
  out.sigma_px = spot.place_sigma_px;
  out.peak_px = spot.peak.at_px;
  out.peak_sigma_px = SigmaPx(spot);
  out.contact = ContactAt(spot, judgement);
  out.board_mm = spot.board_mm;
  if (maps_.photo_from_frame) out.photo_px = maps_.PhotoPlace(spot.place_px);
  out.far_prob = spot.far_prob;
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
  const double supply_w = TopWatts(drive_);
  const bool junction = spot.course.log_junction > kJunctionLogRatio;
  if (!(supply_w > 0) && job_.most_volts_v) {
    // The setting of the volts bounds the power; of a share it says nothing.
    BoundBySupply(*job_.most_volts_v * drive_.top_amps_a(), path_, junction, out);
    out.share_of_supply.reset();
  }
  BoundBySupply(supply_w, path_, junction, out);
  if (spot.fit.power_w > 0) out.sheet_conductance_w_k = spot.fit.sheet_conductance_w_k;
  out.current_exponent = spot.course.exponent;
  out.current_exponent_sigma = spot.course.exponent_sigma;
  out.width_mm = spot.mm_per_pixel * spot.shape.width_px;
  out.snr = spot.snr;
  // No part is surer than that the list is of this board, and that no track warms.
  const double part_prob = list_fits_ / (1 + std::exp(LogLine(spot.fit.line)));
  for (const PartMatch& match : spot.parts.parts) {
    const double prob = part_prob * match.prob;
    if (prob >= kLeastPartProb) out.parts.push_back({match.ref, prob, match.side});
  }
  if (UnderMetal(spot)) {
    out.remarks.emplace_back(RemarkKind::kMetalTop);
  }
  const double exponent = junction ? 1 : 2;
  Growth growth = MeasureGrowth(
      response_, model_, drive_, spot.peak.at_px, spot.mm_per_pixel, spot.course.lag_s, exponent);
  out.growth = std::move(growth.points);
  // The course at the place itself, where it has one, reads the rise best.
  // Of what is beyond the camera's range only the rim is read, either way: no less than that.
  if (const auto rise_k = RiseAtTop(out.growth)) {
    out.rise_k = spot.peak.overrun_px > 0 ? std::max(*rise_k, spot.rise_k) : *rise_k;
  }
  out.onset_s = growth.onset_s;
  return out;
}

std::vector<Candidate> List(const Ranker& ranker,
                            const std::vector<Judged>& judged,
                            int max_candidates) {
  std::vector<Candidate> candidates;
  for (const Judged& place : judged) {
    if (static_cast<int>(candidates.size()) >= max_candidates) break;
    if (!IsListed(candidates.size(), place.fault_prob)) break;
    Candidate candidate = ranker.Describe(place.spot, place.judgement);
    candidate.confidence = std::min(kMostConfidence, place.fault_prob);
    candidates.push_back(std::move(candidate));
  }
  return candidates;
}

// Pictures that are no temperatures tell no watts, so no ohms or volts either.
bool TellsWatts(const Case& job) {
  return !job.frames || job.frames->values() == FrameValues::kKelvin;
}

// Two faults part the current in ways that nobody knows: then neither has a reading.
void AddReadingOfOne(const Judged& place, double top_amps_a, Candidate& only) {
  AddReading(top_amps_a, place.spot.course.log_junction > kJunctionLogRatio, only);
  SayReading(only);
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

double PlaceThreshold(const Response& response, const RankOptions& options) {
  return NoiseThreshold(
      cv::countNonZero(response.seen), kDetectorFwhmPx, kIndependentMaps, options.false_alarm_prob);
}

Ranking RankSources(const Response& response,
                    const TemporalModel& model,
                    const Drive& drive,
                    const BoardMaps& maps,
                    const Case& job,
                    const RankOptions& options) {
  options.Validate();
  Ranker ranker(response, model, drive, maps, job);
  const double threshold = PlaceThreshold(response, options);
  const std::vector<Peak> peaks = ranker.Peaks(threshold, options.max_candidates);
  std::vector<Spot> spots;
  for (std::size_t i = 0; i < peaks.size(); ++i) {
    spots.push_back(ranker.Measure(peaks[i], std::span(peaks).first(i)));
  }
  Ranking ranking;
  ranking.supply_path = ranker.path();
  ranking.list_fits = ranker.list_fits();
  const SpotPowers powers(response, model, drive, job);
  const auto hidden = [&](const WidePlace& wide) { return ranker.MeasureHidden(wide, peaks); };
  Eigen::MatrixXf modes = FitFirst(powers, maps, response, hidden, spots);
  ranking.plate = powers.Finish(maps, spots, modes);
  const double supply_w = TopWatts(drive);
  for (Spot& spot : spots) {
    spot.carrier_prob = CarrierProb(job.parts, spot.parts);
    if (supply_w > 0) spot.share = std::min(1.0, spot.power_w / supply_w);
    spot.contacts_known = 0.5 * static_cast<double>(std::min<std::size_t>(2, job.contacts.size()));
  }
  MeasureSpread(spots);
  if (ranking.supply_path) {
    ShareTheDrop(*ranking.supply_path, PlausibilitiesOf(spots, threshold), spots);
  }
  const std::vector<Judged> judged = Judge(std::move(spots), threshold);
  ranking.elsewhere_prob = judged.empty() ? 1 : judged.front().none_prob;
  ranking.candidates = List(ranker, judged, options.max_candidates);
  ranking.verdict = VerdictOn(ranking.candidates);
  if (ranking.verdict == Verdict::kFound && TellsWatts(job)) {
    AddReadingOfOne(judged.front(), drive.top_amps_a(), ranking.candidates.front());
  }
  return ranking;
}

}  // namespace ohmglow
