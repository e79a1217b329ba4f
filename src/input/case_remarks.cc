// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_remarks.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <utility>

#include "placement_list.h"

namespace ohmglow {
namespace {

constexpr std::array<std::pair<std::string_view, const char*>, 4> kOptional{
    {{"board.photo", "photo"},
     {"board.parts", "parts list"},
     {"board.points", "landmarks"},
     {"board.contacts", "lead contacts"}}};
constexpr std::string_view kNone = " = none (";
constexpr std::string_view kSpanRemark = "The frames seem to last ";
constexpr std::string_view kScale = "board.mm_per_pixel = ";
constexpr double kGrossly = 1.5;

double LengthOf(const std::vector<double>& times_s) {
  return times_s.empty() ? 0 : times_s.back() - times_s.front();
}

// By what the frames' times were guessed; empty where something tells them.
std::string GuessedBy(const std::vector<std::string>& assumed) {
  for (const std::string& line : assumed) {
    if (line.starts_with("frames.times = from the files' dates")) {
      return "by the dates of their files, which copying or exporting changes";
    }
    if (line.starts_with("frames.rate_hz = ")) {
      return "at the rate that is taken where nothing tells it (" +
             line.substr(std::string_view("frames.rate_hz = ").size()) + ")";
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
      all.push_back({what, line.substr(begin.size(), line.size() - begin.size() - 1)});
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

std::string RemarkOnSpans(const Case& job) {
  if (!job.supply) return {};
  const std::string guessed = GuessedBy(job.assumed);
  const double frames_s = LengthOf(job.frame_times_s);
  const double log_s = LengthOf(job.supply->time_s);
  const bool alike = std::max(frames_s, log_s) < kGrossly * std::min(frames_s, log_s);
  if (guessed.empty() || alike || frames_s <= 0 || log_s <= 0) return {};
  char text[100];
  std::snprintf(text, sizeof text, "%.0f s, the supply log lasts %.0f s", frames_s, log_s);
  return std::string(kSpanRemark) + text + ": the frames' times are guessed " + guessed +
         ". Give the camera's rate as rate_hz in [frames], or a table of times.";
}

bool IsSpanRemark(std::string_view remark) { return remark.starts_with(kSpanRemark); }

bool IsTieRemark(std::string_view remark) {
  return remark.starts_with("The parts list cannot be tied") ||
         remark.starts_with("The photo cannot be laid");
}

}  // namespace ohmglow
