// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <optional>
#include <string>

#include "ohmglow/picture/compare_report.h"
#include "ohmglow/version.h"
#include "ohmglow/words/say.h"
#include "picture/compare_words.h"
#include "picture/json_values.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::CleanName;
using internal::FileName;
using internal::Json;
using internal::PartRows;
using internal::Put;
using internal::PutPlace;

Json Source(const LocateResult& result) {
  return {{"title", CleanName(result.title)}, {"file", FileName(result.case_file)}};
}

const char* VerdictKey(CompareVerdict verdict) {
  switch (verdict) {
    case CompareVerdict::kRepaired:
      return "repaired";
    case CompareVerdict::kNotRepaired:
      return "not_repaired";
    case CompareVerdict::kNewPlace:
      return "new_place";
    case CompareVerdict::kUndecided:
      break;
  }
  return "undecided";
}

const char* ChangeKey(PlaceChange change) {
  switch (change) {
    case PlaceChange::kGone:
      return "gone";
    case PlaceChange::kWeaker:
      return "weaker";
    case PlaceChange::kUnchanged:
      return "unchanged";
    case PlaceChange::kStronger:
      return "stronger";
    case PlaceChange::kNew:
      return "new";
    case PlaceChange::kUnknown:
      break;
  }
  return "unknown";
}

Json Registration(const PairAlignment& alignment) {
  Json json;
  json["method"] = alignment.from_points ? "points" : "picture";
  Put(json, "residual_px", alignment.residual_px, 3);
  Put(json, "rotation_deg", alignment.rotation_deg, 4);
  Put(json, "scale", alignment.scale, 5);
  Put(json, "confidence", alignment.trust, 4);
  return json;
}

Json Place(const ComparedPlace& place) {
  Json json;
  json["name"] = CleanName(place.name);
  json["change"] = ChangeKey(place.change);
  Put(json, "change_probability", place.change_prob, 3);
  json["suspect"] = place.suspect;
  PutPlace(json, "frame_x", "frame_y", place.before_px);
  PutPlace(json, "photo_x", "photo_y", place.photo_px);
  Put(json, "before_w", place.before_w, 4);
  Put(json, "before_low_w", place.before_low_w, 4);
  Put(json, "before_high_w", place.before_high_w, 4);
  Put(json, "after_w", place.after_w, 4);
  Put(json, "after_low_w", place.after_low_w, 4);
  Put(json, "after_high_w", place.after_high_w, 4);
  Put(json, "after_below_w", place.after_below_w, 3);
  Put(json, "ratio", place.ratio, 4);
  if (json.contains("ratio")) Put(json, "ratio_sigma", place.ratio_sigma, 2);
  if (place.contact) json["contact"] = CleanName(*place.contact);
  json["parts"] = PartRows(place.parts);
  return json;
}

Json Resistance(const ResistanceChange& resistance, const Words& words) {
  Json json = Json::object();
  Put(json, "before_ohm", resistance.before_ohm, 5);
  Put(json, "after_ohm", resistance.after_ohm, 5);
  Put(json, "change_ohm", resistance.change_ohm, 5);
  if (json.contains("change_ohm")) Put(json, "change_sigma_ohm", resistance.change_sigma_ohm, 2);
  if (!resistance.remark.empty())
    json["remark"] = internal::CleanText(Say(resistance.remark, words), 500);
  return json;
}

void PutRegion(Json& row, const char* key, const std::optional<RegionNumbers>& numbers) {
  if (!numbers) return;
  Json json = Json::object();
  Put(json, "mean_c", numbers->mean_c, 6);
  Put(json, "max_c", numbers->max_c, 6);
  Put(json, "spread_k", numbers->spread_k, 4);
  Put(json, "quarters_k", numbers->quarters_k, 4);
  Put(json, "sigma_k", numbers->sigma_k, 3);
  row[key] = json;
}

Json Regions(const std::vector<ComparedRegion>& regions) {
  Json json = Json::array();
  for (const ComparedRegion& region : regions) {
    Json row{{"name", CleanName(region.name)}};
    PutRegion(row, "before", region.before);
    PutRegion(row, "after", region.after);
    json.push_back(row);
  }
  return json;
}

}  // namespace

std::string ToCompareJson(const CompareResult& result, const Words& words) {
  Json json;
  json["schema"] = 1;
  json["program"] = {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}};
  json["before"] = Source(result.before);
  json["after"] = Source(result.after);
  json["verdict"] = VerdictKey(result.verdict);
  Put(json, "probability", result.probability, 3);
  json["words"] = internal::CompareSentences(result, words);
  if (result.scale_amps_a > 0) Put(json, "scale_amps", result.scale_amps_a, 6);
  if (result.alignment.overlap > 0) json["registration"] = Registration(result.alignment);
  json["places"] = Json::array();
  for (const ComparedPlace& place : result.places) json["places"].push_back(Place(place));
  json["resistance"] = Resistance(result.resistance, words);
  json["regions"] = Regions(result.regions);
  if (!internal::OnlyRegions(result)) {
    json["maps"] = {{"before", "before.tiff"}, {"after", "after.tiff"}, {"unit", "K"}};
  }
  return internal::ToText(json);
}

}  // namespace ohmglow
