// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "truth.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "surface.h"

namespace ohmglow::simulate {
namespace {

using Json = nlohmann::ordered_json;

// Enough digits to be exact for any purpose, few enough to be the same on
// machines whose last bits differ.
double Rounded(double value, int digits = 6) {
  if (value == 0 || !std::isfinite(value)) return 0;
  const double scale = std::pow(10.0, digits - 1 - std::floor(std::log10(std::abs(value))));
  return std::round(value * scale) / scale;
}

double Fixed(double value) { return std::round(value * 1e4) / 1e4 + 0.0; }

const char* Side(bool top) { return top ? "top" : "bottom"; }

double LocalScale(const PlaneMap& frame_from_board, Point board_mm) {
  return 1 / std::sqrt(std::abs(cv::determinant(frame_from_board.Jacobian(board_mm))));
}

Json SourceJson(const Setting& set, const HeatSource& source) {
  const Point frame = set.frame_from_board.Apply(source.center_mm);
  return {{"ref", source.ref},
          {"kind", source.kind},
          {"frame_x", Rounded(frame.x, 7)},
          {"frame_y", Rounded(frame.y, 7)},
          {"board_x_mm", Rounded(source.center_mm.x)},
          {"board_y_mm", Rounded(source.center_mm.y)},
          {"side", Side(source.top)},
          {"near", source.top == set.scenario.top()},
          {"power_w", Rounded(source.power_w)},
          {"exponent", Rounded(source.exponent)},
          {"is_fault", source.is_fault},
          {"mm_per_pixel", Rounded(LocalScale(set.frame_from_board, source.center_mm))},
          {"part_on_board", source.part >= 0}};
}

void AddLimits(Json& source, const SignalLimits& limits) {
  source["ideal_snr"] = Rounded(limits.ideal_snr, 4);
  source["bound_x_px"] = Rounded(limits.bound_x_px, 4);
  source["bound_y_px"] = Rounded(limits.bound_y_px, 4);
  source["apparent_peak_k"] = Rounded(limits.peak_k, 4);
  source["peak_x"] = limits.peak_px.x;
  source["peak_y"] = limits.peak_px.y;
}

Json Decoys(const Setting& set, const CaptureTruth& capture) {
  const Scenario& s = set.scenario;
  Json decoys = Json::array();
  for (const auto& source : set.sources) {
    if (source.when != HeatSource::When::kWindow) continue;
    Json decoy = {{"kind", source.kind},
                  {"ref", source.ref},
                  {"board_x_mm", Rounded(source.center_mm.x)},
                  {"board_y_mm", Rounded(source.center_mm.y)},
                  {"watts", Rounded(source.power_w)},
                  {"begin_s", Rounded(source.begin_s + s.time_origin_s)}};
    if (source.end_s < 1e8) decoy["end_s"] = Rounded(source.end_s + s.time_origin_s);
    decoys.push_back(decoy);
  }
  if (set.reflection.amplitude_k != 0) {
    const auto& r = set.reflection;
    decoys.push_back({{"kind", "reflection"},
                      {"amplitude_k", Rounded(r.amplitude_k)},
                      {"board_x_mm", Rounded(r.start_mm.x)},
                      {"board_y_mm", Rounded(r.start_mm.y)},
                      {"x_mm_s", Rounded(r.speed_mm_s.x)},
                      {"y_mm_s", Rounded(r.speed_mm_s.y)},
                      {"sigma_mm", Rounded(r.sigma_mm)}});
  }
  for (const auto& path : capture.wire_paths_mm) {
    Json wire = {{"kind", "wire"},
                 {"rise_k", Rounded(s.wire_k * s.power_scale)},
                 {"path_mm", Json::array()}};
    for (const auto& p : path) wire["path_mm"].push_back({Rounded(p.x), Rounded(p.y)});
    decoys.push_back(wire);
  }
  return decoys;
}

Json MatrixJson(const cv::Matx33d& m) {
  Json rows = Json::array();
  for (int r = 0; r < 3; ++r) {
    rows.push_back({Rounded(m(r, 0), 10), Rounded(m(r, 1), 10), Rounded(m(r, 2), 10)});
  }
  return rows;
}

// As the scorer sorts cases: see "kind" in the description for the others.
std::string ClassOf(const Scenario& s, const Json& sources) {
  double least = 1e9;
  bool near = true;
  for (const auto& source : sources) {
    if (!source["is_fault"]) continue;
    if (source["apparent_peak_k"] < least) {
      least = source["apparent_peak_k"];
      near = source["near"];
    }
  }
  if (least > 1e8) return s.kind.ends_with("contact") ? "contact" : "none";
  if (s.kind.ends_with("faint")) return "faint";
  if (least < 0.3) return "hard";
  const bool steady = s.motion == "tripod" || s.motion == "arm";
  return least >= 2 && steady && near ? "easy" : "medium";
}

Json Camera(const Setting& set) {
  const Scenario& s = set.scenario;
  const View& v = set.view;
  return {{"size", {v.size_px.width, v.size_px.height}},
          {"mm_per_pixel", Rounded(v.mm_per_pixel)},
          {"centre", {Rounded(v.center_mm.x), Rounded(v.center_mm.y)}},
          {"rot", Rounded(v.rotation_deg)},
          {"tilt", Rounded(v.tilt_deg)},
          {"tilt_dir", Rounded(v.tilt_direction_deg)},
          {"fov", Rounded(v.fov_deg)},
          {"blur", Rounded(s.blur_px)},
          {"sigma", Rounded(s.netd_k)},
          {"rate", Rounded(s.rate_hz)},
          {"scale", Rounded(s.scale_k)},
          {"zero", Rounded(s.zero_k)},
          {"motion", s.motion},
          {"drift", Rounded(s.drift_k)}};
}

Json Thermal(const Scenario& s) {
  return {{"ambient_c", Rounded(s.ambient_c)},
          {"reflected_c", Rounded(s.ambient_c + s.reflected_k)},
          {"board_base_k", Rounded(s.base_k)},
          {"ambient_drift_k", Rounded(s.ambient_drift_k)},
          {"wire_k", Rounded(s.wire_k)},
          {"wires", s.wires > 0}};
}

void AddPlate(Json& truth, const Setting& set) {
  const Scenario& s = set.scenario;
  truth["film_w_m2k"] = Rounded(0.5 * (s.film_top_w_m2k + s.film_bottom_w_m2k));
  truth["film_top"] = Rounded(s.film_top_w_m2k);
  truth["film_bottom"] = Rounded(s.film_bottom_w_m2k);
  std::vector<float> sheet(set.stack.sheet_w_k.begin(), set.stack.sheet_w_k.end());
  std::sort(sheet.begin(), sheet.end());
  const auto at = [&sheet](double q) {
    return Rounded(sheet[static_cast<std::size_t>(q * static_cast<double>(sheet.size() - 1))]);
  };
  truth["sheet_w_k_median"] = at(0.5);
  truth["sheet_w_k_5"] = at(0.05);
  truth["sheet_w_k_95"] = at(0.95);
  truth["heat_capacity_j_m2k"] = Rounded(set.stack.capacity_j_m2k);
}

// What the camera, the file or a hand spoiled; nothing is added where nothing was.
void AddFaults(Json& truth, const Setting& set, const CaptureTruth& capture) {
  for (const auto& p : capture.bad_pixels) {
    if (p.kind == BadPixel::Kind::kDrifting) {
      truth["drifting_pixels"].push_back({p.at.x, p.at.y});
    }
  }
  if (!capture.jumps.empty()) truth["jump_frames"] = capture.jumps;
  if (!capture.doubled.empty()) truth["doubled_frames"] = capture.doubled;
  if (set.scenario.lost_frames > 0) truth["lost_frames"] = static_cast<int>(set.scenario.lost_frames);
  const std::size_t faulty = FaultyTime(set.scenario, set.times_s.size());
  if (faulty > 0) truth["time_fault_frame"] = faulty;
  if (set.scenario.row_k > 0) truth["row_k"] = Rounded(set.scenario.row_k);
  for (std::size_t n = 0; n < capture.object_share.size(); ++n) {
    if (capture.object_share[n] < 0.01) continue;
    truth["object_frames"].push_back({n, Rounded(capture.object_share[n])});
  }
}

}  // namespace

Json MakeTruth(const Setting& set, const CaptureTruth& capture) {
  const Scenario& s = set.scenario;
  Json truth = {{"case", s.name}, {"name", s.kind}, {"seed", s.seed}, {"template", s.kind}};
  truth["board"] = s.board_seed > 0 ? static_cast<std::uint64_t>(s.board_seed) : s.seed;
  truth["side"] = Side(s.top());
  Json sources = Json::array();
  std::size_t measured = 0;
  std::size_t fault = 0;
  for (const auto& source : set.sources) {
    if (source.when != HeatSource::When::kCurrent) continue;
    const std::size_t lane = source.is_fault ? measured++ : 0;
    if (source.power_w == 0) continue;  // Repaired.
    sources.push_back(SourceJson(set, source));
    if (!source.is_fault) continue;
    AddLimits(sources.back(), capture.faults[lane]);
    ++fault;
  }
  truth["cls"] = ClassOf(s, sources);
  truth["faults"] = fault;
  truth["sources"] = sources;
  truth["decoys"] = Decoys(set, capture);
  truth["clock_offset_s"] = Rounded(s.clock_offset_s);  // At the first frame.
  if (s.clock_rate_ppm != 0) truth["clock_rate_ppm"] = Rounded(s.clock_rate_ppm);
  if (s.ramp_s > 0) truth["ramp_s"] = Rounded(s.ramp_s);
  AddPlate(truth, set);
  truth["levels"] = Json::array();
  for (const auto& level : set.drive.levels) {
    truth["levels"].push_back({{"start", Rounded(level.start_s + s.time_origin_s)},
                               {"end", Rounded(level.end_s + s.time_origin_s)},
                               {"amps", Rounded(level.amps)}});
  }
  truth["diode"] = fault > 0 && s.fault_exponent < 1.5;
  truth["camera"] = Camera(set);
  truth["thermal"] = Thermal(s);
  truth["frames"] = set.times_s.size();
  truth["sigma_k"] = Rounded(s.netd_k);
  truth["motion"] = s.motion;
  truth["shutter_frames"] = Json::array();
  for (const auto& e : capture.shutter_events)
    truth["shutter_frames"].push_back({e.first, e.length});
  truth["bad_pixels"] = Json::array();
  for (const auto& p : capture.bad_pixels) truth["bad_pixels"].push_back({p.at.x, p.at.y});
  AddFaults(truth, set, capture);
  truth["time_origin_s"] = Rounded(s.time_origin_s);
  truth["homography_board_to_frame"] = MatrixJson(set.frame_from_board.matrix);
  truth["homography_board_to_photo"] = MatrixJson(set.photo_from_board.matrix);
  if (s.photo_distortion != 0) truth["photo_distortion"] = Rounded(s.photo_distortion);
  truth["shifts"] = Json::array();
  const bool sways = !set.tilt_sway_deg.empty();
  for (std::size_t n = 0; n < set.motion.size(); ++n) {
    const PlaneMap map = set.FrameFromFirst(n);
    const Similarity m = sways ? BestSimilarity(map, set.view.size_px) : set.motion[n];
    truth["shifts"].push_back(
        {Fixed(m.dx_px), Fixed(m.dy_px), Fixed(m.rotation_deg), Rounded(m.scale, 7)});
    if (sways) truth["maps_from_first"].push_back(MatrixJson(map.matrix));
  }
  return truth;
}

}  // namespace ohmglow::simulate
