// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/advice.h"

#include <algorithm>
#include <utility>

#include "ohmglow/base/remark_kind.h"
#include "rank/advice_glare.h"
#include "rank/clock_reading.h"
#include "rank/verdict_rules.h"

namespace ohmglow {
namespace {

constexpr double kHotRiseK = 25;
constexpr double kBrightSnr = 50;
constexpr double kSureEnough = 0.8;

// A bright place that does not follow the steps: the clocks may be the reason.
bool ClockMayBeWrong(const LocateResult& result) {
  if (!result.clock_offset_sigma_s) return false;
  if (!ReadClock(result)) return true;
  return std::any_of(
      result.candidates.begin(), result.candidates.end(), [](const Candidate& candidate) {
        return candidate.snr > kBrightSnr &&
               std::any_of(
                   candidate.remarks.begin(), candidate.remarks.end(), IsOf(RemarkKind::kByItself));
      });
}

bool CannotTell(const LocateResult& result) {
  return result.verdict_reason.kind == RemarkKind::kViewCannotTell;
}

void AdviseOnNothing(const LocateResult& result,
                     bool contacts_marked,
                     std::vector<Remark>& advice) {
  // What would have shown, had the frames lain on each other, is no help.
  const bool open = CannotTell(result);
  const bool tells_watts = result.values == FrameValues::kKelvin && result.detectable_w > 0;
  for (Remark& remark : ListPassedOver(result)) advice.push_back(std::move(remark));
  if (open) {
    advice.emplace_back(RemarkKind::kHoldStill);
  } else if (tells_watts) {
    advice.push_back(Remark(RemarkKind::kShowsFrom)
                         .With("power_mw", 1e3 * result.detectable_w)
                         .With("quarter_mw", 1e3 * result.detectable_w / 4));
  } else {
    advice.emplace_back(RemarkKind::kMoreCurrent);
  }
  if (ClockMayBeWrong(result)) advice.emplace_back(RemarkKind::kClocksPerhapsUnmatched);
  const bool at_contact =
      std::any_of(result.candidates.begin(), result.candidates.end(), [](const Candidate& place) {
        return place.contact.has_value();
      });
  if (at_contact) advice.emplace_back(RemarkKind::kContactHidesFault);
  advice.emplace_back(contacts_marked ? RemarkKind::kTakeOffShields
                                      : RemarkKind::kTakeOffShieldsMarkContacts);
}

// Whether the parts that a place is named after are only landmarks.
bool IsLandmark(const Candidate& place) {
  if (place.parts.empty()) return false;
  const bool two = place.parts.size() > 1 && place.parts[1].prob >= kSecondPartProb;
  return place.parts[0].prob + (two ? place.parts[1].prob : 0) < kNearProb;
}

// What to think of where the first was not all.
void AdviseOnSecond(const LocateResult& result, std::vector<Remark>& advice) {
  if (result.verdict != Verdict::kFound || result.candidates.size() < 2) return;
  const Candidate& second = result.candidates[1];
  if (second.confidence < kPossibleConfidence) return;
  const double percent = 100 * second.confidence;
  if (second.parts.empty() || IsLandmark(second)) {
    advice.push_back(Remark(RemarkKind::kLookAtSecondNext).With("percent", percent));
  } else {
    advice.push_back(Remark(RemarkKind::kLookAtPartNext)
                         .With("part", second.parts[0].ref)
                         .With("percent", percent));
  }
}

void AdviseOnPart(const Candidate& first, std::vector<Remark>& advice) {
  if (IsLandmark(first)) {
    advice.push_back(Remark(RemarkKind::kPartOpen).With("part", first.parts[0].ref));
  } else if (first.parts.size() > 1 && first.parts[1].prob >= kSecondPartProb) {
    advice.push_back(Remark(RemarkKind::kTellApart)
                         .With("part", first.parts[0].ref)
                         .With("other", first.parts[1].ref));
  }
  const bool lift = first.side == HeatSide::kNear && first.confidence >= kSureEnough;
  if (!lift || IsLandmark(first)) return;
  if (first.parts.empty()) {
    advice.emplace_back(RemarkKind::kTakeUnnamedOff);
  } else {
    advice.push_back(Remark(RemarkKind::kTakePartOff).With("part", first.parts[0].ref));
  }
}

// Only times that the frames tell have errors.
bool NotedByHand(const std::vector<SupplyLevel>& levels) {
  return std::any_of(levels.begin(), levels.end(), [](const SupplyLevel& level) {
    return level.start_sigma_s.has_value();
  });
}

void AdviseOnFound(const LocateResult& result, std::vector<Remark>& advice) {
  const Candidate& first = result.candidates.front();
  if (first.confidence < kSureEnough) advice.emplace_back(RemarkKind::kOnlyAHint);
  if (first.drop_v) advice.emplace_back(RemarkKind::kCheckPolarity);
  if (first.drop_v && NotedByHand(result.levels)) {
    advice.emplace_back(RemarkKind::kLevelMayBeMissing);
  }
  if (first.side == HeatSide::kUndecided) {
    advice.emplace_back(RemarkKind::kFilmOtherSide);
  } else if (first.side == HeatSide::kFar) {
    advice.emplace_back(RemarkKind::kTurnBoard);
  }
  AdviseOnPart(first, advice);
  AdviseOnSecond(result, advice);
}

void AddCautions(const LocateResult& result, std::vector<Remark>& advice) {
  double hottest_k = 0;
  for (const Candidate& candidate : result.candidates) {
    hottest_k = std::max(hottest_k, candidate.rise_k);
  }
  if (result.values == FrameValues::kRelative) {
    advice.emplace_back(RemarkKind::kCautionRelative);
  } else if (hottest_k > kHotRiseK) {
    advice.push_back(Remark(RemarkKind::kCautionHot).With("rise_k", hottest_k));
  }
  advice.emplace_back(RemarkKind::kCautionSupply);
}

}  // namespace

std::vector<Remark> Advise(const LocateResult& result,
                           bool contacts_marked,
                           const Remark& course_advice,
                           const Remark& not_in_view) {
  std::vector<Remark> advice;
  const bool none = result.verdict == Verdict::kNone;
  // Of frames that lie on each other alone "no fault seen" can be doubted.
  if (none && !not_in_view.empty() && !CannotTell(result)) {
    advice.push_back(Remark(RemarkKind::kNotInView).With("parts", not_in_view));
  }
  if (none) {
    AdviseOnNothing(result, contacts_marked, advice);
  } else {
    AdviseOnFound(result, advice);
  }
  if (!course_advice.empty()) advice.push_back(course_advice);
  if ((!none || CannotTell(result)) && !not_in_view.empty()) {
    advice.push_back(Remark(RemarkKind::kFurtherFaultUnseen).With("parts", not_in_view));
  }
  AddCautions(result, advice);
  return advice;
}

}  // namespace ohmglow
