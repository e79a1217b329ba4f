// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/confidence.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace ohmglow {
namespace {

// A lead contact warms the copper around it about this far.
constexpr double kContactReachMm = 2.2;
constexpr double kLeastContactFactor = 0.03;
// A wire or a track: this many times longer than wide, and this long.
constexpr double kLongElongation = 3.0;
constexpr double kLongMm = 9.0;
constexpr double kWireFactor = 0.03;
constexpr double kTrackFactor = 0.25;
// A factor that explains a place away rather than only counting against it.
constexpr double kExplains = 0.5;
constexpr double kOffBoardFactor = 0.1;
// No single likelihood ratio may settle the matter alone: models are models.
constexpr double kMostLogRatio = 5;
// Log likelihood ratio by which heat that follows the steps must win: wrong
// courses are many and bend as they like.
constexpr double kAgainstByItself = 1;
constexpr double kAgainstSmooth = 2;
// The background's tails are longer than a Gaussian's: what stands this much
// above the threshold is as likely heat as not.
constexpr double kTails = 0.5;
constexpr double kTailSigma = 0.5;

std::string Format(const char* text, double a, double b = 0) {
  char buffer[160];
  std::snprintf(buffer, sizeof buffer, text, a, b);
  return buffer;
}

double Odds(double log_ratio) {
  return std::exp(std::clamp(log_ratio, -kMostLogRatio, kMostLogRatio));
}

// Collects factors and the sentences that go with them.
class Ledger {
 public:
  void Count(const char* name, double factor, const std::string& remark, double said_below = 0.9) {
    judgement_.plausibility *= factor;
    judgement_.evidence.push_back({name, factor});
    if (factor < said_below && !remark.empty()) judgement_.remarks.push_back(remark);
  }
  void Say(const std::string& remark) { judgement_.remarks.push_back(remark); }
  [[nodiscard]] const Judgement& judgement() const { return judgement_; }

 private:
  Judgement judgement_{1.0, {}, {}};
};

void CountCourse(const Spot& spot, Ledger& ledger) {
  const CourseFit& course = spot.course;
  const double by_itself = Odds(course.log_by_itself + kAgainstByItself);
  const double smooth = Odds(course.log_smooth + kAgainstSmooth);
  ledger.Count("does not switch on or off by itself", 1 / (1 + by_itself), kByItselfRemark);
  ledger.Count("rises in steps, not smoothly",
               1 / (1 + smooth),
               "Its course is smooth like a reflection or slow warming, with no clear steps.");
  // A short or a junction lies between 1 and 2; current itself heats nothing else.
  const double outside = std::max({0.0, 0.8 - course.exponent, course.exponent - 2.6});
  const double miss = outside / (course.exponent_sigma + 0.15);
  ledger.Count("grows with the current as a short does",
               std::max(0.05, std::exp(-0.5 * miss * miss)),
               Format("The rise goes with current to the power of %.1f, neither ohmic loss (2) nor "
                      "a junction (1).",
                      course.exponent));
}

// What the exponent means, for a reader who measures resistances.
std::string ExponentInWords(const CourseFit& course) {
  const double room = std::max(0.25, 2 * course.exponent_sigma);
  const bool square = std::abs(course.exponent - 2) <= room;
  const bool linear = std::abs(course.exponent - 1) <= room;
  const char* words = "Its heat grows with the current to the power of %.2f +- %.2f.";
  if (square && !linear) {
    words =
        "Its heat grows with the square of the current, as a resistance's does (power %.2f +- "
        "%.2f).";
  } else if (linear && !square) {
    words =
        "Its heat grows in step with the current, as a diode's or another junction's does (power "
        "%.2f +- %.2f).";
  }
  return Format(words, course.exponent, course.exponent_sigma);
}

}  // namespace

Judgement JudgeSpot(const Spot& spot, double threshold) {
  Ledger ledger;
  const double margin = (spot.snr - threshold - kTails) / kTailSigma;
  ledger.Count("stands out of the noise",
               1 / (1 + std::exp(-margin)),
               Format("Barely above the noise: %.1f times it; it takes %.1f to be sure.",
                      spot.snr,
                      threshold + kTails + 2 * kTailSigma));
  if (spot.peak.overrun_px > 0) {
    ledger.Say(
        "Hotter than the camera's range: the rise is a lower limit, the power a rough one. "
        "Capture again with less current.");
  }
  if (spot.at_rim) {
    ledger.Say("At the edge of the picture: the source may lie beyond it. Point the camera there.");
  }
  CountCourse(spot, ledger);
  ledger.Count("warms itself",
               std::clamp(spot.rise_z / 4, 0.03, 1.0),
               "The place itself hardly warms: what follows the steps there comes from around it.");
  ledger.Count("is no halo of a stronger place",
               1 / (1 + std::pow(spot.halo_ratio, 4)),
               "It lies in the halo of a stronger place: heat conducted from there explains it.",
               kExplains);
  const double nearness = std::pow(spot.contact_mm / kContactReachMm, 4);
  ledger.Count("is no lead contact",
               1 - (1 - kLeastContactFactor) * std::exp(-nearness),
               Format("A lead contact is %.1f mm away and warms with the current too: move the "
                      "contact and look again.",
                      spot.contact_mm));
  const double length_mm = spot.shape.length_px * spot.mm_per_pixel;
  if (spot.shape.elongation > kLongElongation && length_mm > kLongMm) {
    const bool wire =
        spot.shape.leaves_view || spot.shape.nearest_contact_px * spot.mm_per_pixel < 1.5;
    ledger.Count("is no wire or track",
                 wire ? kWireFactor : kTrackFactor,
                 wire ? "Long and thin and leads out of the picture or to a contact: a lead wire."
                      : "Long and thin: a track that carries the current rather than a part.");
  }
  if (spot.on_board && !*spot.on_board) {
    ledger.Count("lies on the board", kOffBoardFactor, "It lies beyond the parts of the board.");
  }
  if (spot.course.exponent_sigma < 0.5) ledger.Say(ExponentInWords(spot.course));
  return ledger.judgement();
}

}  // namespace ohmglow
