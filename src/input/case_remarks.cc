// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_remarks.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <utility>

#include "ohmglow/base/remark_kind.h"
#include "placement_list.h"

namespace ohmglow {
namespace {

constexpr std::array<std::pair<std::string_view, const char*>, 4> kOptional{
    {{"board.photo", "photo"},
     {"board.parts", "parts list"},
     {"board.points", "landmarks"},
     {"board.contacts", "lead contacts"}}};
constexpr std::string_view kNone = " = none (";
constexpr std::string_view kScale = "board.mm_per_pixel = ";
constexpr double kGrossly = 1.5;

double LengthOf(const std::vector<double>& times_s) {
  return times_s.empty() ? 0 : times_s.back() - times_s.front();
}

// By what the frames' times were guessed; empty where something tells them.
Remark GuessedBy(const std::vector<std::string>& assumed) {
  for (const std::string& line : assumed) {
    if (line.starts_with("frames.times = from the files' dates")) {
      return Remark(RemarkKind::kGuessedByDates);
    }
    if (line.starts_with("frames.rate_hz = ")) {
      return Remark(RemarkKind::kGuessedByRate)
          .With("rate", line.substr(std::string_view("frames.rate_hz = ").size()));
    }
  }
  return {};
}

}  // namespace

std::vector<NotUsed> ListNotUsed(const std::vector<std::string>& assumed) {
  std::vector<NotUsed> all;
  for (const std::string& line : assumed) {
    for (const auto& [key, what] : kOptional) {
      const std::string begin = std::string(key).append(kNone);
      if (!line.starts_with(begin) || line.size() <= begin.size()) continue;
      all.push_back({std::string(key.substr(key.find('.') + 1)),
                     what,
                     line.substr(begin.size(), line.size() - begin.size() - 1)});
    }
  }
  return all;
}

std::string ColumnsOfSizes(const std::vector<std::string>& assumed) {
  for (const std::string& line : assumed) {
    const std::size_t at = line.find(kNoSizes);
    if (!line.starts_with("board.parts = ") || at == std::string::npos) continue;
    const std::size_t begin = at + kNoSizes.size();
    return line.substr(begin, line.size() - begin - 1);
  }
  return {};
}

std::string AssumedScale(double mm_per_pixel, bool has_parts) {
  if (has_parts) return std::string(kScaleByList);
  char text[80];
  std::snprintf(text, sizeof text, "board.mm_per_pixel = %.6g mm ", mm_per_pixel);
  return text + std::string(kGuess);
}

bool ScaleIsGuess(const std::vector<std::string>& assumed) {
  return std::any_of(assumed.begin(), assumed.end(), [](const std::string& line) {
    return line.starts_with(kScale) && line.ends_with(kGuess);
  });
}

void SetAssumedScale(const std::string& value, std::vector<std::string>& assumed) {
  for (std::string& line : assumed) {
    if (line.starts_with(kScale)) line = std::string(kScale) + value;
  }
}

Remark RemarkOnSpans(const Case& job) {
  if (!job.supply) return {};
  const Remark guessed = GuessedBy(job.assumed);
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
