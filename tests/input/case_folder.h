// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <map>
#include <opencv2/imgcodecs.hpp>
#include <string>

#include "support/temp_folder.h"
#include "tiff_writer.h"

namespace ohmglow::testing {

/// A complete, correct case of four 12 x 8 frames, whose files a test then
/// spoils. The board is 0.5 mm a pixel.
class CaseFolder {
 public:
  CaseFolder() {
    std::vector<cv::Mat> pages;
    for (int i = 0; i < 4; ++i) pages.push_back(RampPage(i, {12, 8}, CV_16U));
    WriteTiff(folder_ / "frames.tiff", pages, {.compression = COMPRESSION_ADOBE_DEFLATE});
    cv::imwrite((folder_ / "photo.png").string(), cv::Mat(4, 6, CV_8UC3, cv::Scalar(9, 8, 7)));
    folder_.Write("frames.csv", "index,time_s\n0,10\n1,10.1\n2,10.25\n3,10.3\n");
    folder_.Write("supply.csv", "time_s,volts,amps\n0,0,0\n0.5,0.1,0.25\n");
    folder_.Write("points.csv",
                  "frame_x,frame_y,photo_x,photo_y,board_x_mm,board_y_mm\n"
                  "0,0,1,1,0,0\n10,0,5,1,5,0\n0,6,1,3,0,3\n10,6,5,3,5,3\n");
    folder_.Write("parts.csv", "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,1,0.5,top\n");
    folder_.Write("contacts.csv", "frame_x,frame_y,name\n-3,4,plus\n");
    Set("title", "Tide gauge");
    Set("frames.source", "frames.tiff");
    Set("frames.scale", "0.01");
    Set("frames.zero", "0");
    Set("frames.times", "frames.csv");
    Set("supply.log", "supply.csv");
    Set("supply.clock_offset_s", "auto");
    Set("board.side", "bottom");
    Set("board.mm_per_pixel", "0.45");
    Set("board.thickness_mm", "1.2");
    Set("board.sheet_conductance_w_k", "0.02");
    Set("board.heat_capacity_j_m2k", "2100");
    Set("board.photo", "photo.png");
    Set("board.points", "points.csv");
    Set("board.parts", "parts.csv");
    Set("board.contacts", "contacts.csv");
    Set("surface.emissivity", "0.9");
    Set("surface.reflected_c", "21.5");
    Set("surface.film_w_m2k", "9");
  }

  void Set(const std::string& name, const std::string& value) { values_[name] = value; }
  void Remove(const std::string& name) { values_.erase(name); }
  [[nodiscard]] const TempFolder& folder() const { return folder_; }

  /// Writes case.ini as it stands now.
  [[nodiscard]] std::filesystem::path Ini() const {
    std::map<std::string, std::string> sections;
    for (const auto& [name, value] : values_) {
      const std::size_t dot = name.find('.');
      const std::string section = dot == std::string::npos ? "" : name.substr(0, dot);
      sections[section] += name.substr(dot == std::string::npos ? 0 : dot + 1);
      sections[section] += " = " + value + "\n";
    }
    std::string text;
    for (const auto& [section, lines] : sections) {
      if (!section.empty()) text += "[" + section + "]\n";
      text += lines;
    }
    return folder_.Write("case.ini", text);
  }

 private:
  TempFolder folder_;
  std::map<std::string, std::string> values_;
};

}  // namespace ohmglow::testing
