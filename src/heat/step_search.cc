// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "heat/step_search.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <random>

namespace ohmglow {
namespace {

constexpr int kStride = 4;
constexpr std::size_t kEvenStarts = 8;
constexpr int kRandomStarts = 12;
constexpr unsigned kSeed = 20;
constexpr int kMostSweeps = 12;
constexpr int kFarthestShift = 12;
constexpr double kGains = 1e-3;
// Starts nearer than this in every step lead to the same top, mostly.
constexpr int kApart = 8;

bool Alike(const StepPlaces& a, const StepPlaces& b, int apart) {
  for (std::size_t k = 0; k < a.size(); ++k) {
    if (std::abs(a[k] - b[k]) > apart) return false;
  }
  return true;
}

// In order and far enough apart, moved as little as that needs; nothing where they
// do not fit.
std::optional<StepPlaces> Ordered(StepPlaces at, const StepScore& score) {
  for (int k = 0; k < score.num_steps(); ++k) {
    auto& place = at[static_cast<std::size_t>(k)];
    place = std::max(place, score.Earliest(at, k));
  }
  for (int k = score.num_steps(); k-- > 0;) {
    auto& place = at[static_cast<std::size_t>(k)];
    place = std::min(place, score.Latest(at, k));
  }
  // From the end back they may have been pushed out at the beginning.
  const bool fits = at.front() >= score.Earliest(at, 0);
  return fits ? std::optional(at) : std::nullopt;
}

void KeepApart(std::vector<StepFit>& fits, std::size_t most, int apart) {
  std::stable_sort(
      fits.begin(), fits.end(), [](const auto& a, const auto& b) { return a.score > b.score; });
  std::vector<StepFit> kept;
  for (StepFit& fit : fits) {
    const bool known = std::any_of(kept.begin(), kept.end(), [&](const auto& other) {
      return Alike(other.at, fit.at, apart);
    });
    if (!known && kept.size() < most) kept.push_back(std::move(fit));
  }
  fits = std::move(kept);
}

std::vector<StepFit> EvenStarts(const StepScore& score, const StepTable& table) {
  std::vector<StepFit> fits;
  const int last = table.num_times() - 1;
  const int num = score.num_steps();
  for (int first = kStride; first < last; first += kStride) {
    for (int pitch = kStride; first + (num - 1) * pitch <= last; pitch += kStride) {
      StepPlaces at;
      for (int k = 0; k < num; ++k) at.push_back(first + k * pitch);
      const auto fits_in = Ordered(at, score);
      if (fits_in) fits.push_back({*fits_in, score.Of(*fits_in)});
      if (num == 1) break;
    }
  }
  KeepApart(fits, kEvenStarts, kApart);
  return fits;
}

// Noted times where there are any; between them even.
StepPlaces NotedStart(const StepTable& table, const std::vector<SetLevel>& levels) {
  const std::size_t num = levels.size() - 1;
  StepPlaces at(num);
  std::size_t known = 0;  // steps done
  double known_at = 0;
  for (std::size_t k = 1; k <= num + 1; ++k) {
    const bool end = k == num + 1;
    if (!end && !levels[k].start_s) continue;
    const double here = end ? table.num_times() - 1 : table.Nearest(*levels[k].start_s);
    for (std::size_t j = known + 1; j < k; ++j) {
      const double share = static_cast<double>(j - known) / static_cast<double>(k - known);
      at[j - 1] = static_cast<int>(known_at + share * (here - known_at));
    }
    if (!end) at[k - 1] = static_cast<int>(here);
    known = k;
    known_at = here;
  }
  return at;
}

StepPlaces RandomStart(std::mt19937& random, int num, int num_times) {
  StepPlaces at;
  for (int k = 0; k < num; ++k) {
    at.push_back(static_cast<int>(random() % static_cast<unsigned>(num_times)));
  }
  std::sort(at.begin(), at.end());
  return at;
}

// Each step to its best place in turn.
void MoveEach(const StepScore& score, StepFit& fit) {
  for (int k = 0; k < score.num_steps(); ++k) {
    const int first = std::max(0, score.Earliest(fit.at, k));
    const int last = score.Latest(fit.at, k);
    if (first > last) continue;
    const std::vector<double> scores = score.Scan(fit.at, k, first, last);
    const auto best = std::max_element(scores.begin(), scores.end());
    if (*best <= fit.score) continue;
    fit.score = *best;
    fit.at[static_cast<std::size_t>(k)] = first + static_cast<int>(best - scores.begin());
  }
}

// A step and all that follow it, or all before it, earlier or later.
void MoveMany(const StepScore& score, StepFit& fit) {
  const std::size_t num = fit.at.size();
  for (std::size_t k = 0; k < num; ++k) {
    for (const bool after : {true, false}) {
      const StepFit from = fit;
      for (int shift = -kFarthestShift; shift <= kFarthestShift; ++shift) {
        StepPlaces at = from.at;
        for (std::size_t j = after ? k : 0; j < (after ? num : k + 1); ++j) at[j] += shift;
        const auto ordered = Ordered(at, score);
        if (!ordered || *ordered != at) continue;
        const double value = score.Of(at);
        if (value > fit.score) fit = {at, value};
      }
    }
  }
}

}  // namespace

StepFit ClimbSteps(const StepScore& score, StepPlaces from) {
  StepFit fit{std::move(from), 0};
  fit.score = score.Of(fit.at);
  for (int sweep = 0; sweep < kMostSweeps; ++sweep) {
    const double before = fit.score;
    MoveEach(score, fit);
    if (fit.score < before + kGains) MoveMany(score, fit);
    if (fit.score < before + kGains) break;
  }
  return fit;
}

std::vector<StepFit> SearchSteps(const StepScore& score,
                                 const StepTable& table,
                                 const std::vector<SetLevel>& levels) {
  std::vector<StepPlaces> starts;
  for (const StepFit& even : EvenStarts(score, table)) starts.push_back(even.at);
  starts.push_back(NotedStart(table, levels));
  std::mt19937 random(kSeed);
  for (int i = 0; i < kRandomStarts; ++i) {
    starts.push_back(RandomStart(random, score.num_steps(), table.num_times()));
  }
  std::vector<StepFit> fits;
  for (const StepPlaces& start : starts) {
    if (const auto ordered = Ordered(start, score)) fits.push_back(ClimbSteps(score, *ordered));
  }
  KeepApart(fits, fits.size(), 1);
  return fits;
}

}  // namespace ohmglow
