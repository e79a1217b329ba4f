// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/tables.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "desk/drawn_parts.h"
#include "desk/drawn_regions.h"
#include "desk/levels.h"
#include "ohmglow/align/board_maps.h"
#include "ohmglow/base/error.h"
#include "ohmglow/words/say.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kMostRows = 500;
constexpr double kMostPx = 1e6;

Json Pair(Point p) { return {p.x, p.y}; }

// Where a landmark's photo place lies, seen in the frame, from where it was set there.
double ResidualPx(const BoardMaps& maps, const Landmark& mark) {
  const cv::Matx22d slope = maps.photo_from_frame->Jacobian(mark.frame_px);
  const double scale = std::sqrt(std::abs(cv::determinant(slope)));
  const Point off = maps.PhotoPlace(mark.frame_px) - mark.photo_px;
  return std::hypot(off.x, off.y) / std::max(scale, 1e-9);
}

Json FitOf(const Case& job) {
  Json fit = Json::object();
  try {
    const BoardMaps maps = FitBoardMaps(job.landmarks, job.photo.size());
    fit["remarks"] = SayAll(maps.remarks);
    if (!maps.photo_from_frame) return fit;
    const cv::Matx33d& matrix = maps.photo_from_frame->matrix;
    fit["photo_from_frame"] = std::vector<double>(std::begin(matrix.val), std::end(matrix.val));
    if (maps.photo_lens) {
      const RadialLens& lens = *maps.photo_lens;
      fit["photo_lens"] = {{"x", lens.center_px.x},
                           {"y", lens.center_px.y},
                           {"radius", lens.radius_px},
                           {"k1", lens.k1},
                           {"k2", lens.k2}};
    }
    Json residuals = Json::array();
    for (const Landmark& mark : job.landmarks) residuals.push_back(ResidualPx(maps, mark));
    fit["residual_px"] = std::move(residuals);
  } catch (const DataError& error) {
    fit["remarks"] = {error.what()};  // On a line, for example: the next one may help.
  }
  return fit;
}

void SetPoint(
    TableText& table, std::size_t row, const std::string& name, const Json& pair, int shrink) {
  constexpr std::array<const char*, 2> kEnds{"_x", "_y"};
  for (std::size_t i = 0; i < kEnds.size(); ++i) {
    // From points of the frame to those of its pages; centres stand at whole numbers in both.
    const double value = (pair.at(i).get<double>() + 0.5) * shrink - 0.5;
    if (!(std::abs(value) < kMostPx)) throw OptionError("a place is beyond all pictures");
    table.SetNumber(row, name + kEnds[i], value);
  }
}

}  // namespace

Json ToTables(const Capture& capture) {
  const Case& job = capture.job;
  Json landmarks = Json::array();
  for (std::size_t i = 0; i < job.landmarks.size(); ++i) {
    const Landmark& mark = job.landmarks[i];
    Json row{{"row", i}, {"frame", Pair(mark.frame_px)}, {"photo", Pair(mark.photo_px)}};
    if (mark.board_mm) row["board"] = Pair(*mark.board_mm);
    landmarks.push_back(std::move(row));
  }
  Json contacts = Json::array();
  for (std::size_t i = 0; i < job.contacts.size(); ++i) {
    contacts.push_back(
        {{"row", i}, {"frame", Pair(job.contacts[i].frame_px)}, {"name", job.contacts[i].name}});
  }
  return {{"landmarks", {{"version", capture.points_version}, {"rows", landmarks}}},
          {"contacts", {{"version", capture.contacts_version}, {"rows", contacts}}},
          {"parts", ToDrawnParts(capture)},
          {"regions", ToDrawnRegions(capture)},
          {"levels", ToLevels(capture)},
          {"mm_per_pixel", job.mm_per_pixel},
          {"fit", FitOf(job)}};
}

std::string WithRows(TableText table, const Json& rows, const RowChange& change) {
  if (!rows.is_array() || rows.size() > kMostRows) throw OptionError("too many rows");
  std::vector<bool> seen(table.size(), false);
  const std::size_t before = table.size();
  std::vector<std::size_t> kept;
  for (const Json& row : rows) {
    const bool is_old = row.contains("row") && !row["row"].is_null();
    const std::size_t number = is_old ? row["row"].get<std::size_t>() : table.Append();
    if (is_old && (number >= before || seen[number])) throw OptionError("there is no such row");
    if (is_old) seen[number] = true;
    kept.push_back(number);
    change(table, number, row);
  }
  table.Keep(kept);
  return table.Text();
}

std::string WithLandmarks(const std::string& text,
                          const Json& rows,
                          int shrink,
                          std::optional<double> axes_mm) {
  return WithRows(TableText(text, {"frame_x", "frame_y", "photo_x", "photo_y"}),
                  rows,
                  [&](TableText& table, std::size_t number, const Json& row) {
                    const Json& frame = row.at("frame");
                    SetPoint(table, number, "frame", frame, shrink);
                    SetPoint(table, number, "photo", row.at("photo"), 1);
                    if (!axes_mm) return;
                    table.SetNumber(number, "board_x_mm", frame.at(0).get<double>() * *axes_mm);
                    table.SetNumber(number, "board_y_mm", frame.at(1).get<double>() * *axes_mm);
                  });
}

std::string WithContacts(const std::string& text, const Json& rows, int shrink) {
  return WithRows(TableText(text, {"frame_x", "frame_y", "name"}),
                  rows,
                  [shrink](TableText& table, std::size_t number, const Json& row) {
                    SetPoint(table, number, "frame", row.at("frame"), shrink);
                    const std::string name = row.at("name").get<std::string>();
                    if (name.size() > 100 || name.find_first_of("\r\n") != std::string::npos) {
                      throw OptionError("the contact's name is too long");
                    }
                    if (table.Cell(number, "name") != name) table.Set(number, "name", name);
                  });
}

}  // namespace ohmglow::desk
