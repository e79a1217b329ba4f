// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <optional>
#include <string>

#include "ohmglow/picture/check_report.h"
#include "ohmglow/version.h"
#include "ohmglow/words/say.h"
#include "picture/check_words.h"
#include "picture/json_values.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::CleanName;
using internal::Json;
using internal::Put;

// Of the models beyond a shift.
Json Gains(const Alignment& alignment) {
  Json json = Json::object();
  for (const MotionModel model :
       {MotionModel::kRigid, MotionModel::kSimilarity, MotionModel::kProjective}) {
    Put(json,
        std::string(internal::MotionModelKey(model)).c_str(),
        alignment.model_gain[static_cast<std::size_t>(model)],
        3);
  }
  return json;
}

Json LeftOutFrames(const Alignment& alignment) {
  Json list = Json::array();
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    const FrameState& frame = alignment.frames[n];
    if (frame.used) continue;
    list.push_back({{"index", n}, {"reason", CleanName(Say(frame.reason))}});
  }
  return list;
}

Json Tiles(const RegistrationCheck& check) {
  Json list = Json::array();
  for (const LocalShift& tile : check.tiles) {
    Json row{{"x", tile.tile_px.x},
             {"y", tile.tile_px.y},
             {"width", tile.tile_px.width},
             {"height", tile.tile_px.height}};
    Put(row, "leftover_px", tile.leftover_px, 3);
    list.push_back(row);
  }
  return list;
}

}  // namespace

std::string ToCheckJson(const RegistrationCheck& check) {
  Json json;
  json["schema"] = 1;
  json["program"] = {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}};
  json["case"] = {{"title", CleanName(check.title)}, {"file", internal::FileName(check.case_file)}};
  json["registration"] = internal::VerdictKey(check.verdict);
  json["words"] = internal::CheckSentences(check);
  Json motion;
  motion["model"] = internal::MotionModelKey(check.alignment.motion_model);
  motion["model_gain"] = Gains(check.alignment);
  Put(motion, "expected_error_px", check.error_px, 3);
  Put(motion, "expected_error_95_px", check.large_error_px, 3);
  Put(motion, "largest_shift_px", check.alignment.largest_shift_px, 4);
  const bool relative = check.values == FrameValues::kRelative;
  Put(motion, relative ? "noise_relative" : "noise_k", check.alignment.noise_k, 4);
  json["motion"] = motion;
  ScreeningReport screening = check.alignment.screening;
  if (relative) screening.noise = {};
  json["frames"] = {
      {"count", check.alignment.frames.size()},
      {"reference", check.alignment.reference},
      {"segments", check.alignment.num_segments},
      {"left_out", LeftOutFrames(check.alignment)},
      {"values", relative ? "relative" : "kelvin"},
      {"screening", internal::ScreeningJson(screening, check.alignment.num_segments)}};
  Json leftover = Json::object();
  Put(leftover, "median_px", check.leftover_px, 3);
  Put(leftover, "worst_px", check.worst_leftover_px, 3);
  leftover["tiles"] = Tiles(check);
  json["leftover"] = leftover;
  json["maps"] = {{"residual", "residual.tiff"},
                  {"static", "static.tiff"},
                  {"unit", relative ? "share of the scene's spread" : "K"}};
  return internal::ToText(json);
}

std::string ToCheckSummary(const RegistrationCheck& check, const Words& words) {
  constexpr int kColumns = 96;
  constexpr std::size_t kMostLines = 15;
  std::string text;
  std::size_t lines = 0;
  const auto add = [&](const std::string& paragraph) {
    for (const std::string& line : internal::WrapColumns(paragraph, kColumns, 2)) {
      if (lines++ < kMostLines) text += line + "\n";
    }
  };
  add(internal::CheckHeadline(check, words));
  for (const std::string& sentence : internal::CheckSentences(check, words)) add(sentence);
  return text;
}

}  // namespace ohmglow
