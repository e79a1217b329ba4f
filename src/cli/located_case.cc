// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/located_case.h"

#include <algorithm>
#include <future>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "cli/map_tiff.h"
#include "cli/open_case.h"
#include "input/case_remarks.h"
#include "input/png_codec.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/growth_report.h"
#include "ohmglow/picture/pictures.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/twosided/two_sided.h"

namespace ohmglow::cli {
namespace {

// Enough for a printed page, and small beside the frames.
constexpr double kSavedPhotoPx = 1600;
// As many as the folder may hold, and as the overlay draws.
constexpr std::size_t kMostPlots = 8;
constexpr std::size_t kMostCrops = 3;

double SavedScale(const cv::Mat& photo) {
  return std::min(1.0, kSavedPhotoPx / std::max(photo.cols, photo.rows));
}

cv::Mat SavedPhoto(const cv::Mat& photo, double scale) {
  if (scale == 1) return photo;
  cv::Mat small;
  cv::resize(photo, small, cv::Size(), scale, scale, cv::INTER_AREA);
  return small;
}

struct Map {
  std::string key;
  std::string unit;
  Image values;
  std::string meaning;
};

std::vector<Map> Maps(const LocateResult& result) {
  if (result.values == FrameValues::kRelative) {
    return {{"response",
             "largest rise",
             result.response_k,
             "Rise that follows the supply, at the end of the highest current; 1 is the largest "
             "rise among the places."},
            {"static", "largest rise", result.reference_k, "The picture before the heating."}};
  }
  return {
      {"response",
       "K",
       result.response_k,
       "Rise that follows the supply, at the end of the highest current."},
      {"static", "K", result.reference_k, "Temperature before the heating."},
      {"power",
       "W",
       result.power_w,
       "Heat at the highest current, sharpened: a part of 2 mm on the side seen peaks near its "
       "power; bodies and boards of another kind several times off. NaN: not seen."},
      {"limit",
       "W",
       result.limit_w,
       "Power with which a part of 2 mm on the side seen stands out of the noise here with 95 % "
       "probability, at the highest current. NaN: not seen."}};
}

// Files of a result; pictures are encoded while the next ones are drawn, where
// more than one thread may be used.
class Files {
 public:
  void Add(const std::string& name, std::string bytes) {
    files_.push_back({name, std::move(bytes)});
  }
  void AddPicture(const std::string& name, cv::Mat picture) {
    const auto how = cv::getNumThreads() > 1 ? std::launch::async : std::launch::deferred;
    coming_.emplace_back(files_.size(), std::async(how, [picture = std::move(picture), name] {
                           return Encode(picture, name);
                         }));
    files_.push_back({name, {}});
  }
  [[nodiscard]] std::vector<ResultFile> Take() {
    for (auto& [index, bytes] : coming_) files_[index].bytes = bytes.get();
    coming_.clear();
    return std::move(files_);
  }

 private:
  std::vector<ResultFile> files_;
  std::vector<std::pair<std::size_t, std::future<std::string>>> coming_;
};

void AddGrowth(const Words& words, LocateResult& result, Files& files) {
  files.Add("growth.csv", ToGrowthCsv(result));
  const std::size_t count = std::min(kMostPlots, result.candidates.size());
  for (std::size_t place = 1; place <= count; ++place) {
    const std::string number = std::to_string(place);
    const std::string name = "growth-" + number + ".png";
    files.AddPicture(name, DrawGrowth(result, place, words));
    result.pictures.push_back({"growth_" + number,
                               name,
                               "",
                               1,
                               "Rise and warm area of place " + number +
                                   " against time and current; the numbers are its growth here."});
  }
}

// Places that may be a fault and that no part names, enlarged.
void AddCrops(const cv::Mat& photo, const Words& words, LocateResult& result, Files& files) {
  for (std::size_t i = 0; i < std::min(kMostCrops, result.candidates.size()); ++i) {
    const Candidate& candidate = result.candidates[i];
    if (candidate.confidence < kFaultConfidence || !candidate.parts.empty()) continue;
    const std::string number = std::to_string(i + 1);
    const std::string name = "place-" + number + ".png";
    const cv::Mat crop = DrawCrop(result, i + 1, photo, words);
    if (crop.empty()) continue;  // Beside the photo: the overlay says so.
    files.AddPicture(name, crop);
    result.pictures.push_back(
        {"place_" + number, name, "", 1, "Place " + number + " and 12 mm around it."});
  }
}

}  // namespace

LocatedCase LocateCase(const std::filesystem::path& case_or_folder,
                       const SurveyChoice& choice,
                       LocateOptions options,
                       const std::function<void(double)>& progress) {
  LocatedCase located;
  located.job = OpenCase(case_or_folder, choice).job;
  options.progress = progress;
  located.result = Locate(located.job, options);
  return located;
}

LocatedCase LocateBothSides(const std::filesystem::path& case_file,
                            const std::filesystem::path& other_side,
                            LocateOptions options,
                            const std::function<void(double)>& progress) {
  LocatedCase located;
  located.job = OpenCase(case_file, LeavingOurResults()).job;
  const Case other = OpenCase(other_side, LeavingOurResults()).job;
  options.progress = progress;
  TwoSidedOptions both;
  both.locate = std::move(options);
  located.result = LocateTwoSided(located.job, other, both);
  return located;
}

std::string Encode(const cv::Mat& picture, const std::string& name) {
  if (std::filesystem::path(name).extension() != ".tiff") return EncodePng(picture);
  return MapTiff(picture, "Unit: K.", 0);
}

std::vector<ResultFile> MakeLocateFiles(LocatedCase& located, bool growth, const Words& words) {
  LocateResult& result = located.result;
  const cv::Mat& photo = located.job.photo;
  Files files;
  files.Add("motion.csv", ToMotionCsv(result.alignment));
  files.AddPicture("overlay.png", DrawOverlay(result, photo, located.job.parts, words));
  files.AddPicture("map.png", DrawMap(result, {}, words));
  // Without kelvin there is no power to draw.
  if (!result.power_w.empty()) files.AddPicture("power.png", DrawPowerMap(result, words));
  result.pictures.clear();
  // No program should read lengths off a scale that is a guess.
  const double mm_per_pixel = ScaleIsGuess(result.assumed) ? 0 : result.mm_per_pixel;
  for (const Map& map : Maps(result)) {
    result.pictures.push_back({map.key, map.key + ".tiff", map.unit, 1, map.meaning});
    files.Add(map.key + ".tiff",
              MapTiff(map.values, map.meaning + " Unit: " + map.unit + ".", mm_per_pixel));
  }
  if (!photo.empty()) {
    const double scale = SavedScale(photo);
    result.pictures.push_back({"photo", "board_photo.png", "", scale});
    files.AddPicture("board_photo.png", SavedPhoto(photo, scale));
  }
  AddCrops(photo, words, result, files);
  if (growth) AddGrowth(words, result, files);
  files.Add("result.json", ToJson(result));
  return files.Take();
}

}  // namespace ohmglow::cli
