// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <sstream>

#include "convert/kept_case.h"
#include "input/case_remarks.h"
#include "input/text.h"
#include "ohmglow/input/measured_frames.h"
#include "ohmglow/input/radiometry.h"
#include "ohmglow/version.h"

namespace ohmglow {
namespace {

// Without what the sum with 273.15 leaves in the last digits.
double Celsius(double kelvin) {
  constexpr double kPerDegree = 1e9;
  return std::round((kelvin - kZeroCelsiusK) * kPerDegree) / kPerDegree;
}

// File names stay, the folders they lay in are nobody's business.
std::string WithoutFolders(const std::string& text) {
  std::istringstream words(OneLine(text));
  std::string all;
  for (std::string word; words >> word;) {
    if (word.starts_with('/')) word.erase(0, word.rfind('/') + 1);
    all += (all.empty() ? "" : " ") + word;
  }
  return all;
}

class CaseText {
 public:
  explicit CaseText(const Case& job) : job_(job) {
    text_ = "; A tidy copy of a capture, made by ohmglow " OHMGLOW_VERSION
            ". 'ohmglow help case' tells the\n"
            "; format. Values are as given with the original, unless a comment says otherwise.\n\n";
  }

  void Comment(const std::string& comment) { text_ += "; " + comment + '\n'; }

  void Section(const std::string& name) {
    section_ = name;
    text_ += "\n[" + name + "]\n";
  }

  void Line(const std::string& key, const std::string& value, const std::string& what) {
    Comment(what);
    text_ += key + " = " + value + '\n';
  }

  // A line of a value that may have been assumed: as a comment it stays so.
  void Value(const std::string& key, const std::string& value, const std::string& what) {
    const std::string name = section_ + "." + key;
    const bool assumed = FindAssumed(job_.assumed, name) != nullptr;
    told_.push_back(name);
    Comment(what + (assumed ? " Not given; the program takes:" : ""));
    text_ += (assumed ? "; " : "") + key + " = " + value + '\n';
  }

  void Value(const std::string& key, double value, const std::string& what) {
    Value(key, FormatNumber(value), what);
  }

  // What was assumed of the original's files, which are here no more.
  void RestAssumed() {
    bool first = true;
    for (const Assumption& one : job_.assumed) {
      const bool told = std::find(told_.begin(), told_.end(), one.key) != told_.end();
      const bool of_folder = one.how == AssumedHow::kInFolder || one.how == AssumedHow::kSetAside;
      if (told || of_folder) continue;
      if (first) text_ += "\n; Taken for granted when the original was read:\n";
      first = false;
      Comment("- " + WithoutFolders(ToText(one)));
    }
  }

  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  const Case& job_;
  std::string section_;
  std::string text_;
  std::vector<std::string> told_;
};

void AddCounts(const KeptCounts& counts, CaseText& text) {
  if (!counts.left_out.empty()) {
    text.Comment(std::to_string(counts.left_out.size()) +
                 " of the original's frames could not be read and are left out, with their times.");
  }
  const char* const steps = counts.original_steps
                                ? "The steps are those of the original: nothing was rounded."
                                : "Half a step is the most that a value was rounded by.";
  if (counts.curve) {
    text.Comment(std::string("What a count means: the camera's curve, for these counts. ") + steps);
    text.Line("curve_gain", FormatNumber(counts.curve->gain), "count = dark + gain / (exp(");
    text.Line("curve_wavelength_um",
              FormatNumber(counts.curve->wavelength_um),
              "  14387.77 / (wavelength T + shift)) - 1), T in kelvin.");
    text.Line("curve_shift_um_k", FormatNumber(counts.curve->shift_um_k), "um K.");
    text.Line("curve_dark", FormatNumber(counts.curve->dark), "Counts at the coldest.");
    return;
  }
  text.Line(
      "scale", FormatNumber(counts.scale), std::string("kelvin = zero + scale x count. ") + steps);
  text.Line("zero", FormatNumber(counts.zero), "Kelvin.");
}

void AddFrames(const Case& job, const KeptCounts& counts, CaseText& text) {
  const bool relative = job.frames->values() == FrameValues::kRelative;
  const cv::Size size = job.frames->size_px();
  text.Section("frames");
  text.Line("source",
            "frames.tiff",
            std::to_string(job.frames->count()) + " frames of " + std::to_string(size.width) +
                " x " + std::to_string(size.height) + " px, counts of 16 bits. Count 0: no value.");
  if (relative) {
    text.Line(
        "unit", "relative", "The counts are no temperatures, only higher where it is warmer.");
  } else {
    text.Comment("Temperatures are as a camera set to emissivity 1 shows them; see [surface].");
    AddCounts(counts, text);
    if (job.binning) text.Line("shrink", std::to_string(*job.binning), "Pixels worked on as one.");
  }
  text.Line("times", "frames.csv", "Seconds, a row for each frame.");
}

void AddSupply(const Case& job, CaseText& text) {
  text.Section("supply");
  if (job.supply) {
    text.Line("log",
              "supply.csv",
              std::to_string(job.supply->time_s.size()) +
                  " readings: seconds, volts where known, "
                  "amps.");
    text.Value("clock_offset_s",
               job.clock_offset_s ? FormatNumber(*job.clock_offset_s) : "auto",
               "Seconds from the log's times to those of the frames; auto: found from the heat.");
  }
  if (!job.levels.empty()) {
    text.Line("steps",
              "steps.csv",
              "The currents that were set, in order; times, where noted, good to within_s.");
  }
  if (job.most_volts_v)
    text.Value("volts", *job.most_volts_v, "The voltage the supply was set to.");
}

void AddBoard(const Case& job, CaseText& text) {
  const auto auto_or = [](const std::optional<double>& value) {
    return value ? FormatNumber(*value) : std::string("auto");
  };
  text.Section("board");
  text.Value("side", job.side == BoardSide::kTop ? "top" : "bottom", "The side in view.");
  // Where the parts list will give the scale, no number stands for it.
  const Assumption* scale = FindAssumed(job.assumed, "board.mm_per_pixel");
  if (!scale || scale->how != AssumedHow::kByList) {
    text.Value(
        "mm_per_pixel", job.mm_per_pixel, "Millimetres of the board that a frame pixel shows.");
  }
  text.Value("thickness_mm", job.thickness_mm, "Of the board.");
  text.Value("sheet_conductance_w_k",
             auto_or(job.sheet_conductance_w_k),
             "Conductivity times thickness; auto: found from the heat.");
  text.Value("heat_capacity_j_m2k",
             auto_or(job.heat_capacity_j_m2k),
             "Of an area of the board; auto: from its thickness.");
  if (!job.photo.empty()) text.Line("photo", "photo.png", "The side in view, pixels alone.");
  if (!job.landmarks.empty()) {
    text.Line("points", "points.csv", "Landmarks in frame, photo and, where known, on the board.");
  }
  if (!job.parts.empty()) {
    text.Line("parts", "parts.csv", std::to_string(job.parts.size()) + " parts, millimetres.");
  }
  if (!job.contacts.empty()) text.Line("contacts", "contacts.csv", "Where the leads touch.");
}

void AddSurface(const Case& job, const SurfaceOptions& surface, CaseText& text) {
  const bool relative = job.frames->values() == FrameValues::kRelative;
  text.Section("surface");
  text.Value("emissivity", job.emissivity, "Of the surface, 0 to 1.");
  if (!relative) {
    text.Value("reflected_c",
               Celsius(surface.reflected_k),
               "Reflected apparent temperature, degrees Celsius.");
    if (surface.window_transmission < 1) {
      text.Value("window_transmission",
                 surface.window_transmission,
                 "Share of the radiation that the window lets through.");
      text.Value(
          "window_c", Celsius(surface.window_k), "The window's temperature, degrees Celsius.");
    }
  }
  if (!SurfaceRegionsOf(job.frames.get()).empty()) {
    text.Line("regions", "surface.csv", "Where emissivity is another one, parts among them.");
  }
  text.Value("film_w_m2k", job.film_w_m2k, "Convection and radiation of one side.");
}

// Quotes keep blanks and comment signs; of the two kinds only one can stand inside.
std::string Title(std::string title) {
  title = OneLine(std::move(title));
  std::replace(title.begin(), title.end(), '"', '\'');
  return '"' + title + '"';
}

}  // namespace

std::string KeptCaseText(const Case& job, const KeptCounts& counts) {
  CaseText text(job);
  if (!job.title.empty()) text.Line("title", Title(job.title), "Free text.");
  AddFrames(job, counts, text);
  AddSupply(job, text);
  AddBoard(job, text);
  AddSurface(job, counts.surface, text);
  text.RestAssumed();
  return text.text();
}

}  // namespace ohmglow
