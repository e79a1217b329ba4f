// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/desk.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "desk/assets.h"
#include "desk/inside.h"
#include "desk/own_file.h"
#include "desk/replies.h"
#include "input/jpeg_codec.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

constexpr int kJpegQuality = 85;
// What a browser shows without trouble.
constexpr int kMostPhotoPx = 4096;

const char* NameOf(Standing::State state) {
  switch (state) {
    case Standing::State::kIdle:
      return "idle";
    case Standing::State::kRunning:
      return "running";
    case Standing::State::kDone:
      return "done";
    case Standing::State::kFailed:
      return "failed";
    case Standing::State::kStopped:
      return "stopped";
  }
  return "idle";
}

Json Told(const Standing& standing) {
  return {{"state", NameOf(standing.state)},
          {"share", standing.share},
          {"error", standing.error},
          {"number", standing.number},
          {"has", standing.has}};
}

Json SizeOf(const cv::Size& size) { return {{"width", size.width}, {"height", size.height}}; }

Json Described(const Capture& capture) {
  const Case& job = capture.job;
  Json json{{"title", job.title},
            {"frames", SizeOf(job.frames->size_px())},
            {"count", job.frames->count()},
            {"mm_per_pixel", job.mm_per_pixel},
            {"side", job.side == BoardSide::kTop ? "top" : "bottom"},
            {"landmarks", job.landmarks.size()},
            {"parts", job.parts.size()},
            {"kelvin", job.frames->values() == FrameValues::kKelvin},
            {"supply", job.supply.has_value() || job.levels.size() >= 2}};
  if (!job.photo.empty()) {
    json["photo"] = SizeOf(job.photo.size());
    json["photo"]["stamp"] =
        std::to_string(std::hash<std::string>{}(StampOf(capture.files, "board.photo")));
  }
  Json files = Json::array();
  for (const NamedFiles& named : capture.files) {
    files.push_back({{"key", named.key}, {"name", named.name}});
  }
  json["files"] = std::move(files);
  return json;
}

// As far as it is known without a look at everything.
fs::path CaseFileAt(const fs::path& at) { return fs::is_directory(at) ? at / "case.ini" : at; }

// Of a folder whose case is not whole: which of several files is meant.
Json QuestionsOf(const fs::path& at, const SurveyChoice& choice) {
  Json questions = Json::array();
  if (!fs::is_directory(at)) return questions;
  for (const SurveyQuestion& question : SurveyFolder(at, choice).questions) {
    questions.push_back({{"key", question.key},
                         {"files", question.candidates},
                         {"text", question.text},
                         {"needed", question.needed}});
  }
  return questions;
}

// For a first look smaller: what a browser decodes at once.
std::string PhotoJpeg(const cv::Mat& photo, int most_px) {
  const double scale = static_cast<double>(most_px) / std::max(photo.cols, photo.rows);
  if (scale >= 1) return EncodeJpeg(photo, kJpegQuality);
  cv::Mat small;
  cv::resize(photo, small, {}, scale, scale, cv::INTER_AREA);
  return EncodeJpeg(small, kJpegQuality);
}

}  // namespace

Desk::Desk(DeskOptions options) : options_(std::move(options)) {
  const fs::path& place = options_.place;
  std::error_code code;
  if (!fs::exists(place, code)) {
    throw InputError(place.string() + ": there is no such file or folder; give a case or a folder");
  }
  place_.at = place;
  root_ = fs::is_directory(place, code) ? place : fs::absolute(place).parent_path();
  place_.root = root_;
  shelf_ = FindShelf(place);
  if (!shelf_.empty()) place_.at.clear();
}

const std::vector<Desk::Route>& Desk::Routes() {
  static const std::vector<Route> routes{{"GET", "api/state", &Desk::TellState},
                                         {"POST", "api/choose", &Desk::ChooseCase},
                                         {"POST", "api/contact-sheet", &Desk::StartContactSheet},
                                         {"GET", "api/contact-sheet", &Desk::SendContactSheet},
                                         {"GET", "api/thumbnail", &Desk::SendThumbnail},
                                         {"GET", "api/photo", &Desk::SendPhoto},
                                         {"POST", "api/end", &Desk::End},
                                         {"GET", "api/tables", &Desk::SendTables},
                                         {"GET", "api/still", &Desk::SendStill},
                                         {"GET", "api/course", &Desk::SendCourse},
                                         {"GET", "api/snap", &Desk::SendSnap},
                                         {"POST", "api/propose", &Desk::Propose},
                                         {"POST", "api/landmarks", &Desk::SaveLandmarks},
                                         {"POST", "api/contacts", &Desk::SaveContacts},
                                         {"POST", "api/setting", &Desk::SaveSetting},
                                         {"POST", "api/levels", &Desk::SaveLevels},
                                         {"POST", "api/part", &Desk::SavePart},
                                         {"POST", "api/region", &Desk::SaveRegion},
                                         {"POST", "api/undo", &Desk::Undo},
                                         {"POST", "api/run", &Desk::StartRun},
                                         {"POST", "api/stop", &Desk::StopRun},
                                         {"GET", "api/result", &Desk::SendResult},
                                         {"GET", "api/map", &Desk::SendMap},
                                         {"GET", "api/parts", &Desk::SendParts},
                                         {"GET", "api/curve", &Desk::SendCurve},
                                         {"GET", "api/film", &Desk::SendFilm},
                                         {"GET", "api/film-picture", &Desk::SendFilmPicture},
                                         {"GET", "api/colours", &Desk::SendColours},
                                         {"POST", "api/keep", &Desk::KeepResult},
                                         {"POST", "api/what-if", &Desk::StartWhatIf},
                                         {"POST", "api/compare", &Desk::StartCompare},
                                         {"GET", "api/compared", &Desk::SendCompared},
                                         {"GET", "api/compared-map", &Desk::SendComparedMap},
                                         {"POST", "api/sheet", &Desk::SendSheet},
                                         {"GET", "api/shop", &Desk::SendShop},
                                         {"POST", "api/shop", &Desk::SaveShop}};
  return routes;
}

Reply Desk::Answer(const Ask& ask) {
  for (const Route& route : Routes()) {
    if (ask.method == route.method && ask.path == route.path) return (this->*route.handler)(ask);
  }
  const Asset* const asset =
      ask.method == "GET" ? FindAsset(ask.path.empty() ? "index.html" : ask.path) : nullptr;
  if (asset == nullptr) return JsonReply({{"error", "there is nothing of that name"}}, 404);
  return {200, std::string(asset->type), std::string(asset->bytes), {}};
}

std::shared_ptr<const Capture> Desk::Opened() {
  const std::lock_guard lock(mutex_);
  if (place_.at.empty()) throw OptionError("choose a case first");
  if (capture_ && StampNow(*capture_) == capture_->stamp) return capture_;
  capture_ = std::make_shared<const Capture>(OpenCapture(place_, options_.choice));
  return capture_;
}

void Desk::LookAhead() {
  try {
    const Look look = LookAt();
    static_cast<void>(stills_.Rest(look.capture->job, look.frames_stamp));
  } catch (const std::exception&) {
    return;  // The page asks, and is told.
  }
}

Reply Desk::TellState(const Ask& /*ask*/) {
  Json json{{"run", Told(run_.standing())},
            {"second", Told(second_.standing())},
            {"compared", Told(compared_.standing())},
            {"sheets", Told(sheets_.standing())}};
  fs::path at;
  {
    const std::lock_guard lock(mutex_);
    at = place_.at;
  }
  json["shelf"] = ToShelf(at);
  if (at.empty()) return JsonReply(json);
  // A case that cannot be read is no fault of the request: the page shows why.
  try {
    const std::shared_ptr<const Capture> capture = Opened();
    json["case"] = Described(*capture);
    json["case_version"] = VersionOf(BytesOf(CaseFileAt(at)));
    json["stamp"] = std::to_string(std::hash<std::string>{}(capture->stamp));
  } catch (const Error& error) {
    json["case_version"] = VersionOf(BytesOf(CaseFileAt(at)));
    json["problem"] = error.what();
    json["questions"] = QuestionsOf(at, options_.choice);
  }
  return JsonReply(json);
}

Reply Desk::SendPhoto(const Ask& ask) {
  const std::shared_ptr<const Capture> capture = Opened();
  if (capture->job.photo.empty()) throw OptionError("the case has no photo");
  const double most = ask.query.contains("most") ? NumberOf(ask, "most") : kMostPhotoPx;
  if (!(most >= 1)) throw OptionError("the photo must be larger");
  const int most_px = static_cast<int>(std::min<double>(most, kMostPhotoPx));
  return {200, "image/jpeg", PhotoJpeg(capture->job.photo, most_px), {}};
}

Reply Desk::End(const Ask& /*ask*/) {
  run_.Stop();
  second_.Stop();
  compared_.Stop();
  sheets_.Stop();
  options_.end();
  return JsonReply({{"ended", true}});
}

}  // namespace ohmglow::desk
