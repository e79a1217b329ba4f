// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/results.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "ohmglow/base/error.h"

namespace ohmglow::calibrate {
namespace {

using Json = nlohmann::json;
namespace fs = std::filesystem;

// A place this near is the fault's, as the scorer of the captures with known
// truth counts it; heat from the far side comes out where the board lets it.
constexpr double kNearPx = 2;
constexpr double kNearMm = 1.2;
constexpr double kFarPx = 3;
constexpr double kFarMm = 3.5;

Json Read(const fs::path& path) {
  std::ifstream file(path);
  if (!file) throw InputError(path.string() + ": cannot be opened");
  try {
    return Json::parse(file);
  } catch (const Json::exception& e) {
    throw InputError(path.string() + ": no JSON: " + e.what());
  }
}

bool Hits(const Json& place, const Json& source) {
  const bool near = source.at("near").get<bool>();
  const double scale_mm = source.at("mm_per_pixel").get<double>();
  const double tolerance_px =
      near ? std::max(kNearPx, kNearMm / scale_mm) : std::max(kFarPx, kFarMm / scale_mm);
  return std::hypot(place.at("frame_x").get<double>() - source.at("frame_x").get<double>(),
                    place.at("frame_y").get<double>() - source.at("frame_y").get<double>()) <=
         tolerance_px;
}

Place ReadPlace(const Json& json, const std::vector<std::string>& names) {
  Place place;
  place.confidence = json.at("confidence").get<double>();
  for (const std::string& name : names) {
    double value = 0;
    for (const Json& row : json.at("evidence")) {
      if (row.at("name") == name) value = row.at("value").get<double>();
    }
    place.values.push_back(value);
  }
  return place;
}

Capture ReadCapture(const Json& result, const Json& truth, const std::vector<std::string>& names) {
  Capture capture;
  capture.name = truth.at("case").get<std::string>();
  std::vector<Json> faults;
  for (const Json& source : truth.at("sources")) {
    if (source.at("is_fault").get<bool>()) faults.push_back(source);
  }
  capture.num_faults = static_cast<int>(faults.size());
  for (const Json& row : result.at("candidates")) {
    Place place = ReadPlace(row, names);
    place.is_fault = std::any_of(
        faults.begin(), faults.end(), [&](const Json& fault) { return Hits(row, fault); });
    capture.places.push_back(std::move(place));
  }
  return capture;
}

}  // namespace

std::vector<Capture> ReadCaptures(const fs::path& results,
                                  const fs::path& truth,
                                  const std::vector<std::string>& names) {
  if (!fs::is_directory(results)) {
    throw InputError(results.string() + ": no such folder; name the folder of result folders");
  }
  std::vector<fs::path> folders;
  for (const fs::directory_entry& entry : fs::directory_iterator(results)) {
    const fs::path known = truth / (entry.path().filename().string() + ".truth.json");
    if (fs::exists(entry.path() / "result.json") && fs::exists(known)) {
      folders.push_back(entry.path());
    }
  }
  std::sort(folders.begin(), folders.end());
  std::vector<Capture> captures;
  for (const fs::path& folder : folders) {
    const fs::path file = folder / "result.json";
    try {
      captures.push_back(ReadCapture(
          Read(file), Read(truth / (folder.filename().string() + ".truth.json")), names));
    } catch (const Json::exception& e) {
      throw InputError(file.string() + " or its truth: " + e.what());
    }
  }
  return captures;
}

}  // namespace ohmglow::calibrate
