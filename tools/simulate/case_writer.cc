// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_writer.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iomanip>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <sstream>

#include "capture.h"
#include "ohmglow/base/error.h"
#include "photo.h"
#include "random.h"
#include "tiff_series.h"
#include "truth.h"

namespace ohmglow::simulate {
namespace {

namespace fs = std::filesystem;

constexpr double kClickPx = 0.3;  // A person's error in the frame; three times that in the photo.

void WriteText(const fs::path& file, const std::string& text) {
  std::ofstream out(file, std::ios::binary);
  out << text;
  out.close();
  if (!out)
    throw OutputError(file.string() + ": cannot be written; check --out and the free space");
}

// Cells of a table row, each with its number of decimals.
std::string Row(std::initializer_list<std::pair<double, int>> cells) {
  std::ostringstream line;
  line << std::fixed;
  const char* comma = "";
  for (const auto& [value, decimals] : cells) {
    line << comma << std::setprecision(decimals) << value;
    comma = ",";
  }
  return line.str();
}

Point Clicked(Point at, double sd_px, Random& random) {
  const double dx = sd_px * random.Normal();
  const double dy = sd_px * random.Normal();
  return {at.x + dx, at.y + dy};
}

// Eight places that a person would find in frame and photo, well apart.
std::vector<Point> Landmarks(const Setting& set) {
  std::vector<Point> known;
  for (const auto& hole : set.board.holes) known.push_back(hole.center_mm);
  for (const auto& pad : set.board.pads) {
    if (pad.top == set.scenario.top()) known.push_back(pad.center_mm);
  }
  for (const auto& part : set.board.parts) {
    if (part.top == set.scenario.top()) known.push_back(part.center_mm());
  }
  const cv::Rect2d frame(3, 3, set.view.size_px.width - 7, set.view.size_px.height - 7);
  std::erase_if(known, [&](Point p) { return !frame.contains(set.frame_from_board.Apply(p)); });
  std::vector<Point> chosen;
  while (chosen.size() < 8 && !known.empty()) {
    const auto distance = [&chosen](Point p) {
      double least = 1e9;
      for (const Point q : chosen) least = std::min(least, std::hypot(p.x - q.x, p.y - q.y));
      return least;
    };
    const auto far = std::max_element(
        known.begin(), known.end(), [&](Point a, Point b) { return distance(a) < distance(b); });
    if (!chosen.empty() && distance(*far) < 1) break;
    chosen.push_back(*far);
    known.erase(far);
  }
  return chosen;
}

void WritePoints(const Setting& set, const fs::path& file) {
  Random random(set.scenario.capture_seed(), "points");
  std::string text = "frame_x,frame_y,photo_x,photo_y,board_x_mm,board_y_mm\n";
  for (const Point p : Landmarks(set)) {
    const Point frame = Clicked(set.frame_from_board.Apply(p), kClickPx, random);
    const Point photo = Clicked(PhotoPlace(set.scenario, set.photo_view, p), 3 * kClickPx, random);
    text +=
        Row({{frame.x, 2}, {frame.y, 2}, {photo.x, 2}, {photo.y, 2}, {p.x, 2}, {p.y, 2}}) + "\n";
  }
  WriteText(file, text);
}

void WriteParts(const Setting& set, const fs::path& file) {
  std::string text = "ref,x_mm,y_mm,width_mm,height_mm,side,kind\n";
  for (const auto& part : set.board.parts) {
    const Point c = part.center_mm();
    text += part.ref + "," +
            Row({{c.x, 2}, {c.y, 2}, {part.box_mm.width, 2}, {part.box_mm.height, 2}}) +
            (part.top ? ",top," : ",bottom,") + KindName(part.kind) + "\n";
  }
  WriteText(file, text);
}

void WriteContacts(const Setting& set, const fs::path& file) {
  Random random(set.scenario.capture_seed(), "clicked contacts");
  std::string text = "frame_x,frame_y,name\n";
  for (const auto& source : set.sources) {
    // Nobody sees from here where a lead touches the other side.
    if (source.kind != "contact" || source.top != set.scenario.top()) continue;
    const Point p = Clicked(set.frame_from_board.Apply(source.center_mm), kClickPx, random);
    text += Row({{p.x, 2}, {p.y, 2}}) + "," + source.ref + "\n";
  }
  WriteText(file, text);
}

void WriteSupply(const Setting& set, const fs::path& file) {
  const auto [ohm, volts] = RailLoad(set.sources, set.drive);
  const bool with_volts = set.scenario.log_volts > 0;
  std::string text = with_volts ? "time_s,volts,amps\n" : "time_s,amps\n";
  for (const auto& row : MakeLog(set.drive, set.scenario, ohm, volts)) {
    text += with_volts ? Row({{row.time_s, 3}, {row.volts, 2}, {row.amps, 3}})
                       : Row({{row.time_s, 3}, {row.amps, 3}});
    text += "\n";
  }
  WriteText(file, text);
}

void WriteTimes(const Setting& set, const fs::path& file) {
  std::string text = "index,time_s\n";
  const std::size_t faulty = FaultyTime(set.scenario, set.times_s.size());
  const std::size_t back = faulty == 0 ? 0 : set.scenario.time_fault >= 2 ? 2 : 1;
  for (std::size_t n = 0; n < set.times_s.size(); ++n) {
    const double time_s = set.times_s[n == faulty ? n - back : n];
    text += std::to_string(n) + "," + Row({{time_s + set.scenario.time_origin_s, 4}}) + "\n";
  }
  WriteText(file, text);
}

// What the person at the bench knows, with a person's errors.
void WriteCaseFile(const Setting& set, bool filmed, const fs::path& file) {
  const Scenario& s = set.scenario;
  Random random(s.capture_seed(), "case file");
  const double mm_per_pixel = s.mm_per_pixel * (1 + 0.01 * random.Normal());
  const double reflected_c = s.ambient_c + s.reflected_k + 0.2 * random.Normal();
  const double film = 0.5 * (s.film_top_w_m2k + s.film_bottom_w_m2k) * (1 + 0.1 * random.Normal());
  const bool knows_film = random.Chance(0.5);
  std::ostringstream out;
  out << std::fixed << "title = " << s.title << "\n\n[frames]\n"
      << (filmed ? "source = frames.tiff\n" : "") << std::setprecision(6) << "scale = " << s.scale_k
      << '\n'
      << std::setprecision(2) << "zero = " << s.zero_k << '\n';
  if (filmed) {
    out << std::setprecision(3) << "rate_hz = " << s.rate_hz << '\n';
    if (s.time_table > 0) out << "times = frames.csv\n";
    out << "\n[supply]\nlog = supply.csv\nclock_offset_s = auto\n";
  }
  out << "\n[board]\nside = " << (s.top() ? "top" : "bottom") << '\n'
      << std::setprecision(4) << "mm_per_pixel = " << mm_per_pixel << '\n'
      << std::setprecision(2) << "thickness_mm = " << s.board_thickness_mm << '\n'
      << "sheet_conductance_w_k = auto\nheat_capacity_j_m2k = auto\nphoto = photo.png\n"
      << "points = points.csv\nparts = parts.csv\ncontacts = contacts.csv\n\n"
      << "[surface]\nemissivity = 0.93\n"
      << std::setprecision(1) << "reflected_c = " << reflected_c << '\n';
  if (knows_film) out << "film_w_m2k = " << film << '\n';
  WriteText(file, out.str());
}

void WritePhoto(const Setting& set, const fs::path& file) {
  const cv::Mat photo = DrawPhoto(set.board, set.scenario, set.photo_view);
  if (!cv::imwrite(file.string(), photo, {cv::IMWRITE_PNG_COMPRESSION, 9})) {
    throw OutputError(file.string() + ": cannot be written; check --out and the free space");
  }
}

void MakeFolder(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) throw OutputError(folder.string() + ": " + error.message() + "; check --out");
}

void WriteTables(const Setting& set, const fs::path& folder) {
  WritePoints(set, folder / "points.csv");
  WriteParts(set, folder / "parts.csv");
  WriteContacts(set, folder / "contacts.csv");
}

// One line an item of the outermost level: long, but fit to be compared.
std::string TruthText(const nlohmann::ordered_json& truth) {
  std::string text = "{\n";
  for (auto item = truth.begin(); item != truth.end(); ++item) {
    text += " \"" + item.key() + "\": " + item.value().dump();
    text += std::next(item) == truth.end() ? "\n" : ",\n";
  }
  return text + "}\n";
}

}  // namespace

void WriteBoard(const Setting& set, const fs::path& out) {
  const fs::path folder = out / "board";
  MakeFolder(folder);
  WriteCaseFile(set, false, folder / "board.ini");
  WriteTables(set, folder);
  WritePhoto(set, folder / "photo.png");
  CaptureTruth unmeasured;
  unmeasured.faults.resize(static_cast<std::size_t>(set.scenario.fault_count));
  WriteText(out / "truth.json", TruthText(MakeTruth(set, unmeasured)));
}

void WriteCase(const Scenario& scenario, const fs::path& out) {
  const Setting set = MakeSetting(scenario);
  const fs::path folder = out / "case";
  MakeFolder(folder);
  WriteCaseFile(set, true, folder / "case.ini");
  WriteTables(set, folder);
  WriteSupply(set, folder / "supply.csv");
  if (scenario.time_table > 0) WriteTimes(set, folder / "frames.csv");
  WritePhoto(set, folder / "photo.png");
  TiffSeries series(folder / "frames.tiff");
  const CaptureTruth truth = MakeFrames(set, [&series](const Counts& c) { series.Add(c); });
  WriteText(out / "truth.json", TruthText(MakeTruth(set, truth)));
}

}  // namespace ohmglow::simulate
