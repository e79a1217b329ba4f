// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow {

enum class Paper { kA4, kLetter };
enum class TemperatureUnit { kCelsius, kFahrenheit };

/// A day of the Gregorian calendar.
struct SheetDate {
  int year = 2000;
  int month = 1;
  int day = 1;
};

/// Reads "2026-11-25" (ISO 8601).
/// @throws OptionError  where it is none, or no such day exists.
[[nodiscard]] SheetDate ParseSheetDate(std::string_view text);

/// Who hands the page over. Empty parts are left out.
struct Shop {
  std::string name;
  std::string address;
  std::string phone;
  std::string mail;
  std::string web;
  std::string tax;  ///< Registration or tax number, as the place's rules want it.
  cv::Mat logo;     ///< 8-bit BGR; may be empty.
};

enum class RepairVerdict { kRepaired, kNotRepaired, kNewPlace, kUndecided };

/// Temperatures of an area before and after the work; empty where it was not seen.
struct RegionCheck {
  struct Numbers {
    double mean_c = 0;
    double spread_k = 0;  ///< Standard deviation over the area.
  };
  std::string name;
  std::optional<Numbers> before;
  std::optional<Numbers> after;
};

/// What a second measurement after the work has shown.
struct RepairCheck {
  struct Place {
    Point frame_px;       ///< In the view of `before_k`.
    bool is_new = false;  ///< Warm only after the work.
  };
  /// Volts over amps of the supply [ohm]; empty where a log had no volts.
  struct Resistance {
    double before_ohm = 0;
    double after_ohm = 0;
    bool is_same = false;  ///< Not further apart than the measurement may err.
  };
  RepairVerdict verdict = RepairVerdict::kUndecided;
  std::optional<double> prob;  ///< Of the verdict.
  std::optional<Resistance> resistance;
  Image before_k;   ///< Rise [K].
  Image after_k;    ///< Rise for the same current [K], same view; NaN where unseen.
  Image outline_k;  ///< Static picture in that view [K]; may be empty.
  std::vector<Place> places;
  /// No heat was compared, only temperatures of regions: `verdict` says nothing.
  bool only_regions = false;
  std::vector<RegionCheck> regions;  ///< Shown where only_regions.
};

/// Everything that goes on the customer's page. All texts are data: they are
/// cleaned where they are drawn, whatever they hold.
struct SheetContent {
  /// reference_k and response_k may be empty: then there is no thermal picture.
  LocateResult result;
  cv::Mat photo;           ///< 8-bit BGR; may be empty.
  double photo_scale = 1;  ///< Photo pixels per photo pixel of `result`.
  std::optional<RepairCheck> repair;
  std::string notes;  ///< What was done, in the user's words; lines are paragraphs.
  Shop shop;
  SheetDate date;
  TemperatureUnit unit = TemperatureUnit::kCelsius;
  Paper paper = Paper::kA4;
  Words words;
  /// Makes a JPEG file of 8-bit BGR pixels, so that a PDF stays small; empty: the
  /// PDF holds the bare pixels.
  std::function<std::string(const cv::Mat& bgr)> encode_jpeg;
};

/// The page as PDF 1.4, one page, text searchable, fonts embedded. The same
/// content gives the same bytes.
/// How sure a place is stands in words: almost certain from 95 %, very likely
/// from 80 %, likely from 60 %, possible from 35 %, unlikely below; the page says so.
/// @throws OutputError  where the PDF cannot be made.
[[nodiscard]] std::string DrawSheetPdf(const SheetContent& content);

/// The same page as a picture.
/// @param dots_per_inch  20 to 600.
/// @return               8-bit BGR.
/// @throws OptionError   where dots_per_inch is out of range.
[[nodiscard]] cv::Mat DrawSheetPicture(const SheetContent& content, double dots_per_inch);

/// Which of the user's texts found room on the page; what does not is cut with
/// an ellipsis.
struct SheetFit {
  bool notes = true;
  bool title = true;
};
[[nodiscard]] SheetFit FitSheet(const SheetContent& content);

/// FitSheet(content).notes.
[[nodiscard]] bool NotesFit(const SheetContent& content);

}  // namespace ohmglow
