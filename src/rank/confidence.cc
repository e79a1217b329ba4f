// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/confidence.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string_view>
#include <utility>

#include "ohmglow/base/remark_kind.h"
#include "rank/weights.h"

namespace ohmglow {
namespace {

// A lead contact warms the copper around it about this far.
constexpr double kContactReachMm = 2.2;
// A wire or a track: this many times longer than wide, and this long.
constexpr double kLongElongation = 3.0;
constexpr double kLongMm = 9.0;
// A wire ends at a contact, this far from its middle line at most.
constexpr double kWireEndMm = 1.5;
// No single likelihood ratio may settle the matter alone: models are models.
constexpr double kMostLogRatio = 7;
// Another explanation is that much better [log].
constexpr double kSureRival = 2;
// Places that stand out further are all alike.
constexpr double kMostLogSnr = 2;
// Of the threshold: a place that stands out no more may be noise after all.
constexpr double kBarely = 1.2;
// A rise this many times its noise is one.
constexpr double kSureRise = 4;
constexpr double kLeastRise = 0.03;
constexpr double kMostHalo = 6;
// Heat of the supply goes as the first to the second power of the current.
constexpr double kLeastExponent = 0.8;
constexpr double kMostExponent = 2.6;
constexpr double kExponentFloor = 0.15;
constexpr double kMostMiss = 3;
// Log odds of a part against bare board.
constexpr double kMostPart = 4;
// Log odds that say nothing, as if no list were there: places that are no fault have
// them in the mean of their likelihood ratios (tools/calibrate's captures).
constexpr double kNeutralPart = 1.9;
// Narrow, quick heat on no part may be a track's as well: chance that it is of the far side
// at which either is as likely.
constexpr double kTrackAsLikely = 0.2;
// The same of the share of the supply's power that it takes: leads, contacts and tracks have
// a few hundredths each, what is shorted has most of the drop (common practice, no source).
constexpr double kShareAsLikely = 0.2;
// A list may be of another board, or of its last revision, or lack the part: chance that
// strong heat beside its parts is such a one's.
constexpr double kListLacks = 0.4;
// Of what nothing else explains: from here on it is worth a sentence.
constexpr double kWorthSaying = 0.5;
// Strong heat this near to a contact may be the contact's, come out aside.
constexpr double kContactSpreadMm = 5;
constexpr double kLeastShare = 0.01;
// A piece is worth a sentence where it takes this much of the probability, or
// this much of the odds.
constexpr double kMoved = 0.1;
constexpr double kHalf = 0.5;

double ToProb(double log_odds) { return 1 / (1 + std::exp(-log_odds)); }

// Collects pieces of evidence and the remarks that go with them.
class Ledger {
 public:
  Ledger() { Add(kBeforeLooking, 1); }

  void Count(std::string_view name, double value, Remark remark = {}) {
    Add(name, value);
    remarks_.push_back({judgement_.evidence.size() - 1, std::move(remark)});
  }
  void Say(Remark remark) { always_.push_back(std::move(remark)); }

  // What moved the probability comes first, then what is always said.
  [[nodiscard]] Judgement Close() {
    for (const auto& [index, remark] : remarks_) {
      const double log_factor = std::log(judgement_.evidence[index].factor);
      const double moved = ToProb(judgement_.log_odds - log_factor) - ToProb(judgement_.log_odds);
      const bool tells = log_factor < std::log(kHalf) || moved > kMoved;
      if (tells && !remark.empty()) judgement_.remarks.push_back(remark);
    }
    for (Remark& remark : always_) judgement_.remarks.push_back(std::move(remark));
    return judgement_;
  }

 private:
  void Add(std::string_view name, double value) {
    const double log_factor = WeightOf(name) * value;
    judgement_.log_odds += log_factor;
    judgement_.evidence.push_back({std::string(name), std::exp(log_factor), value});
  }

  Judgement judgement_;
  std::vector<std::pair<std::size_t, Remark>> remarks_;
  std::vector<Remark> always_;
};

double Bounded(double log_ratio) { return std::clamp(log_ratio, -kMostLogRatio, kMostLogRatio); }

void CountCourse(const Spot& spot, Ledger& ledger) {
  const CourseFit& course = spot.course;
  // Both other explanations together, each as likely before looking.
  const double log_other =
      std::max(course.log_by_itself, course.log_smooth) +
      std::log1p(std::exp(-std::abs(course.log_by_itself - course.log_smooth))) - std::log(2);
  const RemarkKind kind =
      course.log_smooth > course.log_by_itself ? RemarkKind::kSmoothCourse : RemarkKind::kByItself;
  // What follows the steps clearly is heat of the supply, not yet a fault.
  ledger.Count(kFollowsSupply, -std::log1p(std::exp(Bounded(log_other))), Remark(kind));
  // A short or a junction lies between 1 and 2; current itself heats nothing else.
  const double outside =
      std::max({0.0, kLeastExponent - course.exponent, course.exponent - kMostExponent});
  const double miss = std::min(kMostMiss, outside / (course.exponent_sigma + kExponentFloor));
  ledger.Count("grows with the current as a short does",
               -0.5 * miss * miss,
               Remark(RemarkKind::kOddExponent).With("exponent", course.exponent));
}

bool IsLong(const Spot& spot) {
  return ShapeIsClear(spot) && spot.shape.elongation > kLongElongation &&
         spot.shape.length_px * spot.mm_per_pixel > kLongMm;
}

void CountShape(const Spot& spot, Ledger& ledger) {
  const bool is_long = IsLong(spot);
  const bool ends =
      spot.shape.leaves_view || spot.shape.nearest_contact_px * spot.mm_per_pixel < kWireEndMm;
  ledger.Count("is no lead wire", is_long && ends ? -1 : 0, Remark(RemarkKind::kLeadWire));
  const HeatLine& line = spot.fit.line;
  const double log_line = std::max(LogLine(line), spot.log_on_line);
  const double as_line = std::log1p(std::exp(Bounded(log_line)));
  const double length_mm = IsLine(line)           ? line.length_mm
                           : spot.log_on_line > 0 ? spot.on_line_mm
                                                  : spot.shape.length_px * spot.mm_per_pixel;
  ledger.Count("is no track",
               -std::max(is_long && !ends ? 1.0 : 0.0, as_line),
               Remark(RemarkKind::kTrack).With("length_mm", length_mm));
}

// How far heat is the supply's and none that is known to be of something else, 0 to 1.
double Unexplained(const Spot& spot, double threshold) {
  if (spot.at_rim || IsLong(spot) || IsLine(spot.fit.line) || !spot.on_board.value_or(true))
    return 0;
  const double strength = std::clamp(std::log(spot.snr / threshold) / kMostLogSnr, 0.0, 1.0);
  const double other = std::max(spot.course.log_by_itself, spot.course.log_smooth);
  const double follows = ToProb(-Bounded(other));
  const double warms = std::clamp(spot.rise_z / kSureRise, 0.0, 1.0);
  const double away = 1 - std::exp(-std::pow(spot.contact_mm / kContactSpreadMm, 4));
  const double halo = 1 / (1 + std::pow(spot.halo_ratio, 4));
  return strength * follows * warms * away * halo * (1 - spot.carrier_prob) /
         (1 + spot.spread_ratio);
}

// How far what nothing else explains is rather a fault than a track: heat from below, heat that
// takes most of what the supply gives, and as far as a list may be wrong. Where the contacts are
// not marked, near heat beside the parts is theirs.
double RatherFault(const Spot& spot) {
  const double through = spot.far_prob / (spot.far_prob + kTrackAsLikely);
  const double takes = std::pow(spot.share / kShareAsLikely, 2);
  const double here = 1 - (1 - kListLacks) / (1 + takes);
  return 1 - (1 - through) * (1 - spot.contacts_known * here);
}

// What the exponent means, for a reader who measures resistances.
Remark GrowthWithCurrent(const CourseFit& course) {
  const double room = 0.25 + 1.96 * course.exponent_sigma;  // As the growth plot has it.
  const bool square = std::abs(course.exponent - 2) <= room;
  const bool linear = std::abs(course.exponent - 1) <= room;
  const RemarkKind kind = square == linear ? RemarkKind::kGrowsOtherwise
                          : square         ? RemarkKind::kGrowsSquare
                                           : RemarkKind::kGrowsLinear;
  return Remark(kind).With("exponent", course.exponent).With("error", 1.96 * course.exponent_sigma);
}

// Why it may be on no part of the list.
Remark WhereOfParts(const Spot& spot, double none_prob) {
  if (spot.parts.parts.empty()) return Remark(RemarkKind::kNoPart);
  const RemarkKind kind = none_prob > 0.5 ? RemarkKind::kBesidePart : RemarkKind::kPerhapsOnPart;
  return Remark(kind).With("part", spot.parts.parts.front().ref);
}

}  // namespace

double NearContact(const Spot& spot) {
  return std::exp(-std::pow(spot.contact_mm / kContactReachMm, 4));
}

double Judgement::plausibility() const { return ToProb(log_odds); }

Judgement JudgeSpot(const Spot& spot, double threshold) {
  Ledger ledger;
  ledger.Count("stands out of the noise",
               std::clamp(std::log(spot.snr / threshold), -kMostLogSnr, kMostLogSnr));
  if (spot.snr < kBarely * threshold) {
    ledger.Say(Remark(RemarkKind::kBarelyStandsOut)
                   .With("percent", std::max(1.0, 100 * (spot.snr / threshold - 1))));
  }
  CountCourse(spot, ledger);
  ledger.Count("warms itself",
               std::log(std::clamp(spot.rise_z / kSureRise, kLeastRise, 1.0)),
               Remark(RemarkKind::kHardlyWarms));
  ledger.Count("is no halo of a stronger place",
               -std::min(kMostHalo, std::log1p(std::pow(spot.halo_ratio, 4))),
               Remark(RemarkKind::kHalo));
  ledger.Count(kNoLeadContact,
               -NearContact(spot),
               Remark(RemarkKind::kContactNear).With("distance_mm", spot.contact_mm));
  CountShape(spot, ledger);
  ledger.Count(
      "lies on the board", spot.on_board.value_or(true) ? 0 : -1, Remark(RemarkKind::kBeyondParts));
  ledger.Count("lies inside the picture", spot.at_rim ? -1 : 0, Remark(RemarkKind::kAtRim));
  ledger.Count("is no heat of a contact or coil come out aside",
               -std::min(kMostHalo, std::log1p(spot.spread_ratio)),
               Remark(RemarkKind::kComeOutAside));
  const double none = std::clamp(spot.parts.prob_none, 1e-6, 1 - 1e-6);
  const double part =
      spot.on_board ? std::clamp(std::log((1 - none) / none), -kMostPart, kMostPart) - kNeutralPart
                    : 0;
  // How badly it fits the list says the less the fewer other explanations there are.
  const double unexplained = Unexplained(spot, threshold);
  ledger.Count(kUnexplained, unexplained * RatherFault(spot) * std::max(0.0, -part));
  if (unexplained > kWorthSaying && part < -kSureRival) {
    ledger.Say(Remark(spot.far_prob > 0.5 * kTrackAsLikely ? RemarkKind::kFromBelow
                                                           : RemarkKind::kUnlistedSource));
  }
  ledger.Count(kOnPart, part, WhereOfParts(spot, none));
  ledger.Count(kNoCarrier,
               -spot.carrier_prob,
               spot.carrier_prob > 0.5
                   ? Remark(RemarkKind::kCarrier)
                   : Remark(RemarkKind::kPerhapsCarrier).With("percent", 100 * spot.carrier_prob));
  if (spot.peak.overrun_px > 0) {
    ledger.Say(Remark(RemarkKind::kOutOfRange));
  }
  // The exponent of a course that follows something else means nothing.
  const bool follows = std::max(spot.course.log_by_itself, spot.course.log_smooth) < kSureRival;
  if (spot.course.exponent_sigma < 0.5 && follows) ledger.Say(GrowthWithCurrent(spot.course));
  return ledger.Close();
}

void JudgeAmongOthers(double power_w, double heaviest_w, Judgement& judgement) {
  constexpr std::string_view kName = "takes the most heat of the plausible ones";
  // Power that could not be fitted says nothing where it is all there is.
  const double share = heaviest_w > 0 ? std::clamp(power_w / heaviest_w, kLeastShare, 1.0) : 1.0;
  const double log_factor = WeightOf(kName) * std::log(share);
  const double before = judgement.plausibility();
  judgement.log_odds += log_factor;
  judgement.evidence.push_back({std::string(kName), std::exp(log_factor), std::log(share)});
  if (power_w > 0 && before - judgement.plausibility() > kMoved) {
    judgement.remarks.emplace_back(RemarkKind::kFarWeaker);
  }
}

}  // namespace ohmglow
