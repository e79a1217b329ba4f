// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/sheet_files.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "input/binary_file.h"
#include "input/ini_file.h"
#include "input/png_page.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

[[noreturn]] void Fail(const fs::path& file, const std::string& what) {
  throw InputError(file.string() + ": " + what);
}

// Reads with whatever the file holds; empty where it is no picture.
cv::Mat Decode(const fs::path& file, const std::string& named_by) {
  RequireFile(file, named_by);
  if (BinaryFile(file).Peek(0, 4) == "\x89PNG") RequireWholePng(file);
  try {
    return cv::imread(file.string(), cv::IMREAD_UNCHANGED);
  } catch (const cv::Exception&) {
    return {};  // Reported by the caller.
  }
}

// What a logo lets through shows the paper.
cv::Mat OnPaper(const cv::Mat& bgra) {
  cv::Mat bgr(bgra.size(), CV_8UC3);
  for (int y = 0; y < bgra.rows; ++y) {
    for (int x = 0; x < bgra.cols; ++x) {
      const auto& from = bgra.at<cv::Vec4b>(y, x);
      auto& to = bgr.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) {
        to[c] = static_cast<unsigned char>((from[c] * from[3] + 255 * (255 - from[3]) + 127) / 255);
      }
    }
  }
  return bgr;
}

cv::Mat ReadColour(const fs::path& file, const std::string& named_by) {
  cv::Mat image = Decode(file, named_by);
  if (image.depth() == CV_16U) image.convertTo(image, CV_8U, 1 / 257.0);
  const bool known = image.channels() == 1 || image.channels() == 3 || image.channels() == 4;
  if (image.empty() || image.depth() != CV_8U || !known) {
    Fail(file,
         "is no picture that can be read (named by " + named_by + "); save it as PNG or JPEG");
  }
  if (image.channels() == 4) return OnPaper(image);
  if (image.channels() == 1) cv::cvtColor(image, image, cv::COLOR_GRAY2BGR);
  return image;
}

// A map of kelvin; of the given size where there is one.
Image ReadMap(const fs::path& file, const std::string& named_by, cv::Size size_px) {
  const cv::Mat map = Decode(file, named_by);
  if (map.empty() || map.type() != CV_32FC1) {
    Fail(file, "is no map of 32-bit numbers (named by " + named_by + "); make the folder again");
  }
  if (size_px.area() > 0 && map.size() != size_px) {
    Fail(file,
         "is " + std::to_string(map.cols) + " x " + std::to_string(map.rows) + " pixels, not " +
             std::to_string(size_px.width) + " x " + std::to_string(size_px.height) +
             " as its folder says; make the folder again");
  }
  return map;
}

// Files of a result lie in its folder, whatever the name in the text says.
fs::path Beside(const fs::path& folder, const std::string& name, const fs::path& named_in) {
  const fs::path file(name);
  if (name.empty() || file.filename() != file || name == "." || name == "..") {
    Fail(named_in, Quoted(name) + " is no name of a file beside it; make the folder again");
  }
  return folder / file;
}

fs::path RequireInFolder(const fs::path& folder, const char* name, const char* command) {
  if (!fs::is_directory(folder)) {
    Fail(folder, "is no folder; give one that 'ohmglow " + std::string(command) + "' has written");
  }
  if (!fs::exists(folder / name)) {
    Fail(folder,
         "holds no " + std::string(name) + "; give a folder that 'ohmglow " + std::string(command) +
             "' has written");
  }
  return folder / name;
}

RepairVerdict VerdictOf(const std::string& text, const fs::path& file) {
  if (text == "repaired") return RepairVerdict::kRepaired;
  if (text == "not_repaired") return RepairVerdict::kNotRepaired;
  if (text == "new_place") return RepairVerdict::kNewPlace;
  if (text == "undecided") return RepairVerdict::kUndecided;
  Fail(file, "verdict " + Quoted(text) + " is unknown; make the folder again with this version");
}

RepairCheck RepairFrom(const Json& json, const fs::path& file, const LocateResult& result) {
  const fs::path folder = file.parent_path();
  RepairCheck repair;
  repair.verdict = VerdictOf(json.at("verdict").get<std::string>(), file);
  if (json.contains("probability")) repair.prob = json.at("probability").get<double>();
  for (const Json& row : json.at("places")) {
    // Places that are no fault in either capture would only distract.
    if (!row.value("suspect", true) || !row.contains("frame_x") || !row.contains("frame_y"))
      continue;
    const Point at(row.at("frame_x").get<double>(), row.at("frame_y").get<double>());
    repair.places.push_back({at, row.value("change", "") == "new"});
  }
  if (!json.contains("maps")) return repair;  // Regions alone were compared.
  const Json& maps = json.at("maps");
  const auto map = [&](const char* key, cv::Size size_px) {
    const std::string name = maps.at(key).get<std::string>();
    return ReadMap(Beside(folder, name, file), file.filename().string(), size_px);
  };
  repair.before_k = map("before", {});
  repair.after_k = map("after", repair.before_k.size());
  const bool same_capture = json.at("before").value("title", "") == result.title &&
                            result.reference_k.size() == repair.before_k.size();
  if (same_capture) repair.outline_k = result.reference_k;
  return repair;
}

}  // namespace

void ReadResultInto(SheetContent& content, const fs::path& folder) {
  const fs::path file = RequireInFolder(folder, "result.json", "locate");
  content.result = FromJson(ReadTextFile(file), file.string());
  LocateResult& result = content.result;
  for (const SavedPicture& picture : result.pictures) {
    const fs::path path = Beside(folder, picture.file, file);
    if (picture.key == "response") {
      result.response_k = ReadMap(path, "result.json", result.frame_size_px);
    } else if (picture.key == "static") {
      result.reference_k = ReadMap(path, "result.json", result.frame_size_px);
    } else if (picture.key == "photo") {
      content.photo = ReadColour(path, "result.json");
      content.photo_scale = picture.scale;
    }
  }
}

RepairCheck ReadRepair(const fs::path& folder, const LocateResult& result) {
  const fs::path file = RequireInFolder(folder, "compare.json", "compare");
  try {
    return RepairFrom(Json::parse(ReadTextFile(file)), file, result);
  } catch (const Json::exception& error) {
    std::string what = error.what();
    if (const auto end = what.find("] "); end != std::string::npos) what.erase(0, end + 2);
    Fail(file, "is no result of 'ohmglow compare' (" + what.substr(0, 150) + "); make it again");
  }
}

Shop ReadShop(const fs::path& file) {
  static const std::array<std::string, 7> known{
      "shop.name", "shop.logo", "shop.address", "shop.phone", "shop.mail", "shop.web", "shop.tax"};
  const IniFile ini(file, known);
  const auto text = [&](const char* key) {
    const auto entry = ini.Find(key);
    return entry ? entry->value : std::string();
  };
  Shop shop{text("shop.name"),
            text("shop.address"),
            text("shop.phone"),
            text("shop.mail"),
            text("shop.web"),
            text("shop.tax"),
            {}};
  if (const std::string logo = text("shop.logo"); !logo.empty()) {
    shop.logo = ReadColour(file.parent_path() / logo, "shop.logo");
  }
  return shop;
}

}  // namespace ohmglow::cli
