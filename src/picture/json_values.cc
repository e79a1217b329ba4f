// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/json_values.h"

#include <cmath>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/result.h"
#include "ohmglow/words/say.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kNameChars = 200;
constexpr std::size_t kSentenceChars = 500;
constexpr int kValueDigits = 9;

}  // namespace

std::string CleanName(const std::string& text) { return CleanText(text, kNameChars); }

void Put(Json& json, const char* key, double value, int digits) {
  if (std::isfinite(value)) json[key] = RoundDigits(value, digits) + 0.0;
}

void Put(Json& json, const char* key, const std::optional<double>& value, int digits) {
  if (value) Put(json, key, *value, digits);
}

void PutPositive(Json& json, const char* key, double value, int digits) {
  if (value > 0) Put(json, key, value, digits);
}

void PutPlace(Json& json, const char* x_key, const char* y_key, const std::optional<Point>& p) {
  if (!p || !std::isfinite(p->x) || !std::isfinite(p->y)) return;
  const auto thousandth = [](double v) {
    return RoundDigits(std::round(v * 1000) / 1000, 12) + 0.0;
  };
  json[x_key] = thousandth(p->x);
  json[y_key] = thousandth(p->y);
}

std::string FileName(const std::string& path) {
  const std::size_t slash = path.find_last_of("/\\");
  return CleanName(slash == std::string::npos ? path : path.substr(slash + 1));
}

Json Sentences(const std::vector<std::string>& sentences) {
  Json json = Json::array();
  for (const std::string& s : sentences) json.push_back(CleanText(s, kSentenceChars));
  return json;
}

Json Values(const Remark& remark) {
  if (remark.kind == RemarkKind::kQuoted) return CleanText(remark.text, kSentenceChars);
  Json json{{"kind", KeyOf(remark.kind)}};
  for (const RemarkValue& value : remark.values) {
    if (value.said.empty()) {
      Put(json, value.name.c_str(), value.number, kValueDigits);
    } else {
      json[value.name] = Values(value.said);
    }
  }
  return json;
}

Json Values(const std::vector<Remark>& remarks) {
  Json json = Json::array();
  for (const Remark& remark : remarks) json.push_back(Values(remark));
  return json;
}

std::optional<Remark> ReadRemark(const Json& json, int most_depth) {
  if (json.is_string()) return Remark::Quoted(json.get<std::string>());
  if (most_depth == 0) return std::nullopt;
  const std::optional<RemarkKind> kind = KindOf(json.at("kind").get<std::string>());
  if (!kind) return std::nullopt;
  Remark remark(*kind);
  for (const auto& [name, value] : json.items()) {
    if (name == "kind") continue;
    remark.values.push_back({name, 0, {}});
    if (value.is_number()) {
      remark.values.back().number = value.get<double>();
      continue;
    }
    for (const Json& row : value) {
      const std::optional<Remark> said = ReadRemark(row, most_depth - 1);
      if (!said) return std::nullopt;
      remark.values.back().said.push_back(*said);
    }
  }
  return remark;
}

Json PartRows(const std::vector<PartMatch>& parts) {
  Json json = Json::array();
  for (const PartMatch& part : parts) {
    Json row{{"ref", CleanName(part.ref)}};
    Put(row, "probability", part.prob, 3);
    if (part.side != HeatSide::kUndecided) row["side"] = SideKey(part.side);
    json.push_back(row);
  }
  return json;
}

Json ScreeningJson(const ScreeningReport& screening, int num_segments, const Words& words) {
  Json json;
  json["segments"] = num_segments;
  if (screening.lost_frames) json["lost_frames"] = *screening.lost_frames;
  PutPositive(json, "white_noise_k", screening.noise.white_k, 3);
  PutPositive(json, "column_noise_k", screening.noise.column_k, 3);
  PutPositive(json, "row_noise_k", screening.noise.row_k, 3);
  json["bad_pixels"] = Json::object();
  for (int k = 1; k < kPixelFaults; ++k) {
    const auto fault = static_cast<PixelFault>(k);
    if (const int n = screening.CountPixels(fault)) json["bad_pixels"][Name(fault)] = n;
  }
  json["events"] = Json::array();
  for (const ScreeningEvent& e : screening.events) {
    Json event = {{"frame", e.frame}, {"length", e.length}, {"kind", Name(e.kind)}};
    if (e.step_k != 0) Put(event, "step_k", e.step_k, 4);
    if (e.shape_k != 0) Put(event, "shape_k", e.shape_k, 4);
    event["text"] = CleanName(Say(e.what, words));
    json["events"].push_back(event);
  }
  return json;
}

std::string_view MotionModelKey(MotionModel model) {
  switch (model) {
    case MotionModel::kShift:
      return "shift";
    case MotionModel::kRigid:
      return "rigid";
    case MotionModel::kSimilarity:
      return "similarity";
    case MotionModel::kProjective:
      break;
  }
  return "projective";
}

std::string ToText(const Json& json) {
  // Text is clean UTF-8 by now; `replace` makes sure that none can throw.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace ohmglow::internal
