// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "desk/case_text.h"
#include "desk/desk.h"
#include "desk/drawn_parts.h"
#include "desk/inside.h"
#include "desk/own_file.h"
#include "desk/replies.h"
#include "desk/snap.h"
#include "desk/table_edits.h"
#include "desk/tables.h"
#include "input/case_keys.h"
#include "input/ini_file.h"
#include "input/load_case.h"
#include "input/text.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

// What the page may set; all else stands in the file for those who know it.
constexpr std::array<std::string_view, 16> kOwnKeys{"title",
                                                    "frames.source",
                                                    "frames.unit",
                                                    "frames.rate_hz",
                                                    "supply.log",
                                                    "supply.levels",
                                                    "supply.clock_offset_s",
                                                    "board.side",
                                                    "board.mm_per_pixel",
                                                    "board.thickness_mm",
                                                    "board.photo",
                                                    "board.parts",
                                                    "board.points",
                                                    "board.contacts",
                                                    "surface.emissivity",
                                                    "surface.regions"};

void CheckText(const std::string& text, const Place& place, const fs::path& file, bool was_whole) {
  const IniFile ini(file, text, CaseKeys());
  // Before anything that it names is looked at.
  RequireInside(place.root, ListNamedFiles(ini, file.parent_path()));
  // What was not whole before need not be now: one question is answered after the other.
  if (was_whole) static_cast<void>(ReadCase(ini, file.parent_path()));
}

Json Thinned(const std::vector<double>& values) {
  constexpr std::size_t kMost = 1200;
  const std::size_t step = std::max<std::size_t>(1, values.size() / kMost);
  Json out = Json::array();
  for (std::size_t i = 0; i < values.size(); i += step) out.push_back(values[i]);
  return out;
}

}  // namespace

void Desk::Change(std::vector<Edit> edits) {
  changes_.Make(root_, std::move(edits));
  const std::lock_guard lock(mutex_);
  capture_.reset();
}

Place Desk::At() {
  const std::lock_guard lock(mutex_);
  if (place_.at.empty()) throw OptionError("choose a case first");
  return place_;
}

Desk::Look Desk::LookAt() {
  Look look;
  look.capture = Opened();
  // Frames need not be read again because a landmark was set.
  look.frames_stamp =
      StampOf(look.capture->files, "frames.") + FormatNumber(look.capture->job.emissivity);
  return look;
}

Reply Desk::SendTables(const Ask& /*ask*/) {
  const Look look = LookAt();
  Json json = ToTables(*look.capture);
  json["case_version"] = VersionOf(BytesOf(CaseFileOf(look.capture->place, look.capture->survey)));
  const std::lock_guard saving(saving_);
  json["undo"] = changes_.size();
  return JsonReply(json);
}

Reply Desk::SendStill(const Ask& ask) {
  const Look look = LookAt();
  const auto of = ask.query.find("of");
  if (of == ask.query.end() || of->second == "rest") {
    return PixelReply(stills_.Rest(look.capture->job, look.frames_stamp));
  }
  if (of->second != "rise") throw OptionError("there is no such picture");
  return PixelReply(stills_.Whole(look.capture->job, look.frames_stamp).rise);
}

Reply Desk::SendCourse(const Ask& /*ask*/) {
  const Look look = LookAt();
  const Case& job = look.capture->job;
  Json json{{"time_s", Thinned(job.frame_times_s)},
            {"mean", Thinned(stills_.Whole(job, look.frames_stamp).means)},
            {"kelvin", job.frames->values() == FrameValues::kKelvin}};
  if (job.supply) {
    json["supply"] = {{"time_s", Thinned(job.supply->time_s)},
                      {"amps", Thinned(job.supply->amps_a)}};
    if (job.clock_offset_s) json["supply"]["offset_s"] = *job.clock_offset_s;
  }
  return JsonReply(json);
}

Reply Desk::SendSnap(const Ask& ask) {
  const Look look = LookAt();
  const Point near_px = PointOf(ask);
  const auto in = ask.query.find("in");
  const bool in_photo = in != ask.query.end() && in->second == "photo";
  Point at;
  if (in_photo) {
    const cv::Mat& photo = look.capture->job.photo;
    if (photo.empty()) throw OptionError("the case has no photo");
    // Around the place alone: a photo has millions of points.
    const double radius_px = std::max(6.0, 0.006 * std::max(photo.cols, photo.rows));
    const int reach = static_cast<int>(4 * radius_px) + 8;
    const cv::Rect window =
        cv::Rect(
            cvRound(near_px.x) - reach, cvRound(near_px.y) - reach, 2 * reach + 1, 2 * reach + 1) &
        cv::Rect({0, 0}, photo.size());
    if (window.empty()) throw OptionError("the place is beside the photo");
    cv::Mat grey;
    cv::cvtColor(photo(window), grey, cv::COLOR_BGR2GRAY);
    Image part;
    grey.convertTo(part, CV_32F);
    const Point corner(window.x, window.y);
    at = NearestCorner(part, near_px - corner, radius_px) + corner;
  } else {
    constexpr double kRadiusPx = 3;
    at = NearestCorner(stills_.Rest(look.capture->job, look.frames_stamp), near_px, kRadiusPx);
  }
  return JsonReply({{"x", at.x}, {"y", at.y}});
}

Reply Desk::Propose(const Ask& /*ask*/) {
  const Look look = LookAt();
  const Case& job = look.capture->job;
  if (job.photo.empty()) throw OptionError("the case has no photo");
  const Image rest = stills_.Rest(job, look.frames_stamp);
  const PhotoAlignment found = AlignPhoto({rest, Mask(rest == rest)}, job.photo, {});
  const cv::Matx33d& matrix = found.photo_from_frame.matrix;
  return JsonReply(
      {{"accepted", found.accepted},
       {"trust", found.trust},
       {"error_px", found.error_px},
       {"photo_from_frame", std::vector<double>(std::begin(matrix.val), std::end(matrix.val))}});
}

Reply Desk::SaveTable(
    const Ask& ask,
    const std::string& key,
    const std::string& fallback,
    const std::function<std::string(const std::string&, const Json&, const Capture&)>& with) {
  const Json wanted = Json::parse(ask.body);
  {
    const std::lock_guard saving(saving_);
    const Look look = LookAt();
    const Capture& capture = *look.capture;
    const OwnTable table = TableOf(capture, key, fallback);
    if (!IsInside(root_, table.file)) {
      throw OutputError(table.file.string() + ": a link leads elsewhere");
    }
    const std::string text = BytesOf(table.file).value_or("");
    Change(EditsOf(capture,
                   {{key,
                     fallback,
                     wanted.at("version").get<std::string>(),
                     with("", Json::array(), capture),
                     with(text, wanted.at("rows"), capture)}}));
  }
  return SendTables(ask);
}

Reply Desk::SaveLandmarks(const Ask& ask) {
  return SaveTable(ask,
                   "board.points",
                   "points.csv",
                   [](const std::string& text, const Json& rows, const Capture& capture) {
                     return WithLandmarks(
                         text, rows, capture.shrink, FrameAxesMm(capture.job.landmarks));
                   });
}

Reply Desk::SaveContacts(const Ask& ask) {
  return SaveTable(ask,
                   "board.contacts",
                   "contacts.csv",
                   [](const std::string& text, const Json& rows, const Capture& capture) {
                     return WithContacts(text, rows, capture.shrink);
                   });
}

Reply Desk::SaveSetting(const Ask& ask) {
  const Json wanted = Json::parse(ask.body);
  const std::string key = wanted.at("key").get<std::string>();
  std::string value = wanted.at("value").get<std::string>();
  if (std::find(kOwnKeys.begin(), kOwnKeys.end(), key) == kOwnKeys.end()) {
    throw OptionError("this is set in the case file alone");
  }
  const std::lock_guard saving(saving_);
  const Place place = At();
  FolderSurvey survey;
  if (fs::is_directory(place.at)) survey = SurveyFolder(place.at, options_.choice);
  const fs::path file = CaseFileOf(place, survey);
  if (!IsInside(root_, file)) throw OutputError(file.string() + ": a link leads elsewhere");
  const bool is_path =
      std::find(kCasePathKeys.begin(), kCasePathKeys.end(), key) != kCasePathKeys.end();
  if (is_path && !IsInside(root_, file.parent_path() / value)) {
    throw OptionError("the file is not below the folder that the desk was opened on");
  }
  const auto bytes = BytesOf(file);
  bool whole = true;
  try {
    const std::shared_ptr<const Capture> capture = Opened();
    // The page measures in points of the frames.
    const auto number = ParseNumber(value);
    if (key == "board.mm_per_pixel" && capture->shrink > 1 && number) {
      value = FormatNumber(*number / capture->shrink);
    }
  } catch (const Error&) {
    whole = false;
  }
  const std::string text = WithKey(bytes ? *bytes : ToCaseFile(survey), key, value);
  CheckText(text, place, file, whole);
  Change(
      {{file, wanted.at("version").get<std::string>(), bytes.value_or(ToCaseFile(survey)), text}});
  return JsonReply({{"case_version", VersionOf(text)}});
}

Reply Desk::Undo(const Ask& ask) {
  {
    const std::lock_guard saving(saving_);
    changes_.TakeBack(root_);
    const std::lock_guard lock(mutex_);
    capture_.reset();
  }
  return SendTables(ask);
}

}  // namespace ohmglow::desk
