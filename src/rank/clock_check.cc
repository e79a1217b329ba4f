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

namespace ohmglow {
namespace {

constexpr std::size_t kMostPlaces = 8;
constexpr double kStepS = 0.25;
// Places that are heat of the supply, before looking.
constexpr double kHeatProb = 0.3;
// No place alone outweighs all others.
constexpr double kMostLog = 20;
// Another clock must be this much more probable: it was not read first.
constexpr double kClearly = 6;
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
  }

  [[nodiscard]] double LogProb(const Drive& drive) const {
    // Places of one size share their model.
    std::map<const CourseModel*, CourseModel> under;
    double sum = 0;
    for (const Witness& one : witnesses_) {
      auto found = under.find(one.place.courses);
      if (found == under.end()) {
        found = under
                    .insert({one.place.courses,
                             one.place.courses->Under(drive, *one.place.background, sources_)})
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

}  // namespace

std::optional<double> BetterClock(const Response& response,
                                  std::span<const Peak> places,
                                  const SupplyLog& log,
                                  TimeSpan filmed,
                                  double offset_s,
                                  double range_s,
                                  PlaceCourses& courses) {
  if (places.empty() || AnyOverrun(response.out_of_range)) return std::nullopt;
  const double bin_s =
      (filmed.last_s - filmed.first_s) / static_cast<double>(response.courses.rows());
  const double same_s = std::max(kSameS, kSameOfBin * bin_s);
  const Hearing hearing(response, places, courses);
  const int half = static_cast<int>(range_s / kStepS);
  const auto trial_s = [&](int n) { return (n - half) * kStepS; };
  std::vector<double> log_prob(static_cast<std::size_t>(2 * half + 1), kImpossible);
  internal::InParallel(2 * half + 1, [&](int n) {
    try {
      log_prob[static_cast<std::size_t>(n)] =
          hearing.LogProb(Drive(log, trial_s(n), filmed)) + ClockLogPrior(trial_s(n)) +
          StepsLogPrior(log, filmed.first_s, filmed.last_s, trial_s(n));
    } catch (const DataError&) {
      return;  // No step would lie in the film.
    }
  });
  double now = kImpossible;
  double best = kImpossible;
  double best_s = offset_s;
  for (int n = 0; n <= 2 * half; ++n) {
    const double log_here = log_prob[static_cast<std::size_t>(n)];
    if (std::abs(trial_s(n) - offset_s) < same_s) now = std::max(now, log_here);
    if (log_here > best) {
      best = log_here;
      best_s = trial_s(n);
    }
  }
  if (!(now > kImpossible) || std::abs(best_s - offset_s) < same_s || best < now + kClearly)
    return std::nullopt;
  return best_s;
}

}  // namespace ohmglow
