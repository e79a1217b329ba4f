// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/drawn_regions.h"

#include <array>
#include <cmath>

#include "desk/drawn_parts.h"
#include "desk/own_file.h"
#include "desk/table_text.h"
#include "input/surface_regions.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

const std::vector<std::string> kRegionColumns{
    "frame_x", "frame_y", "width_px", "height_px", "emissivity"};
// Where the same stands in millimetres; a row fills one set.
constexpr std::array<const char*, 4> kOtherColumns{"x_mm", "y_mm", "width_mm", "height_mm"};
constexpr double kLeastPx = 0.5;
constexpr double kMostRegionPx = 1e5;
constexpr int kEmissivityDigits = 3;

// A box has the form of a part that lies in the frame's or the board's axes.
Json CornersIn(const SurfaceRegion& region, const PlaneMap& frame_from_axes) {
  Part box;
  box.center_mm = region.center;
  box.width_mm = region.width;
  box.height_mm = region.height;
  Json corners = Json::array();
  for (const Point& at : CornersOf(box, frame_from_axes)) corners.push_back({at.x, at.y});
  return corners;
}

void SetBox(TableText& table, std::size_t row, const Json& box) {
  std::array<Point, 2> ends;
  for (std::size_t i = 0; i < ends.size(); ++i) {
    ends[i] = {box.at(i).at(0).get<double>(), box.at(i).at(1).get<double>()};
  }
  const Point size(std::abs(ends[1].x - ends[0].x), std::abs(ends[1].y - ends[0].y));
  if (!(size.x >= kLeastPx && size.y >= kLeastPx && std::max(size.x, size.y) < kMostRegionPx)) {
    throw OptionError("the box is too small");
  }
  table.SetNumber(row, "frame_x", (ends[0].x + ends[1].x) / 2);
  table.SetNumber(row, "frame_y", (ends[0].y + ends[1].y) / 2);
  table.SetNumber(row, "width_px", size.x);
  table.SetNumber(row, "height_px", size.y);
  for (const char* const column : kOtherColumns) {
    if (table.Has(column)) table.Set(row, column, "");
  }
}

}  // namespace

Json ToDrawnRegions(const Capture& capture) {
  Json rows = Json::array();
  const OwnTable table = TableOf(capture, kRegionsKey, kRegionsFile);
  if (table.named) {
    const Ground ground = GroundOf(capture);
    const auto regions = ReadSurfaceRegions(table.file, kRegionsKey);
    for (std::size_t row = 0; row < regions.size(); ++row) {
      const SurfaceRegion& region = regions[row];
      if (region.on_board && ground.state != Ground::State::kBoard) continue;
      const PlaneMap frame_from_axes =
          region.on_board ? ground.board_from_frame->Inverse() : PlaneMap();
      rows.push_back({{"row", row},
                      {"emissivity", region.emissivity},
                      {"name", region.name},
                      {"corners", CornersIn(region, frame_from_axes)}});
    }
  }
  return {{"version", capture.regions_version},
          {"used", capture.job.frames->values() == FrameValues::kKelvin},
          {"rows", std::move(rows)}};
}

std::string EmptyRegions() { return TableText("", kRegionColumns).Text(); }

std::string WithRegion(const std::string& text, const Json& change) {
  TableText table(text, kRegionColumns);
  const bool is_old = change.contains("row") && !change["row"].is_null();
  const std::size_t row = is_old ? change["row"].get<std::size_t>() : table.Append();
  if (row >= table.size()) throw OptionError("there is no such place");
  if (change.value("remove", false)) {
    table.Remove(row);
    return table.Text();
  }
  if (!is_old || change.contains("box")) SetBox(table, row, change.at("box"));
  if (!is_old || change.contains("emissivity")) {
    const auto emissivity = change.at("emissivity").get<double>();
    if (!(emissivity >= 0.001 && emissivity <= 1)) {
      throw OptionError("an emissivity lies above 0 and up to 1");
    }
    table.SetNumber(row, "emissivity", emissivity, kEmissivityDigits);
  }
  return table.Text();
}

}  // namespace ohmglow::desk
