// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/drawn_parts.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "desk/own_file.h"
#include "desk/table_text.h"
#include "input/text.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

const std::vector<std::string> kColumns{"ref", "x_mm", "y_mm", "width_mm", "height_mm", "side"};
constexpr double kLeastMm = 0.1;
constexpr double kMostMm = 2000;
constexpr std::size_t kMostName = 40;
// As tables are written, to 0.01 mm.
constexpr double kWrittenMm = 0.011;

OwnTable PartsTable(const Capture& capture) { return TableOf(capture, "board.parts", "parts.csv"); }

std::string TextOf(const OwnTable& table) { return BytesOf(table.file).value_or(""); }

bool IsOwnForm(const std::string& text) {
  if (Trim(text).empty()) return true;
  if (text.find('\0') != std::string::npos) return false;
  const TableText table(text, {});
  return std::all_of(
      kColumns.begin(), kColumns.end(), [&](const auto& name) { return table.Has(name); });
}

std::optional<PlaneMap> BoardMap(const Case& job) {
  try {
    return FitBoardMaps(job.landmarks, job.photo.size()).board_from_frame;
  } catch (const DataError&) {
    return std::nullopt;  // On a line; the landmarks' own list says so.
  }
}

bool ScaleIsGuessed(const Case& job) {
  return FindAssumed(job.assumed, "board.mm_per_pixel") != nullptr;
}

PlaneMap Scaled(double mm_per_pixel) {
  return {cv::Matx33d::diag({mm_per_pixel, mm_per_pixel, 1.0})};
}

const char* NameOf(Ground::State state) {
  switch (state) {
    case Ground::State::kBoard:
      return "board";
    case Ground::State::kFrame:
      return "frame";
    case Ground::State::kScale:
      return "scale";
    case Ground::State::kLandmarks:
      return "landmarks";
    case Ground::State::kAxes:
      return "axes";
    case Ground::State::kForm:
      return "form";
  }
  return "form";
}

std::string SideName(BoardSide side) { return side == BoardSide::kTop ? "top" : "bottom"; }

void SetBox(TableText& table, std::size_t row, const Json& box, const PlaneMap& board_from_frame) {
  std::array<Point, 2> ends;
  for (std::size_t i = 0; i < ends.size(); ++i) {
    ends[i] =
        board_from_frame.Apply({box.at(i).at(0).get<double>(), box.at(i).at(1).get<double>()});
  }
  const Point middle = (ends[0] + ends[1]) / 2;
  const Point size(std::abs(ends[1].x - ends[0].x), std::abs(ends[1].y - ends[0].y));
  if (!(size.x >= kLeastMm && size.y >= kLeastMm && std::max(size.x, size.y) < kMostMm)) {
    throw OptionError("the box is too small for a part");
  }
  table.SetNumber(row, "x_mm", middle.x);
  table.SetNumber(row, "y_mm", middle.y);
  table.SetNumber(row, "width_mm", size.x);
  table.SetNumber(row, "height_mm", size.y);
}

void SetRef(TableText& table, std::size_t row, const std::string& ref) {
  const std::string name(Trim(ref));
  if (name.empty() || name.size() > kMostName || name.find_first_of("\r\n") != std::string::npos) {
    throw OptionError("give the part a short name");
  }
  for (std::size_t other = 0; other < table.size(); ++other) {
    if (other != row && table.Cell(other, "ref") == name) {
      throw OptionError("there is a part " + name + " already");
    }
  }
  if (table.Cell(row, "ref") != name) table.Set(row, "ref", name);
}

}  // namespace

std::vector<Point> CornersOf(const Part& part, const PlaneMap& frame_from_board) {
  std::vector<Point> corners;
  for (const Point& way :
       {Point(-0.5, -0.5), Point(0.5, -0.5), Point(0.5, 0.5), Point(-0.5, 0.5)}) {
    corners.push_back(frame_from_board.Apply(part.center_mm +
                                             Point(way.x * part.width_mm, way.y * part.height_mm)));
  }
  return corners;
}

std::string EmptyParts() { return TableText("", kColumns).Text(); }

Ground GroundOf(const Capture& capture) {
  using enum Ground::State;
  const Case& job = capture.job;
  const OwnTable table = PartsTable(capture);
  if (table.named && !IsOwnForm(TextOf(table))) return {kForm};
  if (auto map = BoardMap(job)) return {kBoard, std::move(map)};
  const bool has_mm = !job.parts.empty() ||
                      std::any_of(job.landmarks.begin(),
                                  job.landmarks.end(),
                                  [](const Landmark& mark) { return mark.board_mm.has_value(); });
  if (has_mm) return {kAxes};
  if (ScaleIsGuessed(job)) return {kScale};
  constexpr std::size_t kFewest = 3;
  if (!job.photo.empty() && job.landmarks.size() < kFewest) return {kLandmarks};
  return {kFrame, Scaled(job.mm_per_pixel)};
}

Json ToDrawnParts(const Capture& capture) {
  const Ground ground = GroundOf(capture);
  Json rows = Json::array();
  const OwnTable table = PartsTable(capture);
  if (ground.state == Ground::State::kBoard && table.named) {
    const TableText text(TextOf(table), kColumns);
    // Read as the program has read them: its parts are the table's rows.
    if (text.size() == capture.job.parts.size()) {
      const PlaneMap frame_from_board = ground.board_from_frame->Inverse();
      for (std::size_t row = 0; row < text.size(); ++row) {
        const Part& part = capture.job.parts[row];
        if (part.side != capture.job.side) continue;
        Json corners = Json::array();
        for (const Point& at : CornersOf(part, frame_from_board)) corners.push_back({at.x, at.y});
        rows.push_back({{"row", row}, {"ref", part.ref}, {"corners", std::move(corners)}});
      }
    }
  }
  Json json{{"version", capture.parts_version},
            {"ground", NameOf(ground.state)},
            {"rows", std::move(rows)}};
  if (ground.board_from_frame) {
    const cv::Matx33d& matrix = ground.board_from_frame->matrix;
    json["board_from_frame"] = std::vector<double>(std::begin(matrix.val), std::end(matrix.val));
  }
  return json;
}

std::string WithPart(const std::string& text,
                     const Json& change,
                     const PlaneMap& board_from_frame,
                     BoardSide side) {
  TableText table(text, kColumns);
  const bool is_old = change.contains("row") && !change["row"].is_null();
  const std::size_t row = is_old ? change["row"].get<std::size_t>() : table.Append();
  if (row >= table.size()) throw OptionError("there is no such part");
  if (change.value("remove", false)) {
    table.Remove(row);
    return table.Text();
  }
  if (!is_old || change.contains("ref")) SetRef(table, row, change.at("ref").get<std::string>());
  if (!is_old || change.contains("box")) SetBox(table, row, change.at("box"), board_from_frame);
  if (!is_old) table.Set(row, "side", SideName(side));
  return table.Text();
}

std::string WithFrameAxes(const std::string& text, const Capture& capture) {
  const Case& job = capture.job;
  TableText table(text, {"frame_x", "frame_y", "photo_x", "photo_y", "board_x_mm", "board_y_mm"});
  std::vector<Point> places_px;
  for (const Landmark& mark : job.landmarks) places_px.push_back(mark.frame_px);
  if (places_px.size() < 3) {
    const double right = job.frames->size_px().width - 1.0;
    const double low = job.frames->size_px().height - 1.0;
    // Without a photo the thermal picture is the one that is drawn on.
    for (const Point& corner : {Point(0, 0), Point(right, 0), Point(right, low), Point(0, low)}) {
      const std::size_t row = table.Append();
      for (const char* const in : {"frame", "photo"}) {
        const double shrink = in[0] == 'f' ? capture.shrink : 1;
        table.SetNumber(row, in + std::string("_x"), (corner.x + 0.5) * shrink - 0.5);
        table.SetNumber(row, in + std::string("_y"), (corner.y + 0.5) * shrink - 0.5);
      }
      places_px.push_back(corner);
    }
  }
  for (std::size_t row = 0; row < places_px.size(); ++row) {
    table.SetNumber(row, "board_x_mm", places_px[row].x * job.mm_per_pixel);
    table.SetNumber(row, "board_y_mm", places_px[row].y * job.mm_per_pixel);
  }
  return table.Text();
}

std::optional<double> FrameAxesMm(const std::vector<Landmark>& landmarks) {
  double product = 0;
  double square = 0;
  for (const Landmark& mark : landmarks) {
    if (!mark.board_mm) return std::nullopt;
    product += mark.frame_px.dot(*mark.board_mm);
    square += mark.frame_px.dot(mark.frame_px);
  }
  if (landmarks.size() < 3 || !(square > 0)) return std::nullopt;
  const double mm = product / square;
  const bool all = std::all_of(landmarks.begin(), landmarks.end(), [&](const Landmark& mark) {
    const Point off = *mark.board_mm - mark.frame_px * mm;
    return std::max(std::abs(off.x), std::abs(off.y)) < kWrittenMm + 0.006 * mm;
  });
  return all ? std::optional(mm) : std::nullopt;
}

}  // namespace ohmglow::desk
