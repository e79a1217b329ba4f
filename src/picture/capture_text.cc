// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include "input/case_remarks.h"
#include "ohmglow/input/radiometry.h"
#include "ohmglow/picture/capture_report.h"
#include "ohmglow/words/say.h"
#include "picture/check_words.h"
#include "picture/text.h"

namespace ohmglow {
namespace {

using internal::FormatDigits;
using internal::WrapColumns;

constexpr int kColumns = 100;
constexpr int kRoleColumns = 11;
constexpr int kMostNameColumns = 30;
constexpr std::size_t kMostLevels = 12;
constexpr std::size_t kMostChars = 300;

template <typename... Values>
std::string Format(const char* text, Values... values) {
  char buffer[300];
  std::snprintf(buffer, sizeof buffer, text, values...);
  return buffer;
}

std::string Padded(std::string text, int columns) {
  const int missing = columns - internal::NumColumns(text);
  return text.append(static_cast<std::size_t>(std::max(0, missing)), ' ');
}

std::string Headline(const CaptureCheck& check) {
  const std::size_t count = check.todo.size();
  switch (check.usable) {
    case Usable::kYes:
      return "Usable: nothing needs to be done again.";
    case Usable::kWithWarnings:
      return "Usable, but " +
             (count == 1 ? std::string("one thing") : std::to_string(count) + " things") +
             " would make it better: see below.";
    case Usable::kNo:
      break;
  }
  return "Not usable as it is: see below what to do.";
}

class Table {
 public:
  void Row(const std::string& name, const std::string& text) {
    if (text.empty()) return;
    std::string head = "  " + name;
    for (const std::string& line : WrapColumns(text, kColumns - kRoleColumns, 0)) {
      text_ += Padded(head, kRoleColumns) + line + "\n";
      head.clear();
    }
  }
  // A name and what is said of it; both stay on one line.
  void Row(const std::string& name, const std::string& what, int width, const std::string& text) {
    text_ += internal::CutToColumns(
                 Padded("  " + name, kRoleColumns) + Padded(what, width + 2) + text, kColumns) +
             "\n";
  }
  void Head(const std::string& text) { text_ += text + "\n"; }
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  std::string text_;
};

std::string FramesText(const CaptureCheck& check) {
  std::string text =
      Format("%d in %.1f s", check.num_frames, check.length_s) +
      (check.rate_hz > 0 ? ", " + FormatDigits(check.rate_hz, 2) + " a second" : std::string());
  text += check.lost_frames > 0 ? Format("; %d missing by their times", check.lost_frames)
                                : std::string(", no gap");
  if (check.num_looked_at < check.num_frames) {
    text += Format("; %d of them looked at", check.num_looked_at);
  }
  if (check.values == FrameValues::kRelative) text += "; pictures, not temperatures: no watts";
  if (check.hottest_k > 0) {
    text += Format("; %.0f to %.0f \u00b0C at first",
                   check.coldest_k - kZeroCelsiusK,
                   check.hottest_k - kZeroCelsiusK);
  }
  return text;
}

std::string LeftOutText(const CaptureCheck& check) {
  std::string text;
  for (const LeftOut& row : check.left_out) {
    text += (text.empty() ? "" : "; ") + std::to_string(row.frames) + ": " +
            internal::CleanText(SayInShort(row.reason), kMostChars);
  }
  return text;
}

std::string ViewText(const CaptureCheck& check) {
  if (!check.view) return {};
  const ViewCheck& view = *check.view;
  const auto with_mm = [&](double px) {
    if (ScaleIsGuess(check.assumed)) return internal::FormatPx(px);
    return internal::FormatPx(px) + " (" + FormatDigits(px * check.mm_per_pixel, 2) + " mm)";
  };
  std::string text;
  if (view.verdict == RegistrationVerdict::kNotTold) {
    text = "whether it moved cannot be told";
  } else {
    text = "moved by up to " + with_mm(view.largest_shift_px) + ", frames put right to " +
           with_mm(view.error_px);
  }
  if (view.shutter_events > 0) {
    text += Format("; %d shutter event%s", view.shutter_events, view.shutter_events > 1 ? "s" : "");
  }
  return text;
}

std::string LevelsText(const CaptureCheck& check) {
  std::string text;
  for (std::size_t i = 0; i < std::min(check.levels.size(), kMostLevels); ++i) {
    const SupplyLevel& level = check.levels[i];
    const std::string amps =
        std::isfinite(level.amps_a) ? FormatDigits(level.amps_a, 3) + " A for " : "";
    text += (i > 0 ? ", " : "") + amps + Format("%.1f s", level.end_s - level.start_s);
  }
  if (check.levels.size() > kMostLevels) {
    text += ", and " + std::to_string(check.levels.size() - kMostLevels) + " more";
  }
  if (!check.levels.empty() && !std::isfinite(check.levels.front().amps_a)) {
    text += "; found in the frames alone, currents not known";
  }
  return text;
}

std::string ClockText(const CaptureCheck& check) {
  if (check.clock_open) return "how the log's clock runs against the frames' is not known";
  if (!check.clock_offset_s) return {};
  const std::string sigma =
      check.clock_sigma_s ? Format(" +- %.2f s", *check.clock_sigma_s) : " as given";
  const double offset_s = *check.clock_offset_s;
  return Format("the log's clock is %.2f s", std::abs(offset_s)) + sigma +
         (offset_s < 0 ? " ahead of" : " behind") + " the frames'";
}

std::string InViewText(const CaptureCheck& check) {
  const double mm = check.mm_per_pixel;
  std::string text =
      (ScaleIsGuess(check.assumed)
           ? "at a guessed " + FormatDigits(mm, 2) + " mm a pixel, the board's "
           : Format("%.0f x %.0f mm, ", mm * check.size_px.width, mm * check.size_px.height) +
                 FormatDigits(mm, 2) + " mm a pixel, the board's ") +
      (check.side == BoardSide::kTop ? "top" : "bottom");
  if (check.num_parts_seen) {
    text += Format("; %d of the side's %d parts", *check.num_parts_seen, check.num_parts);
    if (!check.parts_unseen.empty()) {
      text += ", not " + internal::CleanText(Say(check.parts_unseen), kMostChars);
    }
  } else if (check.has_parts) {
    text += "; the parts list is not tied to the frames";
  } else {
    text += "; no parts list, so places get no names";
  }
  return text;
}

std::string ShowsText(const CaptureCheck& check) {
  if (!check.detectable_w || !check.top_amps_a) return {};
  return "a fault that takes " + internal::FormatPower(*check.detectable_w) + " or more" +
         (*check.top_amps_a > 0 ? " at " + FormatDigits(*check.top_amps_a, 2) + " A" : "");
}

void AddFiles(const std::vector<FileNote>& files, Table& table) {
  if (files.empty()) return;
  const auto shown = [](const FileNote& file) {
    return internal::CutToColumns(internal::CleanText(file.name, kMostChars), kMostNameColumns);
  };
  int width = 0;
  for (const FileNote& file : files) {
    width = std::max(width, internal::NumColumns(shown(file)));
  }
  table.Head("Files");
  for (const FileNote& file : files) table.Row(file.role, shown(file), width, file.understood);
}

void AddToDo(const std::vector<ToDo>& todo, std::string& text) {
  if (todo.empty()) return;
  text += "To do\n";
  for (const ToDo& item : todo) {
    const std::string line = "- " + internal::AsSentence(Say(item.why)) +
                             (item.why.empty() ? "" : " ") + internal::AsSentence(Say(item.what));
    for (const std::string& row : WrapColumns(line, kColumns, 2)) text += row + "\n";
  }
}

}  // namespace

std::string ToCaptureText(const CaptureCheck& check, const std::vector<FileNote>& files) {
  Table table;
  table.Head(Headline(check));
  AddFiles(files, table);
  table.Head("Capture");
  table.Row("frames", FramesText(check));
  table.Row("left out", LeftOutText(check));
  if (check.noise_k) table.Row("noise", Format("%.0f mK a frame", 1e3 * *check.noise_k));
  table.Row("view", ViewText(check));
  table.Row("levels", LevelsText(check));
  table.Row("clock", ClockText(check));
  table.Row("in view", InViewText(check));
  table.Row("shows", ShowsText(check));
  std::string assumed;
  for (const Assumption& one : check.assumed) {
    assumed += (assumed.empty() ? "" : "; ") + ToText(one);
  }
  table.Row("assumed", internal::CleanText(assumed, 2 * kMostChars));
  std::string text = table.text();
  AddToDo(check.todo, text);
  return text;
}

}  // namespace ohmglow
