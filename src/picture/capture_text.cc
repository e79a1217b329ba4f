// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "input/case_remarks.h"
#include "ohmglow/input/radiometry.h"
#include "ohmglow/picture/capture_report.h"
#include "ohmglow/words/say.h"
#include "ohmglow/words/say_clauses.h"
#include "picture/check_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using internal::WrapColumns;

constexpr int kColumns = 80;  // Of a terminal as it opens: it would break a line anywhere.
constexpr int kMostNameColumns = 30;
constexpr std::size_t kMostLevels = 12;
constexpr std::size_t kMostChars = 300;

std::string Padded(std::string text, int columns) {
  const int missing = columns - internal::NumColumns(text);
  return text.append(static_cast<std::size_t>(std::max(0, missing)), ' ');
}

/// The parts of the text, in the words of a language.
class CaptureWords {
 public:
  CaptureWords(const CaptureCheck& check, const Words& words) : check_(check), words_(words) {}

  [[nodiscard]] std::string Headline() const;
  [[nodiscard]] std::string Frames() const;
  [[nodiscard]] std::string LeftOut() const;
  [[nodiscard]] std::string Noise() const;
  [[nodiscard]] std::string View() const;
  [[nodiscard]] std::string Levels() const;
  [[nodiscard]] std::string Clock() const;
  [[nodiscard]] std::string InView() const;
  [[nodiscard]] std::string Shows() const;
  [[nodiscard]] std::string Assumed() const;

 private:
  [[nodiscard]] std::string Get(std::string_view key) const { return words_.Get(key); }
  [[nodiscard]] std::string Fill(std::string_view key, const Words::Values& values) const {
    return words_.Fill(key, values);
  }
  // {start} is what was said so far.
  void Add(std::string& text, std::string_view key, Words::Values values = {}) const {
    values.emplace_back("start", text);
    text = words_.Fill(key, values);
  }
  [[nodiscard]] std::string Fixed(double value, const char* decimals) const {
    return internal::FormNumber(value, decimals, words_);
  }
  [[nodiscard]] std::string Digits(double value, int digits) const {
    return internal::DigitsText(value, digits, words_);
  }

  const CaptureCheck& check_;
  const Words& words_;
};

std::string CaptureWords::Headline() const {
  const std::size_t count = check_.todo.size();
  switch (check_.usable) {
    case Usable::kYes:
      return Get("capture.usable");
    case Usable::kWithWarnings:
      if (count == 1) return Get("capture.one_thing");
      return Fill("capture.things", {{"count", std::to_string(count)}});
    case Usable::kNo:
      break;
  }
  return Get("capture.not_usable");
}

std::string CaptureWords::Frames() const {
  std::string text = Fill(
      "capture.frames",
      {{"count", std::to_string(check_.num_frames)}, {"seconds", Fixed(check_.length_s, "1")}});
  if (check_.rate_hz > 0) Add(text, "capture.rate", {{"rate", Digits(check_.rate_hz, 2)}});
  if (check_.lost_frames > 0) {
    Add(text, "capture.missing", {{"count", std::to_string(check_.lost_frames)}});
  } else {
    Add(text, "capture.no_gap");
  }
  if (check_.num_looked_at < check_.num_frames) {
    Add(text, "capture.looked_at", {{"count", std::to_string(check_.num_looked_at)}});
  }
  if (check_.values == FrameValues::kRelative) Add(text, "capture.relative");
  if (check_.hottest_k > 0) {
    Add(text,
        "capture.range",
        {{"low", Fixed(check_.coldest_k - kZeroCelsiusK, "0")},
         {"high", Fixed(check_.hottest_k - kZeroCelsiusK, "0")}});
  }
  return text;
}

std::string CaptureWords::LeftOut() const {
  std::string text;
  for (const ohmglow::LeftOut& row : check_.left_out) {
    text += (text.empty() ? "" : "; ") + std::to_string(row.frames) + ": " +
            internal::CleanText(SayInShort(row.reason, words_), kMostChars);
  }
  return text;
}

std::string CaptureWords::Noise() const {
  if (!check_.noise_k) return {};
  return Fill("capture.noise", {{"noise", Fixed(1e3 * *check_.noise_k, "0")}});
}

std::string CaptureWords::View() const {
  if (!check_.view) return {};
  const ViewCheck& view = *check_.view;
  const auto with_mm = [&](double px) {
    const std::string text = internal::FormatPx(px, words_);
    if (ScaleIsGuess(check_.assumed)) return text;
    return text + " (" + Digits(px * check_.mm_per_pixel, 2) + " mm)";
  };
  std::string text =
      view.verdict == RegistrationVerdict::kNotTold
          ? Get("capture.not_told")
          : Fill("capture.moved",
                 {{"shift", with_mm(view.largest_shift_px)}, {"error", with_mm(view.error_px)}});
  if (view.shutter_events == 1) Add(text, "capture.shutter_one");
  if (view.shutter_events > 1) {
    Add(text, "capture.shutter", {{"count", std::to_string(view.shutter_events)}});
  }
  return text;
}

std::string CaptureWords::Levels() const {
  std::vector<std::string> levels;
  for (std::size_t i = 0; i < std::min(check_.levels.size(), kMostLevels); ++i) {
    const SupplyLevel& level = check_.levels[i];
    const std::string seconds = Fixed(level.end_s - level.start_s, "1");
    levels.push_back(
        std::isfinite(level.amps_a)
            ? Fill("capture.level", {{"amps", Digits(level.amps_a, 3)}, {"seconds", seconds}})
            : seconds + " s");
  }
  std::string text = internal::ListText(levels, words_, "list.comma", "list.comma");
  if (check_.levels.size() > kMostLevels) {
    Add(text,
        "capture.more_levels",
        {{"count", std::to_string(check_.levels.size() - kMostLevels)}});
  }
  if (!check_.levels.empty() && !std::isfinite(check_.levels.front().amps_a)) {
    Add(text, "capture.found_levels");
  }
  return text;
}

std::string CaptureWords::Clock() const {
  if (check_.clock_open) return Get("capture.clock_open");
  if (!check_.clock_offset_s) return {};
  const double offset_s = *check_.clock_offset_s;
  const std::string offset = Fixed(std::abs(offset_s), "2");
  const std::string known =
      check_.clock_sigma_s
          ? Fill("capture.offset",
                 {{"offset", offset}, {"error", Fixed(*check_.clock_sigma_s, "2")}})
          : Fill("capture.offset_given", {{"offset", offset}});
  return Fill(offset_s < 0 ? "capture.clock_ahead" : "capture.clock_behind", {{"offset", known}});
}

std::string CaptureWords::InView() const {
  const double mm = check_.mm_per_pixel;
  const std::string side = Get(check_.side == BoardSide::kTop ? "capture.top" : "capture.bottom");
  std::string text = ScaleIsGuess(check_.assumed)
                         ? Fill("capture.size_guessed", {{"scale", Digits(mm, 2)}, {"side", side}})
                         : Fill("capture.size",
                                {{"width", Fixed(mm * check_.size_px.width, "0")},
                                 {"height", Fixed(mm * check_.size_px.height, "0")},
                                 {"scale", Digits(mm, 2)},
                                 {"side", side}});
  if (!check_.num_parts_seen) {
    Add(text, check_.has_parts ? "capture.parts_untied" : "capture.no_parts");
    return text;
  }
  Add(text,
      "capture.parts_seen",
      {{"count", std::to_string(*check_.num_parts_seen)},
       {"all", std::to_string(check_.num_parts)}});
  if (!check_.parts_unseen.empty()) {
    const std::string unseen = internal::CleanText(Say(check_.parts_unseen, words_), kMostChars);
    Add(text, "capture.parts_not", {{"parts", unseen}});
  }
  return text;
}

std::string CaptureWords::Shows() const {
  if (!check_.detectable_w || !check_.top_amps_a) return {};
  const std::string power = internal::WattsText(*check_.detectable_w, words_);
  if (*check_.top_amps_a <= 0) return Fill("capture.shows", {{"power", power}});
  return Fill("capture.shows_at", {{"power", power}, {"amps", Digits(*check_.top_amps_a, 2)}});
}

std::string CaptureWords::Assumed() const {
  std::string text;
  for (const Assumption& one : check_.assumed) text += (text.empty() ? "" : "; ") + ToText(one);
  return internal::CleanText(text, 2 * kMostChars);
}

class Table {
 public:
  /// @param roles  all that may stand before a row: they set the first column's width.
  explicit Table(const std::vector<std::string>& roles) {
    for (const std::string& role : roles) {
      columns_ = std::max(columns_, 2 + internal::NumColumns(role) + 1);
    }
  }

  void Row(const std::string& role, const std::string& text) {
    if (text.empty()) return;
    std::string head = "  " + role;
    for (const std::string& line : WrapColumns(text, kColumns - columns_, 0)) {
      text_ += Padded(head, columns_) + line + "\n";
      head.clear();
    }
  }
  // A name and beside it what is said of it; a name that is too wide for that gets a line of its
  // own.
  void Row(const std::string& role, const std::string& name, int width, const std::string& text) {
    std::string head = Padded("  " + role, columns_) + name;
    if (internal::NumColumns(name) > width) {
      text_ += internal::CutToColumns(head, kColumns) + "\n";
      head.clear();
    }
    const int indent = columns_ + width + 2;
    for (const std::string& line : WrapColumns(text, kColumns - indent, 0)) {
      text_ += Padded(head, indent) + line + "\n";
      head.clear();
    }
    if (!head.empty()) text_ += head + "\n";
  }
  void Head(const std::string& text) { text_ += text + "\n"; }
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  int columns_ = 0;
  std::string text_;
};

void AddFiles(const std::vector<FileNote>& files, const Words& words, Table& table) {
  if (files.empty()) return;
  const auto shown = [](const FileNote& file) {
    return internal::CleanText(file.name, kMostChars);
  };
  int width = 0;
  for (const FileNote& file : files) {
    const int columns = internal::NumColumns(shown(file));
    if (columns <= kMostNameColumns) width = std::max(width, columns);
  }
  table.Head(words.Get("capture.files"));
  for (const FileNote& file : files) {
    table.Row(words.Get("capture.role." + file.role),
              shown(file),
              width,
              SayClauses(file.understood, words));
  }
}

void AddToDo(const std::vector<ToDo>& todo, const Words& words, std::string& text) {
  if (todo.empty()) return;
  text += words.Get("capture.todo") + "\n";
  for (const ToDo& item : todo) {
    const std::string line = "- " + internal::AsSentence(Say(item.why, words)) +
                             (item.why.empty() ? "" : " ") +
                             internal::AsSentence(Say(item.what, words));
    for (const std::string& row : WrapColumns(line, kColumns, 2)) text += row + "\n";
  }
}

}  // namespace

std::string ToCaptureText(const CaptureCheck& check,
                          const std::vector<FileNote>& files,
                          const Words& words) {
  const CaptureWords said(check, words);
  const std::vector<std::pair<std::string, std::string>> rows{
      {words.Get("capture.role.frames"), said.Frames()},
      {words.Get("capture.left_out"), said.LeftOut()},
      {words.Get("capture.noise_role"), said.Noise()},
      {words.Get("capture.view"), said.View()},
      {words.Get("capture.levels"), said.Levels()},
      {words.Get("capture.clock"), said.Clock()},
      {words.Get("capture.in_view"), said.InView()},
      {words.Get("capture.shows_role"), said.Shows()},
      {words.Get("capture.assumed"), said.Assumed()}};
  std::vector<std::string> roles;
  for (const auto& [role, text] : rows) roles.push_back(role);
  for (const FileNote& file : files) roles.push_back(words.Get("capture.role." + file.role));
  Table table(roles);
  table.Head(said.Headline());
  AddFiles(files, words, table);
  table.Head(words.Get("capture.capture"));
  for (const auto& [role, text] : rows) table.Row(role, text);
  std::string text = table.text();
  AddToDo(check.todo, words, text);
  return text;
}

}  // namespace ohmglow
