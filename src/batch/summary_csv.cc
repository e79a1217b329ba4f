// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "batch/csv_cell.h"
#include "batch/summary.h"
#include "batch/summary_words.h"
#include "input/text.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/words/say.h"

namespace ohmglow::batch {
namespace {

std::string Number(double value) { return std::isfinite(value) ? FormatNumber(value) : ""; }

std::string Number(const std::optional<double>& value) { return value ? Number(*value) : ""; }

std::string Positive(double value) { return value > 0 ? Number(value) : ""; }

std::string X(const std::optional<Point>& p) { return p ? Number(p->x) : ""; }

std::string Y(const std::optional<Point>& p) { return p ? Number(p->y) : ""; }

std::string VerdictCell(const CaseRecord& record) {
  if (record.status != CaseStatus::kDone) return {};
  return std::string(VerdictKey(record.result.verdict));
}

std::string ErrorCode(const CaseRecord& record) {
  return record.error_code == 0 ? "" : std::to_string(record.error_code);
}

// As cells: an unknown probability is empty.
PartMatch FirstPart(const Candidate& place) {
  if (place.parts.empty()) return {"", std::numeric_limits<double>::quiet_NaN()};
  return {CsvCell(place.parts.front().ref), place.parts.front().prob};
}

std::string OtherParts(const Candidate& place) {
  std::string text;
  for (std::size_t i = 1; i < place.parts.size(); ++i) {
    if (i > 1) text += ' ';
    text += place.parts[i].ref + ' ' + Number(place.parts[i].prob);
  }
  return CsvCell(text);
}

std::string Remarks(const Candidate& place) {
  std::string text;
  for (const Remark& remark : place.remarks) text += (text.empty() ? "" : " ") + Say(remark);
  return CsvCell(text);
}

// A column tells something of the case, or of one place; the latter is empty
// in the row of a case without any.
struct Column {
  const char* name;
  std::string (*of_case)(const CaseRecord&) = nullptr;
  std::string (*of_place)(const Candidate&, int rank) = nullptr;
  std::optional<FrameValues> only = std::nullopt;  // For frames of these values.
};

// The order and the names are an interface: new columns come last.
const std::array kColumns{
    Column{"case", [](const CaseRecord& r) { return CsvCell(r.name); }},
    Column{"title", [](const CaseRecord& r) { return CsvCell(r.title); }},
    Column{"status", [](const CaseRecord& r) { return std::string(StatusKey(r.status)); }},
    Column{"verdict", [](const CaseRecord& r) { return VerdictCell(r); }},
    Column{"rank", nullptr, [](const Candidate&, int rank) { return std::to_string(rank); }},
    Column{"confidence", nullptr, [](const Candidate& c, int) { return Number(c.confidence); }},
    Column{"part", nullptr, [](const Candidate& c, int) { return FirstPart(c).ref; }},
    Column{"part_probability",
           nullptr,
           [](const Candidate& c, int) { return Number(FirstPart(c).prob); }},
    Column{"other_parts", nullptr, [](const Candidate& c, int) { return OtherParts(c); }},
    Column{"power_w", nullptr, [](const Candidate& c, int) { return Number(c.power_w); }},
    Column{"power_low_w", nullptr, [](const Candidate& c, int) { return Number(c.power_low_w); }},
    Column{"power_high_w", nullptr, [](const Candidate& c, int) { return Number(c.power_high_w); }},
    Column{"amps_a", [](const CaseRecord& r) { return Number(TopAmps(r.result)); }},
    Column{"share_of_supply",
           nullptr,
           [](const Candidate& c, int) { return Number(c.share_of_supply); }},
    Column{"current_exponent",
           nullptr,
           [](const Candidate& c, int) { return Number(c.current_exponent); }},
    Column{"side", nullptr, [](const Candidate& c, int) { return std::string(SideKey(c.side)); }},
    Column{"rise_k",
           nullptr,
           [](const Candidate& c, int) { return Number(c.rise_k); },
           FrameValues::kKelvin},
    Column{"onset_s", nullptr, [](const Candidate& c, int) { return Number(c.onset_s); }},
    Column{"width_mm", nullptr, [](const Candidate& c, int) { return Positive(c.width_mm); }},
    Column{"frame_x_px", nullptr, [](const Candidate& c, int) { return Number(c.frame_px.x); }},
    Column{"frame_y_px", nullptr, [](const Candidate& c, int) { return Number(c.frame_px.y); }},
    Column{"sigma_px", nullptr, [](const Candidate& c, int) { return Positive(c.sigma_px); }},
    Column{"board_x_mm", nullptr, [](const Candidate& c, int) { return X(c.board_mm); }},
    Column{"board_y_mm", nullptr, [](const Candidate& c, int) { return Y(c.board_mm); }},
    Column{"photo_x_px", nullptr, [](const Candidate& c, int) { return X(c.photo_px); }},
    Column{"photo_y_px", nullptr, [](const Candidate& c, int) { return Y(c.photo_px); }},
    Column{"detectable_w", [](const CaseRecord& r) { return Positive(r.result.detectable_w); }},
    Column{"remarks", nullptr, [](const Candidate& c, int) { return Remarks(c); }},
    Column{"error_code", [](const CaseRecord& r) { return ErrorCode(r); }},
    Column{"error", [](const CaseRecord& r) { return CsvCell(r.error); }},
    Column{"rise_relative",
           nullptr,
           [](const Candidate& c, int) { return Number(c.rise_k); },
           FrameValues::kRelative}};

void AddRow(const CaseRecord& record, const Candidate* place, int rank, std::string& csv) {
  for (const Column& column : kColumns) {
    if (&column != kColumns.data()) csv += ',';
    if (column.of_case != nullptr) csv += column.of_case(record);
    if (column.only && *column.only != record.result.values) continue;
    if (column.of_place != nullptr && place != nullptr) csv += column.of_place(*place, rank);
  }
  csv += '\n';
}

}  // namespace

std::string SummaryCsvHeader() {
  std::string header;
  for (const Column& column : kColumns) {
    if (!header.empty()) header += ',';
    header += column.name;
  }
  return header;
}

std::string ToSummaryCsv(const Summary& summary) {
  std::string csv = SummaryCsvHeader() + '\n';
  for (const CaseRecord& record : summary.records) {
    if (record.result.candidates.empty()) AddRow(record, nullptr, 0, csv);
    for (std::size_t i = 0; i < record.result.candidates.size(); ++i) {
      AddRow(record, &record.result.candidates[i], static_cast<int>(i) + 1, csv);
    }
  }
  return csv;
}

}  // namespace ohmglow::batch
