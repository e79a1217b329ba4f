// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "twosided/side_evidence.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "base/normal_density.h"
#include "rank/part_form.h"
#include "rank/part_match.h"

namespace ohmglow {
namespace {

// Of the logarithm of near over far, or of near minus far.
struct Spread {
  double mean;
  double sigma;
};

// What a source of one kind looks like from its own side against the other.
struct KindOfSource {
  Spread rise;       // ln of the peak rises.
  Spread narrow;     // ln of far width over near width.
  Spread quickness;  // Near less far.
};

// From 92 views of 46 sources on six finite-element boards: peaks of 70 to 320,
// 10 to 46 (moulded) and 1 to 24 K/W (far), widths of 0.8 to 2.9, 5 to 11 and 4
// to 17 mm, half of the rise after 0.1 to 1.1, 1.2 to 1.9 and 0.9 to 3.5 s. A
// range counts as four standard deviations; pixels and blur take a fifth to a
// half of a chip's peak.
constexpr KindOfSource kSmall{{2.8, 1.0}, {1.3, 0.5}, {0.4, 0.2}};
constexpr KindOfSource kMoulded{{1.5, 1.0}, {0.1, 0.5}, {0.08, 0.2}};
constexpr KindOfSource kUnlisted{{2.2, 1.4}, {0.7, 0.8}, {0.25, 0.3}};

// What sits on the edge of the model must not decide alone.
constexpr double kMostLogOdds = 7;
constexpr double kMostPartLogOdds = 4;
// A rise counts as seen from so many standard errors on.
constexpr double kSeenSigmas = 2;
constexpr double kLeastWidthMm = 1;
// A lead's contact seen from here is here.
constexpr double kContactLogOdds = 3;
// A body of which the shorter side is this long hides its source.
constexpr double kMouldedMm = 2.5;

// One measure in ten is spoilt (a neighbour, a shiny end): it spreads three times as wide.
constexpr double kSpoilt = 0.1;
constexpr double kSpoiltSpread = 3;

double Normal(double x, const Spread& spread) {
  return (1 - kSpoilt) * NormalDensity(x - spread.mean, spread.sigma) +
         kSpoilt * NormalDensity(x - spread.mean, kSpoiltSpread * spread.sigma);
}

double Above(double x, const Spread& spread) {
  const auto above = [&](double sigma) {
    return 0.5 * std::erfc((x - spread.mean) / (sigma * std::numbers::sqrt2));
  };
  return (1 - kSpoilt) * above(spread.sigma) + kSpoilt * above(kSpoiltSpread * spread.sigma);
}

// ln(first / second), or a bound where one side shows nothing.
struct RiseRatio {
  double log_ratio = 0;
  double sigma = 0;  // From noise.
  bool known = false;
  bool at_least = false;  // The second side shows nothing.
  bool at_most = false;   // The first does.
};

RiseRatio RatioOf(const PlaceView& first, const PlaceView& second) {
  RiseRatio ratio;
  const auto seen = [](const PlaceView& view) {
    return view.rise_k > kSeenSigmas * view.rise_sigma_k && view.rise_k > 0;
  };
  const auto bound = [&](const PlaceView& view) {
    return seen(view) ? view.rise_k : std::max(view.rise_k, 0.0) + kSeenSigmas * view.rise_sigma_k;
  };
  ratio.known = first.filmed && second.filmed && (seen(first) || seen(second)) &&
                bound(first) > 0 && bound(second) > 0;
  if (!ratio.known) return ratio;
  ratio.at_least = !seen(second);
  ratio.at_most = !seen(first);
  ratio.log_ratio = std::log(bound(first) / bound(second));
  const auto relative = [](const PlaceView& view) { return view.rise_sigma_k / view.rise_k; };
  if (seen(first)) ratio.sigma = relative(first);
  if (seen(second)) ratio.sigma = std::hypot(ratio.sigma, relative(second));
  return ratio;
}

double LikelihoodOf(const RiseRatio& ratio, Spread spread, double sign) {
  if (!ratio.known) return 1;
  spread.mean *= sign;
  spread.sigma = std::hypot(spread.sigma, ratio.sigma);
  if (ratio.at_least) return Above(ratio.log_ratio, spread);
  if (ratio.at_most) return 1 - Above(ratio.log_ratio, spread);
  return Normal(ratio.log_ratio, spread);
}

// Probability of so weak a far side, or weaker, and of so strong a one.
struct Tails {
  double weak = 0;
  double strong = 0;
};

Tails TailsOf(const RiseRatio& ratio, Spread spread, double sign) {
  if (!ratio.known) return {1, 1};
  spread.mean *= sign;
  spread.sigma = std::hypot(spread.sigma, ratio.sigma);
  const double above = Above(ratio.log_ratio, spread);
  // Seen from the source's side, a larger ratio is a weaker far side.
  Tails tails = sign > 0 ? Tails{above, 1 - above} : Tails{1 - above, above};
  // A bound of what is not seen is only a bound: no far side is too strong by it.
  if ((sign > 0 && ratio.at_least) || (sign < 0 && ratio.at_most)) tails.strong = 1;
  return tails;
}

struct Views {
  RiseRatio rise;
  std::optional<double> narrow;     // ln(second width / first width)
  std::optional<double> quickness;  // first - second
};

// @param sign  1: the source is on the first side.
double LikelihoodOf(const Views& views, const KindOfSource& kind, double sign) {
  double likelihood = LikelihoodOf(views.rise, kind.rise, sign);
  const auto times = [&](const std::optional<double>& value, Spread spread) {
    if (!value) return;
    spread.mean *= sign;
    likelihood *= Normal(*value, spread);
  };
  times(views.narrow, kind.narrow);
  times(views.quickness, kind.quickness);
  return likelihood;
}

template <typename OfKind>
double OverKinds(const PartsOfSide& parts, const OfKind& of_kind) {
  return parts.small * of_kind(kSmall) + parts.moulded * of_kind(kMoulded) +
         parts.unlisted * of_kind(kUnlisted);
}

bool IsMoulded(const Part& part) {
  if (part.kind == "led" || ClassOf(part) == PartClass::kChip) return false;
  return std::min(part.width_mm, part.height_mm) >= kMouldedMm;
}

}  // namespace

std::optional<double> QuicknessOf(const Candidate& candidate,
                                  const std::vector<SupplyLevel>& levels) {
  constexpr double kFirstS = 1;
  constexpr double kWholeS = 5;
  const SupplyLevel* top = nullptr;
  for (const SupplyLevel& level : levels) {
    if (top == nullptr || level.amps_a > top->amps_a) top = &level;
  }
  if (top == nullptr || top->end_s - top->start_s < 0.8 * kWholeS) return std::nullopt;
  const auto fit_at = [&](double time_s) -> std::optional<double> {
    const GrowthPoint* before = nullptr;
    for (const GrowthPoint& point : candidate.growth) {
      if (!point.fit_k) continue;
      if (point.time_s < time_s) {
        before = &point;
        continue;
      }
      if (before == nullptr) return std::nullopt;
      const double share = (time_s - before->time_s) / (point.time_s - before->time_s);
      return *before->fit_k + share * (*point.fit_k - *before->fit_k);
    }
    return std::nullopt;
  };
  const auto start = fit_at(top->start_s);
  const auto soon = fit_at(top->start_s + kFirstS);
  const auto end = fit_at(std::min(top->start_s + kWholeS, top->end_s - 0.1));
  if (!start || !soon || !end || !(*end - *start > 0)) return std::nullopt;
  return std::clamp((*soon - *start) / (*end - *start), 0.0, 1.0);
}

SideEvidence WeighSides(const PlaceView& first,
                        const PartsOfSide& first_parts,
                        const PlaceView& second,
                        const PartsOfSide& second_parts) {
  Views views;
  views.rise = RatioOf(first, second);
  if (first.width_mm && second.width_mm) {
    // Nothing is seen narrower than the camera's blur; a ripple may read so.
    const auto width_mm = [](double seen_mm) { return std::max(seen_mm, kLeastWidthMm); };
    views.narrow = std::log(width_mm(*second.width_mm) / width_mm(*first.width_mm));
  }
  if (first.quickness && second.quickness) views.quickness = *first.quickness - *second.quickness;
  const auto likelihood = [&](const PartsOfSide& parts, double sign) {
    return std::max(1e-12, OverKinds(parts, [&](const KindOfSource& kind) {
                      return LikelihoodOf(views, kind, sign);
                    }));
  };
  SideEvidence evidence;
  const double seen = std::log(likelihood(first_parts, 1) / likelihood(second_parts, -1));
  const double listed = std::clamp(
      std::log(first_parts.density / second_parts.density), -kMostPartLogOdds, kMostPartLogOdds);
  const double contact = kContactLogOdds * (first.contact - second.contact);
  evidence.log_odds = std::clamp(seen + listed + contact, -kMostLogOdds, kMostLogOdds);
  evidence.both_claim_it = first.alone == HeatSide::kNear && second.alone == HeatSide::kNear;
  evidence.none_claims_it = first.alone == HeatSide::kFar && second.alone == HeatSide::kFar;
  const double sign = evidence.log_odds >= 0 ? 1 : -1;
  const PartsOfSide& parts = sign > 0 ? first_parts : second_parts;
  const auto tail = [&](double Tails::*which) {
    return OverKinds(parts, [&](const KindOfSource& kind) {
      return TailsOf(views.rise, kind.rise, sign).*which;
    });
  };
  const double weak = tail(&Tails::weak);
  const double strong = tail(&Tails::strong);
  evidence.fit_prob = std::min(1.0, 2 * std::min(weak, strong));
  evidence.missing = weak < strong;
  return evidence;
}

PartsOfSide PartsAt(const std::vector<Part>& parts,
                    BoardSide side,
                    Point place_mm,
                    double sigma_mm) {
  const PartsThere there = MatchParts(parts, place_mm, sigma_mm, side, 0);
  PartsOfSide out;
  out.unlisted = there.prob_none;
  for (const PartMatch& match : there.parts) {
    const auto part = std::find_if(parts.begin(), parts.end(), [&](const Part& candidate) {
      return candidate.ref == match.ref && candidate.side == side;
    });
    if (part == parts.end()) continue;
    (IsMoulded(*part) ? out.moulded : out.small) += match.prob;
  }
  const double sum = out.small + out.moulded + out.unlisted;
  out.small /= sum;
  out.moulded /= sum;
  out.unlisted /= sum;
  out.density = 1 / std::max(there.prob_none, 1e-6);
  return out;
}

}  // namespace ohmglow
