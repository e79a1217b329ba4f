// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/clock_check.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <vector>

#include "base/in_parallel.h"
#include "heat/clock_blocks.h"
#include "heat/clock_steps.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr std::size_t kMostPlaces = 8;
// Lively places that this clock does not explain are heard too, so that those that
// it was chosen by have no say alone.
constexpr std::size_t kMostOthers = 8;
constexpr double kSamePlacePx = 6;
constexpr double kStepS = 0.25;
// Places that are heat of the supply, before looking.
constexpr double kHeatProb = 0.3;
// No place alone outweighs all others.
constexpr double kMostLog = 20;
// Another clock must be this much more probable: it was not read first.
constexpr double kClearly = 6;
// Witnesses share the picture's errors: together they know half of what they say.
constexpr double kTemper = 0.5;
// Offsets further than this from the chosen one belong to another hump.
constexpr double kHumpS = 1.5;
constexpr double kRivalWorthSaying = 0.1;
// Offsets as near as this are the present one, and so are those that differ by
// less than this part of a bin: twice what models of a source leave of one.
constexpr double kSameS = 0.4;
constexpr double kSameOfBin = 0.2;
constexpr double kImpossible = -1e300;

// Where the hottest was cut out, what is left is its late halo.
bool AnyOverrun(const Mask& out_of_range) {
  return !out_of_range.empty() && cv::countNonZero(out_of_range) > 0;
}

struct Witness {
  PlaceCourses::Place place;
  double log_other = 0;
};

class Hearing {
 public:
  Hearing(const Response& response, std::span<const Peak> places, PlaceCourses& courses)
      : noise_k_(response.noise_median_k), sources_(courses.sources()) {
    for (const Peak& peak : places.first(std::min(places.size(), kMostPlaces))) {
      const PlaceCourses::Place place = courses.At(peak.at_px);
      witnesses_.push_back({place, place.courses->LogOther(place.course, noise_k_)});
    }
    for (const Detector::Bright& other : response.detector.Unexplained(kMostOthers)) {
      const bool heard = std::any_of(places.begin(), places.end(), [&](const Peak& peak) {
        return cv::norm(peak.at_px - other.at_px) < kSamePlacePx;
      });
      if (heard) continue;
      const PlaceCourses::Place place = courses.At(other.at_px, other.sigma_px);
      witnesses_.push_back({place, place.courses->LogOther(place.course, noise_k_)});
    }
  }
  [[nodiscard]] bool empty() const { return witnesses_.empty(); }

  [[nodiscard]] double LogProb(const Drive& drive) const {
    // Places of one size share their model.
    const HeatShapes shapes = MakeHeatShapes(*witnesses_.front().place.background, drive, sources_);
    std::map<const CourseModel*, CourseModel> under;
    double sum = 0;
    for (const Witness& one : witnesses_) {
      auto found = under.find(one.place.courses);
      if (found == under.end()) {
        found = under
                    .insert({one.place.courses,
                             one.place.courses->Under(*one.place.background, shapes)})
                    .first;
      }
      const double ratio =
          std::min(kMostLog, found->second.LogHeat(one.place.course, noise_k_) - one.log_other);
      sum += std::log(kHeatProb * std::exp(ratio) + 1 - kHeatProb);
    }
    return sum;
  }

 private:
  double noise_k_;
  const SourceCourses& sources_;
  std::vector<Witness> witnesses_;
};

struct Trial {
  double offset_s;
  double log_prob;
};

// What the other humps of the posterior say against the one that is chosen.
void AddRivals(const std::vector<Trial>& trials, double chosen_s, ClockHearing& out) {
  double most = trials.front().log_prob;
  for (const Trial& trial : trials) most = std::max(most, trial.log_prob);
  double norm = 0;
  double square_s2 = 0;
  double rival = 0;
  for (const Trial& trial : trials) {
    const double weight = std::exp(kTemper * (trial.log_prob - most));
    norm += weight;
    const double apart_s = trial.offset_s - chosen_s;
    if (std::abs(apart_s) < kHumpS) continue;
    square_s2 += weight * apart_s * apart_s;
    out.rival_prob += weight;
    if (weight > rival) {
      rival = weight;
      out.rival_s = trial.offset_s;
    }
  }
  out.rival_prob /= norm;
  out.spread_s = std::sqrt(square_s2 / norm);
}

}  // namespace

ClockHearing HearClock(const Response& response,
                       std::span<const Peak> places,
                       const SupplyLog& log,
                       TimeSpan filmed,
                       double offset_s,
                       double range_s,
                       PlaceCourses& courses) {
  if (AnyOverrun(response.out_of_range)) return {};
  const double bin_s =
      (filmed.last_s - filmed.first_s) / static_cast<double>(response.courses.rows());
  const double same_s = std::max(kSameS, kSameOfBin * bin_s);
  const Hearing hearing(response, places, courses);
  if (hearing.empty()) return {};
  std::vector<Trial> trials;
  const int half = static_cast<int>(range_s / kStepS);
  for (int i = -half; i <= half; ++i) trials.push_back({i * kStepS, kImpossible});
  // The present clock may be quite another.
  if (std::abs(offset_s) > range_s) trials.push_back({offset_s, kImpossible});
  internal::InParallel(static_cast<int>(trials.size()), [&](int n) {
    Trial& trial = trials[static_cast<std::size_t>(n)];
    try {
      trial.log_prob = hearing.LogProb(Drive(log, trial.offset_s, filmed)) +
                       ClockLogPrior(trial.offset_s) +
                       StepsLogPrior(log, filmed.first_s, filmed.last_s, trial.offset_s);
    } catch (const DataError&) {
      return;  // No step would lie in the film.
    }
  });
  std::erase_if(trials, [](const Trial& trial) { return !(trial.log_prob > kImpossible); });
  for (Trial& trial : trials) {
    if (std::abs(trial.offset_s - offset_s) < same_s) trial.log_prob += kClearly;
  }
  if (trials.empty()) return {};
  const auto best =
      std::max_element(trials.begin(), trials.end(), [](const Trial& a, const Trial& b) {
        return a.log_prob < b.log_prob;
      });
  ClockHearing out;
  if (std::abs(best->offset_s - offset_s) >= same_s) out.better_s = best->offset_s;
  AddRivals(trials, out.better_s.value_or(offset_s), out);
  return out;
}

std::optional<Remark> RivalRemark(const ClockHearing& hearing, double offset_s) {
  if (hearing.rival_prob < kRivalWorthSaying) return std::nullopt;
  return Remark(RemarkKind::kRivalClock)
      .With("offset_s", offset_s)
      .With("rival_s", hearing.rival_s)
      .With("percent", 100 * hearing.rival_prob);
}

}  // namespace ohmglow
