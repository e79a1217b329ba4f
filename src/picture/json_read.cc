// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "picture/json_values.h"

namespace ohmglow {
namespace {

using internal::Json;

std::optional<double> Number(const Json& json, const char* key) {
  if (!json.contains(key)) return std::nullopt;
  return json.at(key).get<double>();
}

// What ToJson leaves out for "not known": zero or less, or not finite.
double NumberOr(const Json& json, const char* key, double otherwise) {
  return Number(json, key).value_or(otherwise);
}

std::string Text(const Json& json, const char* key) {
  return json.contains(key) ? json.at(key).get<std::string>() : std::string();
}

// Results of 0.1.0 before the values were added have the sentences alone, and those of a later
// version may have kinds of remarks that are not known here.
std::vector<Remark> Remarks(const Json& json, const char* sentences, const char* values) {
  std::vector<Remark> remarks;
  const Json& texts = json.at(sentences);
  for (std::size_t i = 0; i < texts.size(); ++i) {
    const auto value =
        json.contains(values) ? internal::ReadRemark(json.at(values).at(i)) : std::nullopt;
    remarks.push_back(value ? *value : Remark::Quoted(texts.at(i).get<std::string>()));
  }
  return remarks;
}

std::optional<Point> Place(const Json& json, const char* x_key, const char* y_key) {
  const auto x = Number(json, x_key);
  const auto y = Number(json, y_key);
  if (!x || !y) return std::nullopt;
  return Point(*x, *y);
}

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

// Results of 0.1.0 before the keys were added have none.
void ReadPhotoMap(const Json& board, BoardMaps& maps) {
  if (!board.contains("photo_from_frame")) return;
  PlaneMap map;
  std::size_t i = 0;
  for (double& value : map.matrix.val) {
    value = board.at("photo_from_frame").at(i++).get<double>();
  }
  maps.photo_from_frame = map;
  if (!board.contains("photo_lens")) return;
  const Json& lens = board.at("photo_lens");
  maps.photo_lens = RadialLens{Place(lens, "center_x", "center_y").value_or(Point()),
                               NumberOr(lens, "radius_px", 1),
                               NumberOr(lens, "k1", 0),
                               NumberOr(lens, "k2", 0)};
}

// In kelvin, or a share of the largest rise where the frames are no temperatures.
std::optional<double> Rise(const Json& json, const std::string& in_kelvin, const char* relative) {
  if (const auto kelvin = Number(json, in_kelvin.c_str())) return kelvin;
  return Number(json, relative);
}

void ReadFrames(const Json& json, LocateResult& result) {
  // Results of 0.1.0 before the key was added have none.
  if (Text(json, "values") == "relative") result.values = FrameValues::kRelative;
  result.frame_size_px = {json.at("width").get<int>(), json.at("height").get<int>()};
  result.binning = static_cast<int>(std::clamp(NumberOr(json, "binning", 1), 1.0, 1000.0));
  result.rate_hz = NumberOr(json, "rate_hz", 0);
  auto& frames = result.alignment.frames;
  frames.resize(json.at("count").get<std::size_t>());
  for (const Json& row : json.at("dropped")) {
    FrameState& frame = frames.at(row.at("index").get<std::size_t>());
    frame.used = false;
    frame.reason = Remark::Quoted(Text(row, "reason"));
  }
}

void ReadSupply(const Json& json, LocateResult& result) {
  result.clock_offset_s = Number(json, "clock_offset_s");
  result.clock_offset_sigma_s = Number(json, "clock_offset_sigma_s");
  if (json.contains("remarks")) {
    result.supply_remarks = Remarks(json, "remarks", "remark_values");
  }
  result.currents_known = !json.contains("currents_known");
  result.most_volts_v = Number(json, "volts_setting");
  for (const Json& row : json.at("levels")) {
    SupplyLevel level;
    level.start_s = NumberOr(row, "start_s", kUnknown);
    level.start_sigma_s = Number(row, "start_sigma_s");
    level.end_s = NumberOr(row, "end_s", kUnknown);
    level.amps_a = NumberOr(row, "amps", kUnknown);
    level.volts_v = NumberOr(row, "volts", kUnknown);
    result.levels.push_back(level);
  }
  if (json.contains("path")) {
    const Json& path = json.at("path");
    result.supply_path = SupplyPath{NumberOr(path, "amps", kUnknown),
                                    NumberOr(path, "drop_v", kUnknown),
                                    NumberOr(path, "drop_sigma_v", kUnknown),
                                    NumberOr(path, "ohm", kUnknown),
                                    NumberOr(path, "sigma_ohm", kUnknown)};
  }
}

HeatSide SideOf(const std::string& key) {
  if (key == "near") return HeatSide::kNear;
  return key == "far" ? HeatSide::kFar : HeatSide::kUndecided;
}

Verdict VerdictOf(const std::string& key) {
  if (key == "found") return Verdict::kFound;
  if (key == "several") return Verdict::kSeveral;
  if (key == "none") return Verdict::kNone;
  throw InputError("verdict '" + key + "' is none of found, several, none");
}

GrowthPoint ReadGrowth(const Json& row) {
  return {NumberOr(row, "time_s", kUnknown),
          NumberOr(row, "amps", kUnknown),
          Rise(row, "rise_k", "rise_relative").value_or(kUnknown),
          NumberOr(row, "area_mm2", kUnknown),
          Rise(row, "heat_k_mm2", "heat_relative_mm2").value_or(kUnknown),
          Rise(row, "fit_k", "fit_relative"),
          Rise(row, "fit_sigma_k", "fit_sigma_relative")};
}

std::optional<Estimate> ReadEstimate(const Json& json, const char* key) {
  if (!json.contains(key)) return std::nullopt;
  const Json& row = json.at(key);
  return Estimate{NumberOr(row, "value", kUnknown),
                  NumberOr(row, "low", kUnknown),
                  NumberOr(row, "high", kUnknown)};
}

SeenFromOtherSide ReadSeen(const Json& json) {
  SeenFromOtherSide seen;
  if (json.contains("rank")) seen.rank = json.at("rank").get<std::size_t>();
  seen.frame_px = Place(json, "frame_x", "frame_y").value_or(Point(kUnknown, kUnknown));
  seen.rise_k = NumberOr(json, "rise_k", kUnknown);
  seen.power_w = Number(json, "power_w");
  seen.width_mm = Number(json, "width_mm");
  seen.confidence = Number(json, "confidence");
  return seen;
}

OtherSide ReadOtherCapture(const Json& json) {
  OtherSide other;
  other.title = Text(json, "title");
  other.case_file = Text(json, "file");
  other.verdict = VerdictOf(Text(json, "verdict"));
  other.top_amps_a = NumberOr(json, "amps", 0);
  other.detectable_w = NumberOr(json, "detectable_w", 0);
  other.conflicts = Remarks(json, "conflicts", "conflict_values");
  return other;
}

Candidate ReadCandidate(const Json& json) {
  Candidate out;
  out.confidence = NumberOr(json, "confidence", kUnknown);
  out.frame_px = Place(json, "frame_x", "frame_y").value_or(Point(kUnknown, kUnknown));
  out.sigma_px = NumberOr(json, "sigma_px", 0);
  out.board_mm = Place(json, "board_x_mm", "board_y_mm");
  out.photo_px = Place(json, "photo_x", "photo_y");
  out.side = SideOf(Text(json, "side"));
  out.far_prob = Number(json, "far_probability");
  out.rise_k = Rise(json, "rise_k", "rise_relative").value_or(kUnknown);
  out.power_w = NumberOr(json, "power_w", kUnknown);
  out.power_low_w = NumberOr(json, "power_low_w", kUnknown);
  out.power_high_w = NumberOr(json, "power_high_w", kUnknown);
  out.share_of_supply = Number(json, "share_of_supply");
  out.resistance_ohm = ReadEstimate(json, "resistance_ohm");
  out.drop_v = ReadEstimate(json, "drop_v");
  out.sheet_conductance_w_k = ReadEstimate(json, "sheet_conductance_w_k");
  out.current_exponent = Number(json, "current_exponent");
  out.current_exponent_sigma = Number(json, "current_exponent_sigma");
  out.onset_s = Number(json, "onset_s");
  out.width_mm = NumberOr(json, "width_mm", 0);
  out.snr = NumberOr(json, "snr", 0);
  for (const Json& row : json.at("parts")) {
    // Results of 0.1.0 before the key was added do not say the part's side.
    const HeatSide side = row.contains("side") ? SideOf(Text(row, "side")) : HeatSide::kUndecided;
    out.parts.push_back({Text(row, "ref"), NumberOr(row, "probability", kUnknown), side});
  }
  if (json.contains("contact")) out.contact = Text(json, "contact");
  out.remarks = Remarks(json, "remarks", "remark_values");
  // Results of 0.1.0 before the key was added have none.
  if (json.contains("evidence")) {
    for (const Json& row : json.at("evidence")) {
      out.evidence.push_back(
          {Text(row, "name"), NumberOr(row, "factor", kUnknown), NumberOr(row, "value", 0)});
    }
  }
  for (const Json& row : json.at("growth")) out.growth.push_back(ReadGrowth(row));
  if (json.contains("levels")) {
    for (const Json& row : json.at("levels")) {
      out.levels.push_back({NumberOr(row, "amps", kUnknown),
                            Rise(row, "rise_k", "rise_relative").value_or(kUnknown),
                            Rise(row, "sigma_k", "sigma_relative").value_or(kUnknown)});
    }
  }
  if (json.contains("other_side")) out.other_side = ReadSeen(json.at("other_side"));
  return out;
}

void ReadPictures(const Json& json, LocateResult& result) {
  if (!json.contains("pictures")) return;
  for (const auto& [key, row] : json.at("pictures").items()) {
    result.pictures.push_back({key,
                               Text(row, "file"),
                               Text(row, "unit"),
                               NumberOr(row, "scale", 1),
                               Text(row, "meaning")});
  }
}

// Results of 0.1.0 before the key was added have none.
MotionModel ModelOf(const std::string& key) {
  for (const MotionModel model :
       {MotionModel::kRigid, MotionModel::kSimilarity, MotionModel::kProjective}) {
    if (key == internal::MotionModelKey(model)) return model;
  }
  return MotionModel::kShift;
}

// Results of 0.1.0 before the key was added have the sentences alone; nothing is read from those.
void ReadAssumed(const Json& rows, std::vector<Assumption>& assumed) {
  for (const Json& row : rows) {
    const auto how = ParseAssumedHow(Text(row, "how"));
    assumed.push_back({Text(row, "key"),
                       Text(row, "value"),
                       how.value_or(AssumedHow::kDefault),
                       row.value("note", ""),
                       row.value("whose", "")});
    if (!row.contains("told")) continue;
    assumed.back().told = internal::ReadRemark(row.at("told")).value_or(Remark());
  }
}

LocateResult Read(const Json& json) {
  if (Text(json.at("program"), "name") != "ohmglow" || json.at("schema").get<int>() != 1) {
    throw InputError("is no result of ohmglow of schema 1");
  }
  LocateResult result;
  result.title = Text(json.at("case"), "title");
  result.case_file = Text(json.at("case"), "file");
  if (json.contains("assumed_values")) ReadAssumed(json.at("assumed_values"), result.assumed);
  ReadFrames(json.at("frames"), result);
  // Results of 0.1.0 before the key was added have none.
  if (json.contains("board")) {
    result.mm_per_pixel = NumberOr(json.at("board"), "mm_per_pixel", 0);
    const Json& board = json.at("board");
    result.side = Text(board, "side") == "bottom" ? BoardSide::kBottom : BoardSide::kTop;
    const auto sheet = ReadEstimate(board, "sheet_conductance_w_k");
    const auto capacity = ReadEstimate(board, "heat_capacity_j_m2k");
    const auto film = ReadEstimate(board, "film_w_m2k");
    if (sheet && capacity && film) result.plate = PlateFit{*sheet, *capacity, *film};
    ReadPhotoMap(board, result.maps);
  }
  const Json& noise = json.at("noise");
  result.noise_per_frame_k = Rise(noise, "per_frame_k", "per_frame_relative").value_or(0);
  result.noise_response_k = Rise(noise, "response_k", "response_relative").value_or(0);
  const Json& registration = json.at("registration");
  result.alignment.motion_model = ModelOf(Text(registration, "model"));
  result.alignment.largest_shift_px = NumberOr(registration, "largest_shift_px", kUnknown);
  result.alignment.median_residual_px = NumberOr(registration, "median_residual_px", kUnknown);
  result.alignment.num_segments = registration.at("segments").get<int>();
  ReadSupply(json.at("supply"), result);
  result.verdict = VerdictOf(json.at("verdict").get<std::string>());
  if (json.contains("verdict_reason_value")) {
    result.verdict_reason = internal::ReadRemark(json.at("verdict_reason_value"))
                                .value_or(Remark::Quoted(Text(json, "verdict_reason")));
  } else {
    result.verdict_reason = Remark::Quoted(Text(json, "verdict_reason"));
  }
  result.elsewhere_prob = NumberOr(json, "elsewhere_probability", kUnknown);
  result.detectable_w = NumberOr(json, "detectable_w", 0);
  for (const Json& row : json.at("candidates")) result.candidates.push_back(ReadCandidate(row));
  result.advice = Remarks(json, "advice", "advice_values");
  if (json.contains("other_side")) result.other_side = ReadOtherCapture(json.at("other_side"));
  ReadPictures(json, result);
  return result;
}

}  // namespace

LocateResult FromJson(const std::string& text, const std::string& name) {
  try {
    return Read(Json::parse(text));
  } catch (const Json::parse_error& error) {
    throw InputError(name + ": is not JSON (byte " + std::to_string(error.byte) +
                     "); run `ohmglow locate` again");
  } catch (const Json::exception& error) {
    throw InputError(name + ": a key is missing or of the wrong kind (" + error.what() +
                     "); run `ohmglow locate` again");
  } catch (const std::out_of_range&) {
    throw InputError(name + ": frames.dropped names a frame beyond frames.count");
  } catch (const InputError& error) {
    throw InputError(name + ": " + error.what());
  }
}

}  // namespace ohmglow
