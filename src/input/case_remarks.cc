// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_remarks.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdio>
#include <string_view>
#include <utility>

#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr std::array<std::pair<std::string_view, RemarkKind>, 4> kOptional{
    {{"board.photo", RemarkKind::kPhotoNotUsed},
     {"board.parts", RemarkKind::kPartsNotUsed},
     {"board.points", RemarkKind::kPointsNotUsed},
     {"board.contacts", RemarkKind::kContactsNotUsed}}};
constexpr std::string_view kScale = "board.mm_per_pixel";
constexpr double kGrossly = 1.5;

double LengthOf(const std::vector<double>& times_s) {
  return times_s.empty() ? 0 : times_s.back() - times_s.front();
}

}  // namespace

Remark TimesGuessedBy(const std::vector<Assumption>& assumed) {
  const Assumption* times = FindAssumed(assumed, "frames.times");
  if (times && times->how == AssumedHow::kGuess) return Remark(RemarkKind::kGuessedByDates);
  if (const Assumption* rate = FindAssumed(assumed, "frames.rate_hz")) {
    return Remark(RemarkKind::kGuessedByRate).With("rate", rate->value);
  }
  return {};
}

std::vector<NotUsed> ListNotUsed(const std::vector<Assumption>& assumed) {
  std::vector<NotUsed> all;
  for (const Assumption& one : assumed) {
    if (!IsNotUsed(one.how) || !one.whose.empty()) continue;
    const auto file = std::find_if(kOptional.begin(), kOptional.end(), [&](const auto& known) {
      return known.first == one.key;
    });
    if (file != kOptional.end()) all.push_back({Remark(file->second), one.note});
  }
  return all;
}

Assumption AssumedScale(double mm_per_pixel, bool has_parts) {
  const std::string key(kScale);
  if (has_parts) return {key, "as the parts list lies on the picture", AssumedHow::kByList};
  char text[80];
  std::snprintf(text, sizeof text, "%.6g mm", mm_per_pixel);
  return {key, text, AssumedHow::kGuess, "a guess"};
}

bool ScaleIsGuess(const std::vector<Assumption>& assumed) {
  const Assumption* scale = FindAssumed(assumed, kScale);
  return scale && scale->how == AssumedHow::kGuess;
}

void SetAssumedScale(Assumption scale, std::vector<Assumption>& assumed) {
  const Assumption* old = FindAssumed(assumed, kScale);
  if (old) assumed[static_cast<std::size_t>(old - assumed.data())] = std::move(scale);
}

Remark RemarkOnSpans(const Case& job) {
  if (!job.supply) return {};
  const Remark guessed = TimesGuessedBy(job.assumed);
  const double frames_s = LengthOf(job.frame_times_s);
  const double log_s = LengthOf(job.supply->time_s);
  const bool alike = std::max(frames_s, log_s) < kGrossly * std::min(frames_s, log_s);
  if (guessed.empty() || alike || frames_s <= 0 || log_s <= 0) return {};
  return Remark(RemarkKind::kSpansDiffer)
      .With("frames_s", frames_s)
      .With("log_s", log_s)
      .With("how", guessed);
}

}  // namespace ohmglow
