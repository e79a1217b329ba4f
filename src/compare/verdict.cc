// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/verdict.h"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

namespace ohmglow {
namespace {

constexpr double kLikely = 0.6;
// With this error of the ratio a vanished fault is told from one that stayed.
constexpr double kNeededSigma = 0.12;
constexpr double kMostFrames = 20;
// Resistances closer than this are the same: contacts never touch twice alike.
constexpr double kSameResistance = 0.02;
constexpr double kFarMore = 3;
// Leads put on again seldom change what they and the board have together by more than this share:
// common practice, no source.
constexpr double kContactShare = 0.3;
constexpr double kSurely = 3;  // Standard errors.
// What is worked on in vain may be hot all the same: the usual caution.
constexpr const char* kPowerUp =
    "Before the rail gets its full voltage, measure its resistance to ground with the supply off.";

std::string Digits(double value) {
  if (value >= 10) return std::to_string(std::lround(value));
  std::ostringstream text;
  text.precision(2);
  text << value;
  return text.str();
}

struct Outcome {
  double repaired = 0;
  double still_there = 0;
  double new_place = 0;
  /// That one suspect of those that AFTER filmed is not gone. Several that
  /// nobody could tell of are likely not all gone, yet that is no finding.
  double seen_there = 0;
  double any_new = 0;
};

Outcome Weigh(const std::vector<WeighedPlace>& places) {
  double all_gone = 1;
  double none_new = 1;
  double seen_there = 0;
  bool any_suspect = false;
  for (const WeighedPlace& weighed : places) {
    if (!weighed.place.suspect) continue;
    if (weighed.new_in_after) {
      none_new *= 1 - weighed.fault_after_prob;
    } else {
      any_suspect = true;
      all_gone *= weighed.probs.gone;
      if (weighed.place.ratio) seen_there = std::max(seen_there, 1 - weighed.probs.gone);
    }
  }
  const double any_new = 1 - none_new;
  if (!any_suspect) return {0, 0, any_new, 0, any_new};
  return {all_gone * none_new, 1 - all_gone, all_gone * any_new, seen_there, any_new};
}

template <typename Wanted>
std::string NamesOf(const std::vector<WeighedPlace>& places, const Wanted& wanted) {
  std::string names;
  for (const WeighedPlace& weighed : places) {
    if (!wanted(weighed)) continue;
    if (!names.empty()) names += ", ";
    names += weighed.place.name;
    const auto& parts = weighed.place.parts;
    if (!parts.empty() && parts.front().prob >= 0.5) names += " (" + parts.front().ref + ")";
  }
  return names;
}

// Heat that AFTER alone would call a fault, and why it is not counted as one.
void SayWhatElseWarms(const std::vector<WeighedPlace>& places, std::vector<std::string>& words) {
  const auto own_heat = [](const WeighedPlace& w) { return !w.place.suspect && w.new_in_after; };
  const std::string before = NamesOf(
      places, [&](const WeighedPlace& w) { return own_heat(w) && w.place.before_w.has_value(); });
  const std::string unfilmed = NamesOf(
      places, [&](const WeighedPlace& w) { return own_heat(w) && !w.place.before_w.has_value(); });
  const std::string check = " Is that usual for this board?";
  if (!before.empty()) {
    words.push_back(before + " warms weakly with the current, as it did before." + check);
  }
  if (!unfilmed.empty()) {
    words.push_back(unfilmed +
                    " warms weakly with the current; the first picture did not show it." + check);
  }
}

std::string Ohms(double ohm) {
  if (ohm < 1) return Digits(1000 * ohm) + " milliohm";
  return Digits(ohm) + " ohm";
}

// More current would need more voltage than the rail ever had.
bool TakesNoMore(const Blindness& blindness, const ResistanceChange& resistance, double amps_a) {
  if (!resistance.before_ohm || !resistance.after_ohm) return false;
  const double before_v = *resistance.before_ohm * blindness.scale_amps_a;
  return *resistance.after_ohm > kFarMore * *resistance.before_ohm &&
         amps_a * *resistance.after_ohm > kFarMore * before_v;
}

// What would make an undecided pair decidable.
void SayWhatIsNeeded(const std::vector<WeighedPlace>& places,
                     const Blindness& blindness,
                     CompareResult& result) {
  std::vector<std::string>& words = result.words;
  if (blindness.before_showed_none || (!blindness.suspect_sigma && !blindness.suspect_outside)) {
    words.emplace_back(
        "The first capture showed no place that is likely a fault, so there is none to compare.");
    const std::string found =
        NamesOf(places, [](const WeighedPlace& w) { return w.place.suspect && w.new_in_after; });
    if (!found.empty()) {
      words.push_back("The second one shows one at " + found +
                      ": were the two given in the wrong order? If not, the board got worse.");
    }
    return;
  }
  if (blindness.suspect_outside) {
    words.emplace_back(
        "The second capture does not show the place of the fault: film the same part of the "
        "board.");
    return;
  }
  if (*blindness.suspect_sigma <= kNeededSigma) {
    words.emplace_back(
        "What is left of the heat is too little for the fault and too much for nothing: repeat the "
        "second capture with the camera on a stand.");
    return;
  }
  const double more = *blindness.suspect_sigma / kNeededSigma;
  const double needed_amps = blindness.after_amps_a * std::sqrt(more);
  if (TakesNoMore(blindness, result.resistance, needed_amps)) {
    words.push_back("The rail takes far less current than before: its resistance rose from " +
                    Ohms(*result.resistance.before_ohm) + " to " +
                    Ohms(*result.resistance.after_ohm) +
                    ". That itself speaks for a repair; heat cannot confirm it at this current. Do "
                    "not force more in: power up within the rail's own voltage and film again.");
    words.emplace_back(kPowerUp);
    return;
  }
  std::string needed = "The second capture could not have shown the fault. Needed: about " +
                       Digits(needed_amps) + " A instead of " + Digits(blindness.after_amps_a) +
                       " A, if the rail may carry that within its own voltage";
  // Noise falls with the root of the frames: more is nothing to wait for.
  if (more * more <= kMostFrames) {
    needed += ", or about " + Digits(more * more) + " times as many frames";
  }
  words.push_back(needed + ".");
}

// A short that is gone leaves its mark on the resistance; one that has not
// moved contradicts what the pictures say.
bool Contradicted(const std::vector<WeighedPlace>& places,
                  const Blindness& blindness,
                  const ResistanceChange& resistance) {
  if (!resistance.change_ohm || !resistance.change_sigma_ohm || places.empty()) return false;
  const double square = blindness.scale_amps_a * blindness.scale_amps_a;
  if (!(square > 0)) return false;
  const double fault_ohm = places.front().place.before_w.value_or(0) / square;
  const double error_ohm =
      std::max(*resistance.change_sigma_ohm, kSameResistance * resistance.before_ohm.value_or(0));
  return std::abs(*resistance.change_ohm) < error_ohm && fault_ohm > 3 * error_ohm;
}

// No repair lets more current through: the board got worse, or the captures are swapped.
bool FellClearly(const ResistanceChange& resistance) {
  if (!resistance.change_ohm || !resistance.before_ohm) return false;
  const double error_ohm = std::max(kSurely * resistance.change_sigma_ohm.value_or(0),
                                    kContactShare * *resistance.before_ohm);
  return *resistance.change_ohm < -error_ohm;
}

std::string AskForOrder(const ResistanceChange& resistance) {
  return "The resistance at the supply fell from " + Ohms(*resistance.before_ohm) + " to " +
         Ohms(*resistance.after_ohm) +
         ", and no repair does that: were the two given in the wrong order? If not, the board got "
         "worse.";
}

bool AsksForOrder(const std::vector<std::string>& words) {
  return std::any_of(words.begin(), words.end(), [](const std::string& text) {
    return text.find("in the wrong order?") != std::string::npos;
  });
}

}  // namespace

void DecideVerdict(const std::vector<WeighedPlace>& places,
                   const Blindness& blindness,
                   CompareResult& result) {
  const Outcome outcome = Weigh(places);
  const double best = std::max({outcome.repaired, outcome.still_there, outcome.new_place});
  result.probability = best;
  result.words.clear();
  const bool blind = blindness.before_showed_none || blindness.suspect_outside ||
                     !blindness.suspect_sigma || *blindness.suspect_sigma > 3 * kNeededSigma;
  const std::string old_names =
      NamesOf(places, [](const WeighedPlace& w) { return w.place.suspect && !w.new_in_after; });
  const std::string new_names =
      NamesOf(places, [](const WeighedPlace& w) { return w.place.suspect && w.new_in_after; });
  const bool nothing_before = blindness.before_showed_none && old_names.empty();
  if (best == outcome.repaired && !blind && Contradicted(places, blindness, result.resistance)) {
    result.verdict = CompareVerdict::kUndecided;
    result.probability = 0.5;
    result.words.push_back("The heat at " + old_names + " is gone, but the supply sees the same " +
                           "resistance as before, " + Ohms(*result.resistance.after_ohm) +
                           ". Check that each log belongs to its capture.");
    result.words.emplace_back(kPowerUp);
  } else if (best == outcome.still_there && best >= kLikely && outcome.seen_there >= kLikely) {
    result.verdict = CompareVerdict::kNotRepaired;
    result.words.push_back("The fault still takes power at " + old_names + ".");
    if (!new_names.empty() && outcome.any_new >= kLikely) {
      result.words.push_back("Also look at " + new_names + ", which was not a fault before.");
    }
  } else if (best == outcome.new_place && best >= kLikely && !new_names.empty() &&
             !nothing_before) {
    result.verdict = CompareVerdict::kNewPlace;
    if (!old_names.empty()) result.words.push_back("The heat at " + old_names + " is gone.");
    result.words.push_back("Another place takes power now: " + new_names + ".");
  } else if (best == outcome.repaired && best >= kLikely && !blind &&
             FellClearly(result.resistance)) {
    result.verdict = CompareVerdict::kUndecided;
    result.probability = 0.5;
    result.words.push_back("The heat at " + old_names + " is gone.");
    SayWhatElseWarms(places, result.words);
  } else if (best == outcome.repaired && best >= kLikely && !blind) {
    result.verdict = CompareVerdict::kRepaired;
    result.words.push_back("The heat at " + old_names + " is gone, and no other place came up.");
    SayWhatElseWarms(places, result.words);
    result.words.emplace_back(kPowerUp);
  } else {
    result.verdict = CompareVerdict::kUndecided;
    result.probability = 1 - best;
    SayWhatIsNeeded(places, blindness, result);
  }
  if (FellClearly(result.resistance) && result.verdict != CompareVerdict::kNotRepaired &&
      !AsksForOrder(result.words)) {
    result.words.insert(result.words.begin(), AskForOrder(result.resistance));
  }
}

}  // namespace ohmglow
