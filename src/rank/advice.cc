// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

#include "rank/advice_glare.h"
#include "rank/confidence.h"

namespace ohmglow {
namespace {

constexpr double kHotRiseK = 25;
constexpr double kUnsureClockS = 1;
constexpr double kBrightSnr = 50;
constexpr double kSureEnough = 0.8;
// A second place from here on is "possible" in every list.
constexpr double kPossible = 0.35;

std::string Format(const char* text, double a, double b = 0) {
  char buffer[200];
  std::snprintf(buffer, sizeof buffer, text, a, b);
  return buffer;
}

// A bright place that does not follow the steps: the clocks may be the reason.
bool ClockMayBeWrong(const LocateResult& result) {
  if (!result.clock_offset_sigma_s) return false;
  if (*result.clock_offset_sigma_s > kUnsureClockS) return true;
  return std::any_of(
      result.candidates.begin(), result.candidates.end(), [](const Candidate& candidate) {
        const std::vector<std::string>& remarks = candidate.remarks;
        return candidate.snr > kBrightSnr &&
               std::find(remarks.begin(), remarks.end(), kByItselfRemark) != remarks.end();
      });
}

void AdviseOnNothing(const LocateResult& result,
                     bool contacts_marked,
                     std::vector<std::string>& advice) {
  const bool tells_watts = result.values == FrameValues::kKelvin && result.detectable_w > 0;
  const std::string shown = tells_watts
                                ? Format(
                                      "A fault usually shows from %.1f mW on; at twice the "
                                      "current, one that takes %.1f mW now, but leads, tracks and "
                                      "what feeds the rail then take four times the heat. ",
                                      1e3 * result.detectable_w,
                                      1e3 * result.detectable_w / 4)
                                : "More current shows more. ";
  if (std::string glare = SayPassedOver(result); !glare.empty()) advice.push_back(std::move(glare));
  advice.push_back(shown +
                   "Raise the current only as far as the rail's voltage limit and the board allow, "
                   "capture again; or film the other side.");
  if (ClockMayBeWrong(result)) {
    advice.emplace_back(
        "The clocks of log and frames may not have been matched: check their times, or set "
        "clock_offset_s in [supply].");
  }
  const bool at_contact =
      std::any_of(result.candidates.begin(), result.candidates.end(), [](const Candidate& place) {
        return place.contact.has_value();
      });
  if (at_contact) {
    advice.emplace_back(
        "Heat at a lead contact hides a fault within a few millimetres of it: move the contact and "
        "capture again.");
  }
  advice.push_back(
      std::string("With the supply off, take off heat sinks and shields if that is safe") +
      (contacts_marked ? "." : ", and mark the lead contacts."));
}

// Whether the parts that a place is named after are only landmarks.
bool IsLandmark(const Candidate& place) {
  if (place.parts.empty()) return false;
  const bool two = place.parts.size() > 1 && place.parts[1].prob >= kSecondPartProb;
  return place.parts[0].prob + (two ? place.parts[1].prob : 0) < kNearProb;
}

// What to think of where the first was not all.
void AdviseOnSecond(const LocateResult& result, std::vector<std::string>& advice) {
  if (result.verdict != Verdict::kFound || result.candidates.size() < 2) return;
  const Candidate& second = result.candidates[1];
  if (second.confidence < kPossible) return;
  const std::string name =
      second.parts.empty() || IsLandmark(second) ? "place 2" : second.parts[0].ref;
  advice.push_back("If the rail is still low once place 1 is mended, look at " + name +
                   Format(" next (%.0f %%).", 100 * second.confidence));
}

void AdviseOnFound(const LocateResult& result, std::vector<std::string>& advice) {
  const Candidate& first = result.candidates.front();
  if (first.confidence < kSureEnough) {
    advice.emplace_back(
        "A hint, not enough to lift a part: capture again with a longer hold or, as far as the "
        "rail's voltage limit and the board allow, more current (half as much again makes it stand "
        "out twice as far), or measure across it first.");
  }
  if (first.drop_v) {
    advice.emplace_back(
        "A junction conducts here: check the polarity of the leads, and whether a sound diode "
        "would conduct like this, before you lift anything.");
  }
  if (first.side == HeatSide::kUndecided) {
    advice.emplace_back("The side is open: film the other side before you lift anything.");
  } else if (first.side == HeatSide::kFar) {
    advice.emplace_back("The heat comes from the other side: turn the board and capture it there.");
  }
  if (IsLandmark(first)) {
    advice.push_back("Which part it is stays open, " + first.parts[0].ref +
                     " only marks the place: film from closer before you lift any.");
  } else if (first.parts.size() > 1 && first.parts[1].prob >= kSecondPartProb) {
    advice.push_back(
        "Tell " + first.parts[0].ref + " from " + first.parts[1].ref +
        " before you lift either: film from closer, or compare the millivolts across "
        "each with the rail still fed: of parts between rail and ground the shorted one has the "
        "least.");
  }
  if (first.side == HeatSide::kNear && first.confidence >= kSureEnough && !IsLandmark(first)) {
    const std::string name = first.parts.empty() ? "the part at place 1" : first.parts[0].ref;
    advice.push_back(
        "Supply off and disconnected, capacitors discharged, part cool: measure the rail to "
        "ground, take " +
        name + " off, measure again.");
  }
  AdviseOnSecond(result, advice);
}

}  // namespace

std::vector<std::string> Advise(const LocateResult& result,
                                bool contacts_marked,
                                const std::string& course_advice,
                                const std::string& not_in_view) {
  std::vector<std::string> advice;
  if (result.verdict == Verdict::kNone) {
    if (!not_in_view.empty()) {
      advice.push_back("Not in view: " + not_in_view +
                       ". \"No fault seen\" does not hold there: move the camera and capture "
                       "again.");
    }
    AdviseOnNothing(result, contacts_marked, advice);
  } else {
    AdviseOnFound(result, advice);
  }
  if (!course_advice.empty()) advice.push_back(course_advice);
  if (result.verdict != Verdict::kNone && !not_in_view.empty()) {
    advice.push_back("Not in view: " + not_in_view + "; a further fault there would not show.");
  }
  double hottest_k = 0;
  for (const Candidate& candidate : result.candidates) {
    hottest_k = std::max(hottest_k, candidate.rise_k);
  }
  if (result.values == FrameValues::kRelative) {
    advice.emplace_back(
        "Caution: how hot a place is cannot be told from these frames: let it cool before you "
        "touch it.");
  } else if (hottest_k > kHotRiseK) {
    advice.push_back(
        Format("Caution: a place rose by %.0f K: let it cool before you touch it.", hottest_k));
  }
  advice.emplace_back(
      "Caution: voltage limit below the rail's own voltage, current limit first, cells out, "
      "capacitors discharged, never on the mains side; local codes and licensed practice decide.");
  return advice;
}

}  // namespace ohmglow
