// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tables.h"

#include "csv_table.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

// A column of times, each later than the one before.
std::vector<double> RisingTimes(const CsvTable& table) {
  const std::size_t column = table.Column("time_s");
  std::vector<double> times_s;
  for (std::size_t row = 0; row < table.size(); ++row) {
    const double time_s = table.Number(row, column);
    if (!times_s.empty() && time_s <= times_s.back()) {
      const std::string relation = time_s == times_s.back() ? " repeats " : " runs backwards from ";
      table.Fail(row,
                 column,
                 FormatNumber(time_s) + relation + FormatNumber(times_s.back()) +
                     " of the row before; times must rise from row to row");
    }
    times_s.push_back(time_s);
  }
  return times_s;
}

void CheckIndices(const CsvTable& table) {
  const std::size_t column = table.Column("index");
  for (std::size_t row = 0; row < table.size(); ++row) {
    const double expected = table.Number(0, column) + static_cast<double>(row);
    if (table.Number(row, column) != expected) {
      table.Fail(row,
                 column,
                 Quoted(table.Text(row, column)) + " where " + FormatNumber(expected) +
                     " is due; give one row a frame, in order");
    }
  }
}

double NotNegative(const CsvTable& table, std::size_t row, std::size_t column) {
  const double value = table.Number(row, column);
  if (value < 0) {
    table.Fail(row, column, FormatNumber(value) + " is negative; sizes must be >= 0");
  }
  return value;
}

}  // namespace

std::optional<BoardSide> ParseSide(std::string_view word) {
  const std::string lower = ToLower(word);
  if (lower == "top") return BoardSide::kTop;
  if (lower == "bottom") return BoardSide::kBottom;
  return std::nullopt;
}

std::vector<double> ReadFrameTimes(const std::filesystem::path& file,
                                   int frame_count,
                                   std::string_view named_by,
                                   bool cut_off) {
  const CsvTable table(file, named_by);
  CheckIndices(table);
  std::vector<double> times_s = RisingTimes(table);
  const int missing = static_cast<int>(times_s.size()) - frame_count;
  const bool fits =
      missing == 0 || (cut_off && missing > 0 && 10 * missing <= frame_count + missing);
  if (!fits) {
    throw InputError(file.string() + ": has " + std::to_string(times_s.size()) +
                     " rows of times but there are " + std::to_string(frame_count) +
                     " frames; give one row a frame");
  }
  return times_s;
}

ReadLog ReadSupplyLog(const std::filesystem::path& file,
                      std::string_view named_by,
                      const LogOptions& options) {
  return ParseSupplyLog(ReadFileBytes(file, named_by), file.string(), options);
}

std::vector<Landmark> ReadLandmarks(const std::filesystem::path& file, std::string_view named_by) {
  const CsvTable table(file, named_by);
  const std::size_t frame_x = table.Column("frame_x");
  const std::size_t frame_y = table.Column("frame_y");
  const std::size_t photo_x = table.Column("photo_x");
  const std::size_t photo_y = table.Column("photo_y");
  const auto board_x = table.OptionalColumn("board_x_mm");
  const auto board_y = table.OptionalColumn("board_y_mm");
  if (board_x.has_value() != board_y.has_value()) {
    throw InputError(file.string() + ", row 1: column " + (board_x ? "board_y_mm" : "board_x_mm") +
                     " is missing; give both board columns or none");
  }
  std::vector<Landmark> landmarks;
  for (std::size_t row = 0; row < table.size(); ++row) {
    Landmark mark;
    mark.frame_px = {table.Number(row, frame_x), table.Number(row, frame_y)};
    mark.photo_px = {table.Number(row, photo_x), table.Number(row, photo_y)};
    // A landmark that is not in the board's drawing leaves both cells empty.
    if (board_x && !(table.Text(row, *board_x).empty() && table.Text(row, *board_y).empty())) {
      mark.board_mm = Point(table.Number(row, *board_x), table.Number(row, *board_y));
    }
    landmarks.push_back(mark);
  }
  return landmarks;
}

std::vector<Part> ReadParts(const std::filesystem::path& file, std::string_view named_by) {
  const CsvTable table(file, named_by);
  const std::size_t ref = table.Column("ref");
  const std::size_t x = table.Column("x_mm");
  const std::size_t y = table.Column("y_mm");
  const std::size_t width = table.Column("width_mm");
  const std::size_t height = table.Column("height_mm");
  const std::size_t side = table.Column("side");
  const auto kind = table.OptionalColumn("kind");
  std::vector<Part> parts;
  for (std::size_t row = 0; row < table.size(); ++row) {
    Part part;
    part.ref = table.Text(row, ref);
    if (part.ref.empty()) table.Fail(row, ref, "is empty; give the part's designator");
    part.center_mm = {table.Number(row, x), table.Number(row, y)};
    part.width_mm = NotNegative(table, row, width);
    part.height_mm = NotNegative(table, row, height);
    const auto parsed = ParseSide(table.Text(row, side));
    if (!parsed) table.Fail(row, side, Quoted(table.Text(row, side)) + " must be top or bottom");
    part.side = *parsed;
    if (kind) part.kind = table.Text(row, *kind);
    parts.push_back(std::move(part));
  }
  return parts;
}

std::vector<Contact> ReadContacts(const std::filesystem::path& file, std::string_view named_by) {
  const CsvTable table(file, named_by);
  const std::size_t x = table.Column("frame_x");
  const std::size_t y = table.Column("frame_y");
  const std::size_t name = table.Column("name");
  std::vector<Contact> contacts;
  for (std::size_t row = 0; row < table.size(); ++row) {
    contacts.push_back({{table.Number(row, x), table.Number(row, y)}, table.Text(row, name)});
  }
  return contacts;
}

}  // namespace ohmglow
