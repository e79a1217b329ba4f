// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "batch/case_names.h"
#include "batch/summary.h"
#include "batch/summary_words.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/version.h"
#include "ohmglow/words/say.h"
#include "picture/json_values.h"

namespace ohmglow::batch {
namespace {

using Json = nlohmann::ordered_json;

// An unknown number is absent.
void Put(Json& json, const char* key, const std::optional<double>& value) {
  if (value && std::isfinite(*value)) json[key] = *value;
}

void PutPositive(Json& json, const char* key, double value) {
  if (value > 0) Put(json, key, value);
}

void PutPoint(Json& json, const char* x_key, const char* y_key, const std::optional<Point>& p) {
  if (!p) return;
  Put(json, x_key, p->x);
  Put(json, y_key, p->y);
}

// The keys of result.json, without the course in time.
Json Place(const Candidate& place, std::size_t rank, FrameValues values) {
  Json json{{"rank", rank}};
  Put(json, "confidence", place.confidence);
  PutPoint(json, "frame_x", "frame_y", place.frame_px);
  PutPositive(json, "sigma_px", place.sigma_px);
  PutPoint(json, "board_x_mm", "board_y_mm", place.board_mm);
  PutPoint(json, "photo_x", "photo_y", place.photo_px);
  json["side"] = SideKey(place.side);
  Put(json, values == FrameValues::kRelative ? "rise_relative" : "rise_k", place.rise_k);
  Put(json, "power_w", place.power_w);
  Put(json, "power_low_w", place.power_low_w);
  Put(json, "power_high_w", place.power_high_w);
  Put(json, "share_of_supply", place.share_of_supply);
  Put(json, "current_exponent", place.current_exponent);
  Put(json, "onset_s", place.onset_s);
  PutPositive(json, "width_mm", place.width_mm);
  json["parts"] = internal::PartRows(place.parts);
  json["remarks"] = SayAll(place.remarks);
  return json;
}

Json Row(const CaseRecord& record) {
  Json json{{"case", record.name}, {"status", StatusKey(record.status)}};
  if (!record.title.empty()) json["title"] = record.title;
  if (record.status != CaseStatus::kDone) {
    if (record.error_code != 0) json["error"]["code"] = record.error_code;
    json["error"]["text"] = record.error;
    return json;
  }
  const LocateResult& result = record.result;
  json["verdict"] = VerdictKey(result.verdict);
  if (result.values == FrameValues::kRelative) json["values"] = "relative";
  Put(json, "amps", TopAmps(result));
  PutPositive(json, "detectable_w", result.detectable_w);
  json["candidates"] = Json::array();
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    json["candidates"].push_back(Place(result.candidates[i], i + 1, result.values));
  }
  return json;
}

std::size_t CountOf(const Summary& summary, Verdict verdict) {
  return static_cast<std::size_t>(
      std::count_if(summary.records.begin(), summary.records.end(), [&](const CaseRecord& record) {
        return record.status == CaseStatus::kDone && record.result.verdict == verdict;
      }));
}

std::optional<ShelfPart> ReadPart(const Json& json) {
  if (!json.contains("shard")) return std::nullopt;
  const Json& shard = json.at("shard");
  ShelfPart part;
  part.shard = {shard.at("number").get<int>(), shard.at("count").get<int>()};
  part.num_cases = shard.at("cases").get<std::size_t>();
  return part;
}

SummaryHead ReadHead(const Json& json) {
  if (json.at("program").at("name") != "ohmglow" || json.at("schema") != 1) {
    throw InputError("is no summary of ohmglow of schema 1");
  }
  SummaryHead head;
  head.part = ReadPart(json);
  for (const Json& row : json.at("cases")) {
    head.names.push_back(row.at("case").get<std::string>());
    if (!IsSafeName(head.names.back())) {
      throw InputError("a case has a name that is no relative path of ours");
    }
  }
  return head;
}

}  // namespace

std::size_t CountOf(const Summary& summary, CaseStatus status) {
  return static_cast<std::size_t>(
      std::count_if(summary.records.begin(), summary.records.end(), [&](const CaseRecord& record) {
        return record.status == status;
      }));
}

std::string ToSummaryJson(const Summary& summary) {
  Json json{{"schema", 1}, {"program", {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}}}};
  if (summary.part) {
    json["shard"] = {{"number", summary.part->shard.number},
                     {"count", summary.part->shard.count},
                     {"cases", summary.part->num_cases}};
  }
  json["counts"] = {{"cases", summary.records.size()},
                    {"done", CountOf(summary, CaseStatus::kDone)},
                    {"failed", CountOf(summary, CaseStatus::kFailed)},
                    {"missing", CountOf(summary, CaseStatus::kMissing)},
                    {"found", CountOf(summary, Verdict::kFound)},
                    {"several", CountOf(summary, Verdict::kSeveral)},
                    {"none", CountOf(summary, Verdict::kNone)}};
  json["cases"] = Json::array();
  for (const CaseRecord& record : summary.records) json["cases"].push_back(Row(record));
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

SummaryHead ReadSummaryHead(const std::string& text, const std::string& name) {
  try {
    return ReadHead(Json::parse(text));
  } catch (const Json::exception& error) {
    throw InputError(name + ": is no summary of ohmglow (" + error.what() +
                     "); run the batch of this folder again");
  } catch (const InputError& error) {
    throw InputError(name + ": " + error.what() + "; run the batch of this folder again");
  }
}

}  // namespace ohmglow::batch
