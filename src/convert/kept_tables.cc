// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "convert/kept_tables.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "input/text.h"

namespace ohmglow {
namespace {

std::string Number(double value) { return std::isfinite(value) ? FormatNumber(value) : ""; }

std::string Cell(const std::string& text) {
  if (text.find_first_of(",;\t|\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '\r' || c == '\n') {
      quoted += ' ';
    } else {
      quoted += c == '"' ? "\"\"" : std::string(1, c);
    }
  }
  return quoted + '"';
}

std::string Row(std::initializer_list<std::string> cells) {
  std::string row;
  for (const std::string& cell : cells) row += cell + ',';
  row.back() = '\n';
  return row;
}

}  // namespace

std::string TimesTable(const std::vector<double>& times_s) {
  std::string text = "index,time_s\n";
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    text += Row({std::to_string(i), Number(times_s[i])});
  }
  return text;
}

std::string SupplyTable(const SupplyLog& log) {
  const bool has_volts = std::any_of(
      log.volts_v.begin(), log.volts_v.end(), [](double volts) { return std::isfinite(volts); });
  std::string text = has_volts ? "time_s,volts,amps\n" : "time_s,amps\n";
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    const std::string time = Number(log.time_s[i]);
    const std::string amps = Number(log.amps_a[i]);
    text += has_volts ? Row({time, Number(log.volts_v[i]), amps}) : Row({time, amps});
  }
  return text;
}

std::string StepsTable(const std::vector<SetLevel>& levels) {
  std::string text = "time_s,amps,within_s\n";
  for (const SetLevel& level : levels) {
    text += Row({level.start_s ? Number(*level.start_s) : "",
                 Number(level.amps_a),
                 Number(level.within_s)});
  }
  return text;
}

std::string PointsTable(const std::vector<Landmark>& landmarks) {
  const bool on_board = std::any_of(landmarks.begin(), landmarks.end(), [](const Landmark& mark) {
    return mark.board_mm.has_value();
  });
  std::string text = "frame_x,frame_y,photo_x,photo_y";
  text += on_board ? ",board_x_mm,board_y_mm\n" : "\n";
  for (const Landmark& mark : landmarks) {
    std::string row = Row({Number(mark.frame_px.x),
                           Number(mark.frame_px.y),
                           Number(mark.photo_px.x),
                           Number(mark.photo_px.y)});
    if (on_board) {
      row.pop_back();
      row += mark.board_mm ? "," + Number(mark.board_mm->x) + "," + Number(mark.board_mm->y) + "\n"
                           : ",,\n";
    }
    text += row;
  }
  return text;
}

std::string PartsTable(const std::vector<Part>& parts) {
  std::string text = "ref,x_mm,y_mm,width_mm,height_mm,side,kind\n";
  for (const Part& part : parts) {
    text += Row({Cell(part.ref),
                 Number(part.center_mm.x),
                 Number(part.center_mm.y),
                 Number(part.width_mm),
                 Number(part.height_mm),
                 part.side == BoardSide::kTop ? "top" : "bottom",
                 Cell(part.kind)});
  }
  return text;
}

std::string ContactsTable(const std::vector<Contact>& contacts) {
  std::string text = "frame_x,frame_y,name\n";
  for (const Contact& contact : contacts) {
    text += Row({Number(contact.frame_px.x), Number(contact.frame_px.y), Cell(contact.name)});
  }
  return text;
}

std::string SurfaceTable(const std::vector<SurfaceRegion>& regions) {
  std::string text =
      "frame_x,frame_y,width_px,height_px,x_mm,y_mm,width_mm,height_mm,emissivity,name\n";
  for (const SurfaceRegion& region : regions) {
    const std::string box = Number(region.center.x) + "," + Number(region.center.y) + "," +
                            Number(region.width) + "," + Number(region.height);
    text += (region.on_board ? ",,,," + box : box + ",,,,") + "," +
            Row({Number(region.emissivity), Cell(region.name)});
  }
  return text;
}

}  // namespace ohmglow
