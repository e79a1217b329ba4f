// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "ohmglow/picture/check_report.h"
#include "ohmglow/version.h"
#include "picture/check_words.h"
#include "picture/text.h"

namespace ohmglow {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kNameChars = 200;

// An unknown number is absent, never null or made up.
void Put(Json& json, const char* key, const std::optional<double>& value, int digits) {
  if (value && std::isfinite(*value)) json[key] = internal::RoundDigits(*value, digits) + 0.0;
}

Json LeftOut(const Alignment& alignment) {
  Json list = Json::array();
  for (std::size_t n = 0; n < alignment.frames.size(); ++n) {
    const FrameState& frame = alignment.frames[n];
    if (frame.used) continue;
    list.push_back({{"index", n}, {"reason", internal::CleanText(frame.reason, kNameChars)}});
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
  json["case"] = {{"title", internal::CleanText(check.title, kNameChars)},
                  {"file", internal::CleanText(check.case_file, kNameChars)}};
  json["registration"] = internal::VerdictKey(check.verdict);
  json["words"] = internal::CheckSentences(check);
  Json motion;
  Put(motion, "expected_error_px", check.error_px, 3);
  Put(motion, "expected_error_95_px", check.large_error_px, 3);
  Put(motion, "largest_shift_px", check.alignment.largest_shift_px, 4);
  Put(motion, "noise_k", check.alignment.noise_k, 4);
  json["motion"] = motion;
  json["frames"] = {{"count", check.alignment.frames.size()},
                    {"reference", check.alignment.reference},
                    {"segments", check.alignment.num_segments},
                    {"left_out", LeftOut(check.alignment)}};
  Json leftover = Json::object();
  Put(leftover, "median_px", check.leftover_px, 3);
  Put(leftover, "worst_px", check.worst_leftover_px, 3);
  leftover["tiles"] = Tiles(check);
  json["leftover"] = leftover;
  json["maps"] = {{"residual", "residual.tiff"}, {"static", "static.tiff"}, {"unit", "K"}};
  // Text is clean UTF-8 by now; `replace` makes sure that none can throw.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string ToCheckSummary(const RegistrationCheck& check) {
  constexpr int kColumns = 96;
  constexpr std::size_t kMostLines = 15;
  std::string text;
  std::size_t lines = 0;
  const auto add = [&](const std::string& paragraph) {
    for (const std::string& line : internal::WrapColumns(paragraph, kColumns, 2)) {
      if (lines++ < kMostLines) text += line + "\n";
    }
  };
  add(internal::CheckHeadline(check));
  for (const std::string& sentence : internal::CheckSentences(check)) add(sentence);
  return text;
}

}  // namespace ohmglow
