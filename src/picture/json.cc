// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <optional>
#include <string>

#include "ohmglow/picture/report.h"
#include "ohmglow/version.h"
#include "ohmglow/words/say.h"
#include "picture/answer_words.h"
#include "picture/json_values.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::CleanName;
using internal::FileName;
using internal::Json;
using internal::Put;
using internal::PutPlace;
using internal::PutPositive;
using internal::ScreeningJson;
using internal::Sentences;
using internal::ToText;
using internal::Values;

// Keys of what is in kelvin, or a share of the largest rise where the frames are
// no temperatures: a key never changes its meaning.
struct RiseKeys {
  const char* rise = "rise_k";
  const char* sigma = "sigma_k";
  const char* heat = "heat_k_mm2";
  const char* fit = "fit_k";
  const char* fit_sigma = "fit_sigma_k";
};
constexpr RiseKeys kRelativeKeys{
    "rise_relative", "sigma_relative", "heat_relative_mm2", "fit_relative", "fit_sigma_relative"};

bool IsRelative(const LocateResult& result) { return result.values == FrameValues::kRelative; }

Json Frames(const LocateResult& result, const Words& words) {
  Json json;
  Json dropped = Json::array();
  const std::vector<FrameState>& frames = result.alignment.frames;
  std::size_t used = 0;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].used) {
      ++used;
    } else {
      dropped.push_back({{"index", i}, {"reason", CleanName(Say(frames[i].reason, words))}});
    }
  }
  json["count"] = frames.size();
  json["used"] = used;
  json["width"] = result.frame_size_px.width;
  json["height"] = result.frame_size_px.height;
  if (result.binning > 1) json["binning"] = result.binning;
  PutPositive(json, "rate_hz", result.rate_hz, 6);
  json["values"] = IsRelative(result) ? "relative" : "kelvin";
  json["dropped"] = dropped;
  ScreeningReport screening = result.alignment.screening;
  if (IsRelative(result)) screening.noise = {};
  json["screening"] = ScreeningJson(screening, result.alignment.num_segments, words);
  return json;
}

void PutEstimate(Json& json, const char* key, const std::optional<Estimate>& estimate) {
  if (!estimate) return;
  Json& row = json[key];
  Put(row, "value", estimate->value, 3);
  Put(row, "low", estimate->low, 3);
  Put(row, "high", estimate->high, 3);
}

// Where the supply's watts go: a drop, ohms, and what of both is seen as heat.
Json Path(const SupplyPath& path, const LocateResult& result) {
  Json json = Json::object();
  Put(json, "drop_v", path.drop_v, 3);
  Put(json, "drop_sigma_v", path.drop_sigma_v, 2);
  Put(json, "ohm", path.ohm, 4);
  Put(json, "sigma_ohm", path.sigma_ohm, 2);
  Put(json, "amps", path.top_amps_a, 6);
  Put(json, "watts", path.drop_w() + path.ohmic_w(), 4);
  PutPositive(json, "fault_watts", result.FaultWatts(), 3);
  return json;
}

Json Supply(const LocateResult& result, const Words& words) {
  Json json = Json::object();
  Put(json, "clock_offset_s", result.clock_offset_s, 5);
  if (json.contains("clock_offset_s")) {
    Put(json, "clock_offset_sigma_s", result.clock_offset_sigma_s, 2);
  }
  if (!result.supply_remarks.empty()) {
    json["remarks"] = SayAll(result.supply_remarks, words);
    json["remark_values"] = Values(result.supply_remarks);
  }
  if (!result.currents_known) json["currents_known"] = false;
  Put(json, "volts_setting", result.most_volts_v, 6);
  json["levels"] = Json::array();
  for (const SupplyLevel& level : result.levels) {
    Json row = Json::object();
    Put(row, "start_s", level.start_s, 9);
    Put(row, "start_sigma_s", level.start_sigma_s, 2);
    Put(row, "end_s", level.end_s, 9);
    Put(row, "amps", level.amps_a, 6);
    Put(row, "volts", level.volts_v, 6);
    Put(row, "watts", level.watts_w(), 5);
    json["levels"].push_back(row);
  }
  if (result.supply_path) json["path"] = Path(*result.supply_path, result);
  return json;
}

// How a pixel of the frame gets into the photo: the rows of a homography, then
// the bending of the photo's lens.
void PutPhotoMap(Json& json, const BoardMaps& maps) {
  Json rows = Json::array();
  for (const double value : maps.photo_from_frame->matrix.val)
    rows.push_back(internal::RoundDigits(value, 9) + 0.0);
  json["photo_from_frame"] = rows;
  if (!maps.photo_lens) return;
  Json& lens = json["photo_lens"];
  PutPlace(lens, "center_x", "center_y", maps.photo_lens->center_px);
  Put(lens, "radius_px", maps.photo_lens->radius_px, 9);
  Put(lens, "k1", maps.photo_lens->k1, 6);
  Put(lens, "k2", maps.photo_lens->k2, 6);
}

Json Board(const LocateResult& result) {
  Json json;
  PutPositive(json, "mm_per_pixel", result.mm_per_pixel, 5);
  json["side"] = result.side == BoardSide::kTop ? "top" : "bottom";
  if (result.plate) {
    PutEstimate(json, "sheet_conductance_w_k", result.plate->sheet_conductance_w_k);
    PutEstimate(json, "heat_capacity_j_m2k", result.plate->heat_capacity_j_m2k);
    PutEstimate(json, "film_w_m2k", result.plate->film_w_m2k);
  }
  if (result.maps.photo_from_frame) PutPhotoMap(json, result.maps);
  return json;
}

Json Pictures(const LocateResult& result) {
  Json json = Json::object();
  for (const SavedPicture& picture : result.pictures) {
    Json& row = json[picture.key];
    row["file"] = CleanName(picture.file);
    if (!picture.unit.empty()) row["unit"] = picture.unit;
    if (picture.scale != 1) Put(row, "scale", picture.scale, 9);
    if (!picture.meaning.empty()) row["meaning"] = CleanName(picture.meaning);
  }
  return json;
}

Json Growth(const std::vector<GrowthPoint>& growth, const RiseKeys& keys) {
  Json json = Json::array();
  for (const GrowthPoint& point : growth) {
    Json row = Json::object();
    Put(row, "time_s", point.time_s, 9);
    Put(row, "amps", point.amps_a, 6);
    Put(row, keys.rise, point.rise_k, 4);
    Put(row, "area_mm2", point.area_mm2, 4);
    Put(row, keys.heat, point.heat_k_mm2, 4);
    Put(row, keys.fit, point.fit_k, 4);
    Put(row, keys.fit_sigma, point.fit_sigma_k, 2);
    json.push_back(row);
  }
  return json;
}

Json Levels(const std::vector<LevelRise>& levels, const RiseKeys& keys) {
  Json json = Json::array();
  for (const LevelRise& level : levels) {
    Json row = Json::object();
    Put(row, "amps", level.amps_a, 6);
    Put(row, keys.rise, level.rise_k, 4);
    Put(row, keys.sigma, level.sigma_k, 2);
    json.push_back(row);
  }
  return json;
}

Json FromOtherSide(const SeenFromOtherSide& seen) {
  Json json = Json::object();
  if (seen.rank) json["rank"] = *seen.rank;
  PutPlace(json, "frame_x", "frame_y", seen.frame_px);
  Put(json, "rise_k", seen.rise_k, 4);
  Put(json, "power_w", seen.power_w, 4);
  Put(json, "width_mm", seen.width_mm, 3);
  Put(json, "confidence", seen.confidence, 3);
  return json;
}

Json OtherCapture(const OtherSide& other, const Words& words) {
  Json json{{"title", CleanName(other.title)}, {"file", FileName(other.case_file)}};
  json["verdict"] = VerdictKey(other.verdict);
  PutPositive(json, "amps", other.top_amps_a, 6);
  PutPositive(json, "detectable_w", other.detectable_w, 3);
  json["conflicts"] = Sentences(SayAll(other.conflicts, words));
  json["conflict_values"] = Values(other.conflicts);
  return json;
}

Json EvidenceRows(const std::vector<Evidence>& evidence, const Words& words) {
  Json json = Json::array();
  for (const Evidence& piece : evidence) {
    Json row{{"name", CleanName(internal::EvidenceWords(piece, words))}};
    Put(row, "factor", piece.factor, 3);
    Put(row, "value", piece.value, 4);
    json.push_back(row);
  }
  return json;
}

Json Place(const Candidate& candidate, std::size_t rank, const RiseKeys& keys, const Words& words) {
  Json json;
  json["rank"] = rank;
  Put(json, "confidence", candidate.confidence, 3);
  PutPlace(json, "frame_x", "frame_y", candidate.frame_px);
  PutPositive(json, "sigma_px", candidate.sigma_px, 3);
  PutPlace(json, "board_x_mm", "board_y_mm", candidate.board_mm);
  PutPlace(json, "photo_x", "photo_y", candidate.photo_px);
  json["side"] = SideKey(candidate.side);
  Put(json, "far_probability", candidate.far_prob, 3);
  Put(json, keys.rise, candidate.rise_k, 4);
  Put(json, "power_w", candidate.power_w, 4);
  Put(json, "power_low_w", candidate.power_low_w, 4);
  Put(json, "power_high_w", candidate.power_high_w, 4);
  Put(json, "share_of_supply", candidate.share_of_supply, 3);
  PutEstimate(json, "resistance_ohm", candidate.resistance_ohm);
  PutEstimate(json, "drop_v", candidate.drop_v);
  PutEstimate(json, "sheet_conductance_w_k", candidate.sheet_conductance_w_k);
  Put(json, "current_exponent", candidate.current_exponent, 4);
  if (json.contains("current_exponent")) {
    Put(json, "current_exponent_sigma", candidate.current_exponent_sigma, 2);
  }
  Put(json, "onset_s", candidate.onset_s, 5);
  PutPositive(json, "width_mm", candidate.width_mm, 3);
  PutPositive(json, "snr", candidate.snr, 4);
  json["parts"] = internal::PartRows(candidate.parts);
  if (candidate.contact) json["contact"] = CleanName(*candidate.contact);
  json["remarks"] = Sentences(SayAll(candidate.remarks, words));
  json["remark_values"] = Values(candidate.remarks);
  json["evidence"] = EvidenceRows(candidate.evidence, words);
  json["growth"] = Growth(candidate.growth, keys);
  if (!candidate.levels.empty()) json["levels"] = Levels(candidate.levels, keys);
  if (candidate.other_side) json["other_side"] = FromOtherSide(*candidate.other_side);
  return json;
}

Json AssumedValues(const Assumption& one) {
  Json row{{"key", CleanName(one.key)}, {"value", CleanName(one.value)}, {"how", NameOf(one.how)}};
  if (!one.note.empty()) row["note"] = CleanName(one.note);
  if (!one.told.empty()) row["told"] = internal::Values(one.told);
  if (!one.whose.empty()) row["whose"] = CleanName(one.whose);
  return row;
}

}  // namespace

std::string_view SideKey(HeatSide side) {
  switch (side) {
    case HeatSide::kNear:
      return "near";
    case HeatSide::kFar:
      return "far";
    case HeatSide::kUndecided:
      break;
  }
  return "undecided";
}

std::string_view VerdictKey(Verdict verdict) {
  switch (verdict) {
    case Verdict::kFound:
      return "found";
    case Verdict::kSeveral:
      return "several";
    case Verdict::kNone:
      break;
  }
  return "none";
}

std::string ToJson(const LocateResult& result) { return ToJson(result, Words::Report()); }

std::string ToJson(const LocateResult& result, const Words& words) {
  Json json;
  json["schema"] = 1;
  json["program"] = {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}};
  json["case"] = {{"title", CleanName(result.title)}, {"file", FileName(result.case_file)}};
  json["assumed"] = Json::array();
  json["assumed_values"] = Json::array();
  for (const Assumption& one : result.assumed) {
    json["assumed"].push_back(CleanName(ToText(one)));
    json["assumed_values"].push_back(AssumedValues(one));
  }
  json["frames"] = Frames(result, words);
  json["board"] = Board(result);
  json["noise"] = Json::object();
  const bool relative = IsRelative(result);
  PutPositive(
      json["noise"], relative ? "per_frame_relative" : "per_frame_k", result.noise_per_frame_k, 3);
  PutPositive(
      json["noise"], relative ? "response_relative" : "response_k", result.noise_response_k, 3);
  json["registration"] = {{"model", internal::MotionModelKey(result.alignment.motion_model)}};
  Put(json["registration"], "largest_shift_px", result.alignment.largest_shift_px, 4);
  Put(json["registration"], "median_residual_px", result.alignment.median_residual_px, 3);
  json["registration"]["segments"] = result.alignment.num_segments;
  json["supply"] = Supply(result, words);
  json["verdict"] = VerdictKey(result.verdict);
  if (!result.verdict_reason.empty()) {
    json["verdict_reason"] = CleanName(Say(result.verdict_reason, words));
    json["verdict_reason_value"] = Values(result.verdict_reason);
  }
  Put(json, "elsewhere_probability", result.elsewhere_prob, 3);
  PutPositive(json, "detectable_w", result.detectable_w, 3);
  json["candidates"] = Json::array();
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    json["candidates"].push_back(
        Place(result.candidates[i], i + 1, relative ? kRelativeKeys : RiseKeys{}, words));
  }
  json["advice"] = Sentences(SayAll(result.advice, words));
  json["advice_values"] = Values(result.advice);
  if (result.other_side) json["other_side"] = OtherCapture(*result.other_side, words);
  if (!result.pictures.empty()) json["pictures"] = Pictures(result);
  return ToText(json);
}

}  // namespace ohmglow
