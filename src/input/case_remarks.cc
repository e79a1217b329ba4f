// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_remarks.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <utility>

#include "case_losses.h"
#include "ohmglow/base/remark_kind.h"
#include "placement_list.h"

namespace ohmglow {
namespace {

constexpr std::array<std::pair<std::string_view, const char*>, 4> kOptional{
    {{"board.photo", "photo"},
     {"board.parts", "parts list"},
     {"board.points", "landmarks"},
     {"board.contacts", "lead contacts"}}};
constexpr std::string_view kEquals = " = ";
constexpr std::string_view kNone = "none (";
constexpr std::string_view kScale = "board.mm_per_pixel";
constexpr double kGrossly = 1.5;

double LengthOf(const std::vector<double>& times_s) {
  return times_s.empty() ? 0 : times_s.back() - times_s.front();
}

}  // namespace

std::optional<std::string_view> ValueOfAssumed(std::string_view line, std::string_view key) {
  if (!line.starts_with(key) || !line.substr(key.size()).starts_with(kEquals)) return std::nullopt;
  return line.substr(key.size() + kEquals.size());
}

std::optional<std::string_view> AssumedOf(const std::vector<std::string>& assumed,
                                          std::string_view key) {
  for (const std::string& line : assumed) {
    if (const auto value = ValueOfAssumed(line, key)) return value;
  }
  return std::nullopt;
}

std::vector<NotUsed> ListNotUsed(const std::vector<std::string>& assumed) {
  std::vector<NotUsed> all;
  for (const std::string& line : assumed) {
    for (const auto& [key, what] : kOptional) {
      const auto value = ValueOfAssumed(line, key);
      if (!value || !value->starts_with(kNone)) continue;
      const std::string_view why = value->substr(kNone.size(), value->size() - kNone.size() - 1);
      all.push_back({std::string(key.substr(key.find('.') + 1)), what, std::string(why)});
    }
  }
  return all;
}

std::string ColumnsOfSizes(const std::vector<std::string>& assumed) {
  for (const std::string& line : assumed) {
    const std::string_view parts = ValueOfAssumed(line, "board.parts").value_or("");
    const std::size_t at = parts.find(kNoSizes);
    if (at == std::string_view::npos) continue;
    const std::size_t begin = at + kNoSizes.size();
    return std::string(parts.substr(begin, parts.size() - begin - 1));
  }
  return {};
}

std::string GuessedScale(double mm_per_pixel) {
  char text[80];
  std::snprintf(text, sizeof text, "%.6g mm ", mm_per_pixel);
  return text + std::string(kGuess);
}

std::string AssumedScale(double mm_per_pixel, bool has_parts) {
  if (has_parts) return std::string(kScaleByList);
  return std::string(kScale).append(kEquals).append(GuessedScale(mm_per_pixel));
}

bool ScaleIsGuess(const std::vector<std::string>& assumed) {
  return AssumedOf(assumed, kScale).value_or("").ends_with(kGuess);
}

void SetAssumedScale(const std::string& value, std::vector<std::string>& assumed) {
  for (std::string& line : assumed) {
    if (ValueOfAssumed(line, kScale)) line = std::string(kScale).append(kEquals).append(value);
  }
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
