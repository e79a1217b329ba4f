// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <string_view>

#include "ohmglow/input/radiometry.h"
#include "ohmglow/picture/capture_report.h"
#include "ohmglow/version.h"
#include "ohmglow/words/say.h"
#include "ohmglow/words/say_clauses.h"
#include "picture/check_words.h"
#include "picture/json_values.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::CleanName;
using internal::Json;
using internal::Put;

std::string_view UsableKey(Usable usable) {
  switch (usable) {
    case Usable::kYes:
      return "yes";
    case Usable::kWithWarnings:
      return "with_warnings";
    case Usable::kNo:
      break;
  }
  return "no";
}

Json Files(const std::vector<FileNote>& files) {
  Json list = Json::array();
  for (const FileNote& file : files) {
    list.push_back({{"role", file.role},
                    {"name", CleanName(file.name)},
                    {"understood", CleanName(SayClauses(file.understood))}});
  }
  return list;
}

Json Frames(const CaptureCheck& check) {
  Json json{{"count", check.num_frames},
            {"looked_at", check.num_looked_at},
            {"width", check.size_px.width},
            {"height", check.size_px.height}};
  internal::PutPositive(json, "rate_hz", check.rate_hz, 4);
  Put(json, "length_s", check.length_s, 4);
  json["lost"] = check.lost_frames;
  json["left_out"] = Json::array();
  for (const LeftOut& row : check.left_out) {
    json["left_out"].push_back(
        {{"reason", CleanName(SayInShort(row.reason))}, {"frames", row.frames}});
  }
  if (check.hottest_k > 0) {
    Put(json, "coldest_c", check.coldest_k - kZeroCelsiusK, 4);
    Put(json, "hottest_c", check.hottest_k - kZeroCelsiusK, 4);
  }
  return json;
}

Json View(const ViewCheck& view) {
  Json json{{"registration", internal::VerdictKey(view.verdict)}};
  Put(json, "expected_error_px", view.error_px, 3);
  Put(json, "largest_shift_px", view.largest_shift_px, 4);
  json["shutter_events"] = view.shutter_events;
  return json;
}

Json Supply(const CaptureCheck& check) {
  Json json = Json::object();
  Put(json, "clock_offset_s", check.clock_offset_s, 4);
  Put(json, "clock_offset_sigma_s", check.clock_sigma_s, 2);
  json["levels"] = Json::array();
  for (const SupplyLevel& level : check.levels) {
    Json row;
    Put(row, "start_s", level.start_s, 6);
    Put(row, "end_s", level.end_s, 6);
    Put(row, "amps", level.amps_a, 4);
    Put(row, "volts", level.volts_v, 4);
    json["levels"].push_back(row);
  }
  return json;
}

Json InView(const CaptureCheck& check) {
  Json json{{"side", check.side == BoardSide::kTop ? "top" : "bottom"}};
  internal::PutPositive(json, "mm_per_pixel", check.mm_per_pixel, 4);
  Put(json, "place_error_mm", check.place_error_mm, 2);
  if (check.has_parts) json["parts"] = check.num_parts;
  if (check.num_parts_seen) json["parts_seen"] = *check.num_parts_seen;
  return json;
}

}  // namespace

std::string ToCaptureJson(const CaptureCheck& check, const std::vector<FileNote>& files) {
  Json json;
  json["schema"] = 1;
  json["program"] = {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}};
  json["case"] = {{"title", CleanName(check.title)}, {"file", internal::FileName(check.case_file)}};
  json["usable"] = UsableKey(check.usable);
  json["todo"] = Json::array();
  for (const ToDo& item : check.todo) {
    json["todo"].push_back({{"needed", item.needed},
                            {"what", CleanName(internal::AsSentence(Say(item.what)))},
                            {"why", CleanName(internal::AsSentence(Say(item.why)))}});
  }
  json["files"] = Files(files);
  json["assumed"] = internal::Sentences(ToTexts(check.assumed));
  json["frames"] = Frames(check);
  if (check.noise_k) {
    json["noise"] = Json::object();
    Put(json["noise"], "per_frame_k", check.noise_k, 3);
  }
  if (check.view) json["view"] = View(*check.view);
  if (!check.levels.empty()) json["supply"] = Supply(check);
  json["in_view"] = InView(check);
  Put(json, "detectable_w", check.detectable_w, 3);
  return internal::ToText(json);
}

}  // namespace ohmglow
