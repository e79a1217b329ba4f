// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "load_case.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "case_keys.h"
#include "case_pixels.h"
#include "case_remarks.h"
#include "count_pages.h"
#include "filmed_pages.h"
#include "frame_format.h"
#include "frame_times.h"
#include "frame_unit.h"
#include "ini_file.h"
#include "kelvin_frames.h"
#include "log_options.h"
#include "number_rule.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/input/case.h"
#include "paths_outside.h"
#include "photo.h"
#include "placement_case.h"
#include "read_scale.h"
#include "readable_frames.h"
#include "relative_frames.h"
#include "scale_check.h"
#include "supply_levels.h"
#include "surface_regions.h"
#include "tables.h"
#include "text.h"
#include "wall_tie.h"

namespace ohmglow {
namespace {

constexpr double kDefaultIntegerScaleK = 0.01;
constexpr double kDefaultFloatScaleK = 1;
constexpr double kDefaultReflectedC = 23;
constexpr const char* kNoTemperatures = " (not used: the frames are no temperatures)";

// Reads one case file, section by section.
class CaseReader {
 public:
  CaseReader(IniFile ini,
             std::filesystem::path folder,
             std::set<std::string> spare,
             std::unique_ptr<CountPages> pages)
      : ini_(std::move(ini)),
        folder_(std::move(folder)),
        spare_(std::move(spare)),
        given_(std::move(pages)) {
    case_.file = ini_.file();
  }

  Case Read() {
    if (const auto title = ini_.Find("title")) case_.title = title->value;
    case_.assumed = ListPathsOutside(ini_, folder_);
    ReadSurface();
    ReadFrames();
    ReadSupply();
    ReadBoard();
    return std::move(case_);
  }

 private:
  void Assume(const std::string& name,
              const std::string& value,
              const std::string& note = {},
              AssumedHow how = AssumedHow::kDefault) {
    case_.assumed.push_back({name, value, how, note});
  }

  [[noreturn]] void Fail(const IniEntry& entry, const std::string& what) const {
    throw InputError(ini_.Where(entry) + " " + what);
  }

  std::optional<std::filesystem::path> Path(const std::string& name) const {
    const auto entry = ini_.Find(name);
    if (!entry) return std::nullopt;
    if (entry->value.empty()) Fail(*entry, "is empty; name a file or remove the line");
    return folder_ / entry->value;
  }

  double Parse(const IniEntry& entry, NumberRule rule, const std::string& also) const {
    const auto value = ParseNumber(entry.value);
    if (!value) Fail(entry, "= " + Quoted(entry.value) + " is not a finite number" + also);
    if (!Obeys(*value, rule)) Fail(entry, "= " + Quoted(entry.value) + "; " + Describe(rule));
    return *value;
  }

  std::optional<double> Number(const std::string& name, NumberRule rule) const {
    const auto entry = ini_.Find(name);
    if (!entry) return std::nullopt;
    return Parse(*entry, rule, "; write it like 12.5, units are fixed");
  }

  double NumberOr(const std::string& name,
                  NumberRule rule,
                  double fallback,
                  const std::string& unit) {
    if (const auto value = Number(name, rule)) return *value;
    Assume(name, FormatNumber(fallback) + (unit.empty() ? "" : " " + unit));
    return fallback;
  }

  std::optional<double> NumberOrAuto(const std::string& name, NumberRule rule) {
    const auto entry = ini_.Find(name);
    if (!entry) Assume(name, "auto");
    if (!entry || ToLower(entry->value) == "auto") return std::nullopt;
    return Parse(*entry, rule, " and not auto");
  }

  void ReadSurface() {
    case_.emissivity = NumberOr("surface.emissivity", NumberRule::kFraction, case_.emissivity, "");
    surface_.emissivity = case_.emissivity;
    surface_.reflected_k = kZeroCelsiusK + kDefaultReflectedC;
    // A black surface reflects nothing, so no default takes part then.
    if (case_.emissivity < 1 || ini_.Find("surface.reflected_c")) {
      surface_.reflected_k = kZeroCelsiusK + NumberOr("surface.reflected_c",
                                                      NumberRule::kCelsius,
                                                      kDefaultReflectedC,
                                                      "degrees Celsius");
    }
    if (ReadWindow(ini_, surface_)) {
      Assume("surface.window_c",
             FormatNumber(surface_.window_k - kZeroCelsiusK) + " degrees Celsius");
    }
    case_.window_transmission = surface_.window_transmission;
    case_.film_w_m2k =
        NumberOr("surface.film_w_m2k", NumberRule::kPositive, case_.film_w_m2k, "W/(m2 K)");
  }

  // Whether the frames are no temperatures, as said or as they look.
  bool IsRelative(const CountPages& pages) {
    const auto unit = ini_.Find("frames.unit");
    if (!unit) {
      const bool is_video = !pages.times_s().empty() && CV_MAT_DEPTH(pages.type()) == CV_8U;
      const bool is_picture = is_video || pages.type() == CV_8UC3;
      if (is_picture) Assume("frames.unit", "relative", "pictures hold no temperatures");
      return is_picture;
    }
    if (ToLower(unit->value) != "relative") return false;
    for (const char* name : {"frames.scale", "frames.zero"}) {
      if (const auto also = ini_.Find(name)) Fail(*also, "has no meaning with unit = relative");
    }
    return true;
  }

  void ReadRelative(std::unique_ptr<CountPages> pages, const std::string& name) {
    RelativeOptions options;
    if (const auto warm = ini_.Find("frames.warm_end")) {
      options.dark_is_warm = ToLower(warm->value) == "dark";
      if (!options.dark_is_warm && ToLower(warm->value) != "bright") {
        Fail(*warm, "= " + Quoted(warm->value) + " must be bright or dark");
      }
    }
    const bool is_picture = CV_MAT_DEPTH(pages->type()) == CV_8U;
    const auto mm = Number("board.mm_per_pixel", NumberRule::kPositive);
    const int usual = is_picture ? UsualShrink(pages->size_px(), mm) : 1;
    const auto shrink = Number("frames.shrink", NumberRule::kShrink);
    options.shrink = static_cast<int>(shrink.value_or(usual));
    if (!shrink && usual > 1) {
      Assume("frames.shrink",
             std::to_string(usual),
             "frame coordinates of the result count such pixels");
    }
    shrink_ = options.shrink;
    case_.frames = std::make_shared<ReadableFrames>(
        std::make_unique<RelativeFrames>(std::move(pages), name, options));
  }

  // What was given in pixels of the pages, in pixels of the frames.
  void Shrink() {
    BinPlaces(shrink_, case_);
    // A mere default is one of the frames as they are worked on.
    if (ini_.Find("board.mm_per_pixel") || MmPerPixel(case_.landmarks))
      case_.mm_per_pixel *= shrink_;
  }

  std::unique_ptr<CountPages> OpenPages(const std::filesystem::path& source) {
    if (given_) return std::move(given_);
    const auto growing = Path("frames.growing");
    if (growing) return OpenFilmed(source, *growing, ReadFrameFormat(ini_));
    return OpenCounts(source, ReadFrameFormat(ini_));
  }

  void ReadFrames() {
    auto source = Path("frames.source");
    if (given_) source = "the frames";
    if (!source) {
      throw InputError(ini_.file().string() +
                       ": frames.source is missing; name the frames under [frames]");
    }
    auto pages = OpenPages(*source);
    const bool relative = IsRelative(*pages);
    CountScale scale;
    if (!relative) {
      if (pages->type() == CV_8UC3) {
        throw InputError(source->string() +
                         ": holds pictures in colours, which are no temperatures; set frames.unit "
                         "= relative, or leave it out");
      }
      scale = ReadScale(*source, *pages);
      surface_.band = scale.curve;
      CheckScale(*source, *pages, scale, StatesScale(ini_));
    }
    for (const std::string& note : pages->Notes()) {
      Assume("frames.source", note);
      case_.assumed.back().told = Remark::Quoted(note);
    }
    FrameTimes times = FindFrameTimes(ini_, folder_, *pages);
    case_.frame_times_s = std::move(times.time_s);
    frames_own_start_ = times.own_start;
    if (times.wall_s) frames_wall_ = FrameWall{*times.wall_s, times.zone_s, times.zone_open};
    case_.assumed.insert(case_.assumed.end(), times.assumed.begin(), times.assumed.end());
    if (relative) return ReadRelative(std::move(pages), source->string());
    measured_ = std::make_shared<ReadableTemperatures>(
        std::make_unique<KelvinFrames>(std::move(pages), scale, surface_));
    case_.frames = measured_;
    const auto shrink = Number("frames.shrink", NumberRule::kShrink);
    if (shrink) case_.binning = static_cast<int>(*shrink);
  }

  CountScale ReadScale(const std::filesystem::path& source, CountPages& pages) {
    if (auto other = ReadOtherScale(ini_)) return *std::move(other);
    if (const auto unit = ini_.Find("frames.unit"); unit && ToLower(unit->value) != "counts") {
      return ReadUnit(*unit);
    }
    const bool is_float = pages.type() == CV_32F;
    CountScale scale;
    scale.scale_k = is_float ? kDefaultFloatScaleK : kDefaultIntegerScaleK;
    if (!StatesScale(ini_)) {
      const auto unit = TellCountUnit(source, pages);
      if (unit && (unit->scale_k != scale.scale_k || unit->zero_k != 0)) {
        Assume("frames.unit", unit->name, "as the first frame shows a room then");
        return {unit->scale_k, unit->zero_k};
      }
    }
    scale.scale_k = NumberOr("frames.scale", NumberRule::kPositive, scale.scale_k, "K per count");
    scale.zero_k = NumberOr("frames.zero", NumberRule::kAny, 0, "K");
    return scale;
  }

  // Values in a unit of temperature: frames.scale and frames.zero are in that unit.
  CountScale ReadUnit(const IniEntry& entry) const {
    const auto unit = FindCountUnit(entry.value);
    if (!unit) {
      Fail(entry,
           "= " + Quoted(entry.value) + " must be kelvin, celsius, fahrenheit, counts or relative");
    }
    const double scale = Number("frames.scale", NumberRule::kPositive).value_or(1);
    const double zero = Number("frames.zero", NumberRule::kAny).value_or(0);
    return {unit->scale_k * scale, unit->zero_k + unit->scale_k * zero};
  }

  void ReadSupply() {
    const auto log = Path("supply.log");
    ReadSetLevels(log.has_value());
    case_.most_volts_v = Number("supply.volts", NumberRule::kPositive);
    if (!log) {
      // An offset alone has nothing to act on, but a bad number is still told.
      const auto entry = ini_.Find("supply.clock_offset_s");
      if (entry) case_.clock_offset_s = NumberOrAuto("supply.clock_offset_s", NumberRule::kAny);
      return;
    }
    ReadLog read = ReadSupplyLog(*log, "supply.log", ReadLogOptions(ini_));
    for (Assumption& one : LogAssumptions(read.reading)) case_.assumed.push_back(std::move(one));
    case_.supply = std::move(read.log);
    const bool has_volts = std::any_of(case_.supply->volts_v.begin(),
                                       case_.supply->volts_v.end(),
                                       [](double volts) { return std::isfinite(volts); });
    // What was measured goes before a setting.
    if (has_volts) case_.most_volts_v.reset();
    case_.log_reading = std::move(read.reading);
    case_.clock_offset_s = NumberOrAuto("supply.clock_offset_s", NumberRule::kAny);
    TieLog();
  }

  // Lays the log on the frames' clock, where both tell the time of day.
  void TieLog() {
    SupplyLog& log = *case_.supply;
    if (!log.wall || !frames_wall_) {
      const bool open = frames_own_start_ && !case_.clock_offset_s;
      if (!open || !BeginTogether(case_.frame_times_s, log)) return;
      return Assume("supply.log",
                    "counted from its own start, as its times and the frames' do not meet");
    }
    const auto tie =
        TieByWall(log, *frames_wall_, case_.frame_times_s, case_.clock_offset_s.value_or(0));
    if (!tie) {
      return Assume("supply.log",
                    "counted from its own start, as its clock and the frames' do "
                    "not meet in one time zone");
    }
    Assume("supply.log", DescribeTie(*tie, log, case_.frame_times_s));
    for (double& time_s : log.time_s) time_s += tie->shift_s;
    log.wall->since_1970_s -= tie->shift_s;
  }

  // Levels noted by hand, where no log tells them.
  void ReadSetLevels(bool has_log) {
    const auto text = ini_.Find("supply.levels");
    const auto steps = Path("supply.steps");
    if (int(has_log) + int(text.has_value()) + int(steps.has_value()) > 1) {
      throw InputError(ini_.file().string() +
                       ": supply.log, supply.levels and supply.steps say the same thing; keep one");
    }
    const auto within_s = Number("supply.levels_within_s", NumberRule::kPositive);
    const double used_s = within_s.value_or(SetLevel().within_s);
    if (text) case_.levels = ParseLevels(text->value, used_s, ini_.Where(*text));
    if (steps) case_.levels = ReadLevels(*steps, used_s, "supply.steps");
    CountFromFirstFrame();
    const bool timed = std::any_of(case_.levels.begin(), case_.levels.end(), [](const auto& level) {
      return level.start_s.has_value();
    });
    if (timed && text && !within_s) {
      Assume("supply.levels_within_s", FormatNumber(used_s) + " s");
    }
  }

  // Who notes times counts from the film's begin, whatever the frames' own clock shows then.
  void CountFromFirstFrame() {
    const double first_s = case_.frame_times_s.front();
    const bool before =
        std::any_of(case_.levels.begin(), case_.levels.end(), [&](const auto& level) {
          return level.start_s && *level.start_s > 0 && *level.start_s < first_s;
        });
    if (!before) return;
    for (SetLevel& level : case_.levels) {
      if (level.start_s) *level.start_s += first_s;
    }
    Assume("supply.levels", "timed from the first frame on");
  }

  void ReadBoard() {
    if (const auto side = ini_.Find("board.side")) {
      const auto parsed = ParseSide(side->value);
      if (!parsed) Fail(*side, "= " + Quoted(side->value) + " must be top or bottom");
      case_.side = *parsed;
    } else {
      Assume("board.side", "top");
    }
    const auto with = [&](const char* key, const auto& read) {
      if (const auto file = Path(key)) ReadOptional(key, *file, read);
    };
    with("board.photo", [&](const auto& file) { case_.photo = ReadPhoto(file); });
    with("board.points", [&](const auto& file) {
      case_.landmarks = ReadLandmarks(file, "board.points");
      RequireInView(case_.landmarks, case_.frames->size_px() * shrink_, file);
    });
    with("board.parts", [&](const auto& file) { ReadPartsList(file); });
    with("board.contacts",
         [&](const auto& file) { case_.contacts = ReadContacts(file, "board.contacts"); });
    ReadSurfaceRegions();
    ReadMmPerPixel();
    if (shrink_ > 1) Shrink();
    case_.thickness_mm =
        NumberOr("board.thickness_mm", NumberRule::kPositive, case_.thickness_mm, "mm");
    case_.sheet_conductance_w_k =
        NumberOrAuto("board.sheet_conductance_w_k", NumberRule::kPositive);
    case_.heat_capacity_j_m2k = NumberOrAuto("board.heat_capacity_j_m2k", NumberRule::kPositive);
  }

  // Parts of another emissivity, and over them what the table says.
  void ReadSurfaceRegions() {
    std::vector<SurfaceRegion> regions;
    if (const auto text = ini_.Find("surface.parts")) {
      regions = SurfacesOfParts(text->value, ini_.Where(*text), case_.parts, case_.side);
    }
    if (const auto file = Path("surface.regions")) {
      const auto told = ohmglow::ReadSurfaceRegions(*file, "surface.regions");
      regions.insert(regions.end(), told.begin(), told.end());
    }
    if (regions.empty()) return;
    Assume("surface.regions", DescribeSurfaces(regions) + (measured_ ? "" : kNoTemperatures));
    if (measured_) case_.assumed.back().told = TellSurfaces(regions);
    if (measured_) measured_->SetSurfaceRegions(std::move(regions));
  }

  // A file that the case can do without.
  template <typename Read>
  void ReadOptional(const std::string& key, const std::filesystem::path& file, const Read& read) {
    try {
      read(file);
    } catch (const InputError& error) {
      if (spare_.contains(key)) return Assume(key, "none", error.what(), AssumedHow::kNotUsed);
      std::error_code code;
      if (std::filesystem::exists(file, code)) throw;
      throw InputError(std::string(error.what()) + ", or remove that line to go on without it");
    }
  }

  void ReadPartsList(const std::filesystem::path& file) {
    PlacementList list = ReadCaseParts(file, ini_);
    case_.parts = std::move(list.parts);
    case_.unsized_columns = std::move(list.unsized_columns);
    if (!list.columns.empty()) Assume("board.parts_columns", list.columns);
    for (const std::string& guess : list.guesses) {
      Assume("board.parts", file.filename().string(), guess);
    }
    if (list.lost_rows.empty()) return;
    Assume("board.parts", file.filename().string(), list.lost_rows);
    case_.assumed.back().told = Remark(RemarkKind::kPartRowsLost).With("what", list.lost_rows);
  }

  void ReadMmPerPixel() {
    const auto from_points = MmPerPixel(case_.landmarks);
    if (!ini_.Find("board.mm_per_pixel") && from_points) {
      case_.mm_per_pixel = *from_points;
      return Assume("board.mm_per_pixel", FormatNumber(*from_points) + " mm", "from board.points");
    }
    const auto given = Number("board.mm_per_pixel", NumberRule::kPositive);
    if (given) case_.mm_per_pixel = *given;
    if (!given) case_.assumed.push_back(AssumedScale(case_.mm_per_pixel, !case_.parts.empty()));
  }

  IniFile ini_;
  std::filesystem::path folder_;
  std::set<std::string> spare_;
  std::unique_ptr<CountPages> given_;  // Instead of frames.source.
  Case case_;
  SurfaceOptions surface_;
  std::shared_ptr<MeasuredFrames> measured_;  // The case's frames, where they are temperatures.
  int shrink_ = 1;
  bool frames_own_start_ = false;
  std::optional<FrameWall> frames_wall_;  // Clock at the frames' time 0.
};

}  // namespace

Case ReadCase(IniFile ini,
              const std::filesystem::path& folder,
              const std::set<std::string>& spare) {
  return CaseReader(std::move(ini), folder, spare, nullptr).Read();
}

Case ReadCase(IniFile ini, const std::filesystem::path& folder, std::unique_ptr<CountPages> pages) {
  return CaseReader(std::move(ini), folder, {}, std::move(pages)).Read();
}

Case LoadCase(const std::filesystem::path& case_file) {
  return ReadCase(IniFile(case_file, CaseKeys()), case_file.parent_path());
}

}  // namespace ohmglow
