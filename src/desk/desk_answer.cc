// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <utility>

#include "desk/desk.h"
#include "desk/drawn_parts.h"
#include "desk/inside.h"
#include "desk/replies.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "picture/color_scale.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

constexpr const char* kResultFolder = "result";

Json RowsOf(const cv::Matx33d& matrix) {
  return std::vector<double>(std::begin(matrix.val), std::end(matrix.val));
}

// As result.json has it, in the words of the page, and what the page draws with: maps, whole and
// with the lens.
Json WithMaps(const LocateResult& result, const Words& words) {
  Json json = Json::parse(ToJson(result, words));
  Json maps = Json::object();
  if (result.maps.photo_from_frame) {
    maps["photo_from_frame"] = RowsOf(result.maps.photo_from_frame->matrix);
  }
  if (result.maps.photo_lens) {
    const RadialLens& lens = *result.maps.photo_lens;
    maps["photo_lens"] = {{"x", lens.center_px.x},
                          {"y", lens.center_px.y},
                          {"radius", lens.radius_px},
                          {"k1", lens.k1},
                          {"k2", lens.k2}};
  }
  if (result.maps.board_from_frame) {
    maps["board_from_frame"] = RowsOf(result.maps.board_from_frame->matrix);
  }
  json["maps"] = std::move(maps);
  return json;
}

const Image& MapOf(const LocateResult& result, const std::string& name) {
  if (name == "rest") return result.reference_k;
  if (name == "rise") return result.response_k;
  if (name == "power") return result.power_w;
  if (name == "limit") return result.limit_w;
  throw OptionError("there is no such picture");
}

}  // namespace

std::shared_ptr<const Found> Desk::NeedFound() const {
  auto found = run_.result();
  if (!found) throw OptionError("nothing is computed yet");
  return found;
}

std::shared_ptr<const Found> Desk::Asked(const Ask& ask) const {
  if (!ask.query.contains("second")) return NeedFound();
  auto found = second_.result();
  if (!found) throw OptionError("nothing was left out yet");
  return found;
}

Reply Desk::StartRun(const Ask& /*ask*/) {
  const std::lock_guard saving(saving_);
  const Place place = At();
  if (Busy()) return JsonReply({{"error", "another computation runs"}}, 409);
  std::shared_ptr<const Capture> shown;
  {
    const std::lock_guard lock(mutex_);
    shown = capture_;
  }
  const bool started =
      run_.Start([place, shown, options = options_.locate, choice = options_.choice](
                     const std::function<void(double)>& progress) {
        LocateOptions own = options;
        own.progress = progress;
        Capture capture = OpenCapture(place, choice);
        // One photo is enough of millions of points.
        if (shown && shown->stamp == capture.stamp) capture.job.photo = shown->job.photo;
        return std::make_shared<const Found>(std::move(capture.job), own);
      });
  return JsonReply({{"started", started}}, started ? 200 : 409);
}

Reply Desk::StopRun(const Ask& /*ask*/) {
  run_.Stop();
  second_.Stop();
  compared_.Stop();
  sheets_.Stop();
  return JsonReply(Json::object());
}

Reply Desk::SendResult(const Ask& ask) {
  return JsonReply(WithMaps(Asked(ask)->result(), WordsOf(ask)));
}

Reply Desk::SendMap(const Ask& ask) {
  const auto name = ask.query.find("of");
  return PixelReply(MapOf(Asked(ask)->result(), name == ask.query.end() ? "" : name->second));
}

Reply Desk::SendParts(const Ask& /*ask*/) {
  const auto found = NeedFound();
  Json parts = Json::array();
  if (const auto& map = found->result().maps.board_from_frame) {
    const PlaneMap frame_from_board = map->Inverse();
    for (const Part& part : found->job().parts) {
      if (part.side != found->job().side) continue;
      Json corners = Json::array();
      for (const Point& at : CornersOf(part, frame_from_board)) corners.push_back({at.x, at.y});
      parts.push_back({{"ref", part.ref}, {"corners", std::move(corners)}});
    }
  }
  return JsonReply(parts);
}

Reply Desk::SendCurve(const Ask& ask) {
  const auto found = NeedFound();
  const auto curve = found->CurveAt(PointOf(ask));
  if (!curve) return JsonReply({{"seen", false}});
  Json points = Json::array();
  for (const GrowthPoint& point : curve->points) {
    points.push_back({point.time_s,
                      point.amps_a,
                      point.rise_k,
                      point.fit_k.value_or(std::nan("")),
                      point.fit_sigma_k.value_or(std::nan(""))});
  }
  return JsonReply({{"seen", true},
                    {"exponent", curve->exponent},
                    {"exponent_sigma", curve->exponent_sigma},
                    {"snr", curve->snr},
                    {"points", std::move(points)}});
}

Reply Desk::SendFilm(const Ask& /*ask*/) {
  const auto found = NeedFound();
  Json amps = Json::array();
  for (const double time_s : found->FilmTimes()) amps.push_back(found->AmpsAt(time_s));
  return JsonReply({{"time_s", found->FilmTimes()}, {"amps", std::move(amps)}});
}

Reply Desk::SendFilmPicture(const Ask& ask) {
  const auto found = NeedFound();
  const double bin = NumberOf(ask, "bin");
  if (!(bin >= 0 && bin < static_cast<double>(found->FilmTimes().size()))) {
    throw OptionError("there is no such moment");
  }
  return PixelReply(found->FilmAt(static_cast<std::size_t>(bin)));
}

// The scale of the program's own pictures: the warm side, in even steps along its bar.
Reply Desk::SendColours(const Ask& /*ask*/) {
  constexpr int kSteps = 256;
  const internal::ColorScale scale(0, 1);
  Json table = Json::array();
  for (int i = 0; i < kSteps; ++i) {
    const internal::Color color = scale.At(scale.ValueAt(i / (kSteps - 1.0)));
    for (const double part : {color.red, color.green, color.blue}) {
      table.push_back(std::lround(255 * part));
    }
  }
  return JsonReply(table);
}

Reply Desk::KeepResult(const Ask& /*ask*/) {
  const std::lock_guard saving(saving_);  // No other case is chosen meanwhile.
  const auto found = NeedFound();
  std::filesystem::path folder;
  {
    const std::lock_guard lock(mutex_);
    folder = place_.Folder() / kResultFolder;
  }
  if (!IsInside(root_, folder)) throw OutputError(folder.string() + ": a link leads elsewhere");
  options_.keep(folder, found->job(), found->result());
  return JsonReply({{"folder", kResultFolder}});
}

}  // namespace ohmglow::desk
