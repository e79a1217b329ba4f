// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/sheet_files.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "input/byte_source.h"
#include "input/ini_file.h"
#include "input/picture_file.h"
#include "input/text.h"
#include "input/tiff_pages.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "words/shown_text.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

[[noreturn]] void Fail(const fs::path& file, const std::string& what) {
  throw InputError(file.string() + ": " + what);
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
  cv::Mat image = ReadPicture(ByteSource(file, named_by), named_by);
  if (image.depth() == CV_16U) image.convertTo(image, CV_8U, 1 / 257.0);
  if (image.channels() == 4) return OnPaper(image);
  if (image.channels() == 1) cv::cvtColor(image, image, cv::COLOR_GRAY2BGR);
  return image;
}

// A map of kelvin; of the given size where there is one.
Image ReadMap(const fs::path& file, const std::string& named_by, cv::Size size_px) {
  const ByteSource source(file, named_by);
  cv::Mat map;
  if (IsTiff(source.Peek(0, 4))) TiffPages(source).Read(0, map);
  if (map.type() != CV_32FC1) {
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

std::size_t NumReplacements(std::string_view text) {
  constexpr std::string_view kReplacement = "\uFFFD";
  std::size_t num = 0;
  for (std::size_t at = text.find(kReplacement); at != std::string_view::npos;
       at = text.find(kReplacement, at + kReplacement.size())) {
    ++num;
  }
  return num;
}

RepairVerdict VerdictOf(const std::string& text, const fs::path& file) {
  if (text == "repaired") return RepairVerdict::kRepaired;
  if (text == "not_repaired") return RepairVerdict::kNotRepaired;
  if (text == "new_place") return RepairVerdict::kNewPlace;
  if (text == "undecided") return RepairVerdict::kUndecided;
  Fail(file, "verdict " + Quoted(text) + " is unknown; make the folder again with this version");
}

std::optional<RegionCheck::Numbers> RegionNumbersFrom(const Json& row, const char* key) {
  if (!row.contains(key)) return std::nullopt;
  return RegionCheck::Numbers{row.at(key).at("mean_c").get<double>(),
                              row.at(key).at("spread_k").get<double>()};
}

// Only places of the first capture have limits of its power.
std::vector<Point> FirstPlaces(const Json& places, bool only_suspects) {
  std::vector<Point> found;
  for (const Json& row : places) {
    if (!row.contains("before_low_w") || !row.contains("frame_x") || !row.contains("frame_y"))
      continue;
    if (only_suspects && !row.value("suspect", true)) continue;
    found.emplace_back(row.at("frame_x").get<double>(), row.at("frame_y").get<double>());
  }
  return found;
}

bool HasNear(const std::vector<Point>& points, Point at) {
  constexpr double kSamePlacePx = 0.5;
  return std::any_of(points.begin(), points.end(), [&](Point p) {
    return std::abs(p.x - at.x) <= kSamePlacePx && std::abs(p.y - at.y) <= kSamePlacePx;
  });
}

bool PlacesAgree(const Json& places, const LocateResult& result) {
  std::vector<Point> known;
  for (const Candidate& candidate : result.candidates) known.push_back(candidate.frame_px);
  const std::vector<Point> all = FirstPlaces(places, false);
  std::vector<Point> wanted = FirstPlaces(places, true);
  if (!all.empty()) wanted.push_back(all.front());
  return all.empty() == known.empty() && (known.empty() || HasNear(all, known.front())) &&
         std::all_of(wanted.begin(), wanted.end(), [&](Point p) { return HasNear(known, p); });
}

// Two captures of one place differ by the noise of both, one capture by far less.
bool MapsAgree(const Image& before_k, const LocateResult& result) {
  constexpr double kNoiseShare = 0.5;
  if (before_k.size() != result.frame_size_px) return false;
  if (result.response_k.empty() || !(result.noise_response_k > 0)) return true;
  double sum_k2 = 0;
  std::size_t num = 0;
  for (int y = 0; y < before_k.rows; ++y) {
    for (int x = 0; x < before_k.cols; ++x) {
      const double difference_k = before_k(y, x) - result.response_k(y, x);
      if (!std::isfinite(difference_k)) continue;
      sum_k2 += difference_k * difference_k;
      ++num;
    }
  }
  return num == 0 ||
         std::sqrt(sum_k2 / static_cast<double>(num)) <= kNoiseShare * result.noise_response_k;
}

void RequireSameCapture(const Json& json,
                        const RepairCheck& repair,
                        const LocateResult& result,
                        const fs::path& file) {
  const Json& before = json.at("before");
  const bool same_name =
      before.value("title", "") == result.title && before.value("file", "") == result.case_file;
  // Where only regions were compared, the name is all there is; it tells of no repair.
  const bool same = same_name && (repair.only_regions || (PlacesAgree(json.at("places"), result) &&
                                                          MapsAgree(repair.before_k, result)));
  if (same) return;
  Fail(file,
       "is a comparison of another capture, " + Quoted(before.value("title", "")) +
           ", than the result, " + Quoted(result.title) +
           "; run 'ohmglow locate' and 'ohmglow compare' with the same first case");
}

std::optional<RepairCheck::Resistance> ResistanceFrom(const Json& json) {
  const Json row = json.value("resistance", Json::object());
  if (!row.contains("before_ohm") || !row.contains("after_ohm")) return std::nullopt;
  RepairCheck::Resistance out{row.at("before_ohm").get<double>(),
                              row.at("after_ohm").get<double>()};
  // Within 95 % of a normal error.
  out.is_same = row.contains("change_ohm") && row.contains("change_sigma_ohm") &&
                std::abs(row.at("change_ohm").get<double>()) <
                    1.96 * row.at("change_sigma_ohm").get<double>();
  return out;
}

RepairCheck RepairFrom(const Json& json, const fs::path& file, const LocateResult& result) {
  const fs::path folder = file.parent_path();
  RepairCheck repair;
  repair.verdict = VerdictOf(json.at("verdict").get<std::string>(), file);
  if (json.contains("probability")) repair.prob = json.at("probability").get<double>();
  repair.resistance = ResistanceFrom(json);
  for (const Json& row : json.at("places")) {
    // Places that are no fault in either capture would only distract.
    if (!row.value("suspect", true) || !row.contains("frame_x") || !row.contains("frame_y"))
      continue;
    const Point at(row.at("frame_x").get<double>(), row.at("frame_y").get<double>());
    repair.places.push_back({at, row.value("change", "") == "new"});
  }
  repair.only_regions = !json.contains("maps");
  if (repair.only_regions) {
    for (const Json& row : json.value("regions", Json::array())) {
      repair.regions.push_back({row.at("name").get<std::string>(),
                                RegionNumbersFrom(row, "before"),
                                RegionNumbersFrom(row, "after")});
    }
    RequireSameCapture(json, repair, result, file);
    return repair;
  }
  const Json& maps = json.at("maps");
  const auto map = [&](const char* key, cv::Size size_px) {
    const std::string name = maps.at(key).get<std::string>();
    return ReadMap(Beside(folder, name, file), file.filename().string(), size_px);
  };
  repair.before_k = map("before", {});
  repair.after_k = map("after", repair.before_k.size());
  RequireSameCapture(json, repair, result, file);
  repair.outline_k = result.reference_k;
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

std::string ReadUtf8(const fs::path& file, const std::string& named_by) {
  const std::string text = ReadTextFile(file, named_by);
  int line = 0;
  for (std::size_t pos = 0; pos < text.size();) {
    ++line;
    const std::size_t end = std::min(text.find('\n', pos), text.size());
    const std::string_view row = std::string_view(text).substr(pos, end - pos);
    // More of them when shown than there are in the file: bytes that are none.
    if (NumReplacements(internal::CleanText(row, row.size())) > NumReplacements(row)) {
      throw InputError(file.string() + ", line " + std::to_string(line) + ": is not UTF-8 text (" +
                       named_by + "); save the file as UTF-8");
    }
    pos = end + 1;
  }
  return text;
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
  static_cast<void>(ReadUtf8(file, "--shop"));
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
