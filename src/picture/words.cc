// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/words.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

#include "picture/text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kNameChars = 24;
constexpr std::size_t kSentenceChars = 400;
constexpr double kSecondNameProb = 0.1;
constexpr double kOrProb = 0.3;  // From here the second name is a real alternative.

struct Step {
  double least_prob;
  std::string_view word;
};

constexpr std::array<Step, 5> kConfidenceWords{{{0.95, "almost certain"},
                                                {0.80, "very likely"},
                                                {0.60, "likely"},
                                                {0.35, "possible"},
                                                {-1, "unlikely"}}};

constexpr std::array<std::string_view, 12> kDoubt{"but ",
                                                  "however",
                                                  "against",
                                                  " not ",
                                                  "no longer",
                                                  "lead",
                                                  "cannot",
                                                  "unlike",
                                                  "reflect",
                                                  "undecided",
                                                  "cool",
                                                  "standby"};
constexpr std::array<std::string_view, 14> kWarning{"caution",
                                                    "careful",
                                                    "do not",
                                                    "never",
                                                    "hot",
                                                    "burn",
                                                    "voltage",
                                                    "disconnect",
                                                    "discharge",
                                                    "limit",
                                                    "licen",
                                                    "local",
                                                    "safety",
                                                    "mains"};

template <std::size_t N>
bool Mentions(std::string_view sentence, const std::array<std::string_view, N>& words) {
  std::string lower(sentence);
  std::transform(lower.begin(), lower.end(), lower.begin(), [](unsigned char c) {
    return static_cast<char>(std::tolower(c));
  });
  return std::any_of(words.begin(), words.end(), [&](std::string_view word) {
    return lower.find(word) != std::string::npos;
  });
}

std::string Capitalised(std::string_view text) {
  std::string out(text);
  if (!out.empty()) out[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(out[0])));
  return out;
}

// "C41, U7 and R3": the places that may be faults, best first.
std::string FaultNames(const LocateResult& result) {
  std::vector<std::string> names;
  for (const Candidate& candidate : result.candidates) {
    if (MayBeFault(result, candidate) && names.size() < 3) names.push_back(PlaceName(candidate));
  }
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
  }
  return text;
}

}  // namespace

std::string_view ConfidenceWord(double prob) {
  if (!std::isfinite(prob)) return "unknown";
  const auto* const step = std::find_if(kConfidenceWords.begin(),
                                        kConfidenceWords.end(),
                                        [&](const Step& s) { return prob >= s.least_prob; });
  return step == kConfidenceWords.end() ? kConfidenceWords.back().word : step->word;
}

std::string ConfidenceText(double prob) {
  std::string text(ConfidenceWord(prob));
  if (!std::isfinite(prob)) return text;
  if (prob < 0.01) return text + ", under 1 %";
  if (prob > 0.99) return text + ", over 99 %";
  return text + ", " + std::to_string(std::lround(prob * 100)) + " %";
}

std::string_view SideWords(HeatSide side) {
  switch (side) {
    case HeatSide::kNear:
      return "this side";
    case HeatSide::kFar:
      return "other side";
    case HeatSide::kUndecided:
      break;
  }
  return "side not known";
}

bool MayBeFault(const LocateResult& result, const Candidate& candidate) {
  return result.verdict != Verdict::kNone && candidate.confidence >= kLeastFaultProb;
}

std::string PlaceName(const Candidate& candidate) {
  std::string names;
  for (std::size_t i = 0; i < candidate.parts.size() && i < 2; ++i) {
    const PartMatch& part = candidate.parts[i];
    const std::string ref = CleanText(part.ref, kNameChars);
    if (ref.empty() || (i > 0 && part.prob < kSecondNameProb)) continue;
    const bool close = part.prob >= kOrProb;
    names += (names.empty() ? "" : close ? " or " : ", perhaps ") + ref;
  }
  if (!names.empty()) return names;
  const auto at = [](Point p, int digits_after) {
    const double unit = std::pow(10.0, digits_after);
    const auto text = [&](double v) { return FormatDigits(std::round(v * unit) / unit, 12); };
    return text(p.x) + ", " + text(p.y);
  };
  if (candidate.board_mm) return "at " + at(*candidate.board_mm, 1) + " mm";
  return "at pixel " + at(candidate.frame_px, 0);
}

std::string VerdictText(const LocateResult& result) {
  if (result.verdict == Verdict::kNone) return "No fault seen on this side of the board.";
  const std::string names = FaultNames(result);
  if (names.empty()) return "Heat was seen, but no place stands out as the fault.";
  if (result.verdict == Verdict::kSeveral)
    return "More than one place may be at fault: " + names + ".";
  return Capitalised(ConfidenceWord(result.candidates.front().confidence)) +
         " the fault: " + PlaceName(result.candidates.front()) + ".";
}

std::string VerdictDetail(const LocateResult& result) {
  const bool known_limit = std::isfinite(result.detectable_w) && result.detectable_w > 0;
  const std::string limit = known_limit
                                ? "A fault that takes more than about " +
                                      FormatPower(result.detectable_w) + " would have shown."
                                : std::string();
  if (result.verdict == Verdict::kNone || result.candidates.empty()) return limit;
  const Candidate& first = result.candidates.front();
  return "It takes about " + FormatPower(first.power_w) +
         (first.side == HeatSide::kNear  ? " and sits on the side in view."
          : first.side == HeatSide::kFar ? " and sits on the side away from the camera."
                                         : "; which side of the board is not known.");
}

std::string DoubtRemark(const Candidate& candidate) {
  if (candidate.remarks.empty()) return {};
  const auto found = std::find_if(candidate.remarks.begin(),
                                  candidate.remarks.end(),
                                  [](const std::string& s) { return Mentions(s, kDoubt); });
  return CleanText(found == candidate.remarks.end() ? candidate.remarks.front() : *found,
                   kSentenceChars);
}

std::vector<std::string> SortedAdvice(const LocateResult& result) {
  std::vector<std::string> advice;
  for (const std::string& sentence : result.advice) {
    advice.push_back(CleanText(sentence, kSentenceChars));
  }
  if (advice.size() > 1) {
    std::stable_partition(advice.begin() + 1, advice.end(), [](const std::string& sentence) {
      return Mentions(sentence, kWarning);
    });
  }
  return advice;
}

}  // namespace ohmglow::internal
