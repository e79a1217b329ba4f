// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "check/capture_todo.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdio>
#include <string_view>

#include "input/case_remarks.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"

namespace ohmglow::internal {
namespace {

constexpr double kManyLeftOut = 0.1;   // Of the frames.
constexpr double kManyUnseen = 0.1;    // Of the parts of the list.
constexpr double kMostOfSupply = 0.5;  // A fault that must take so much hides easily.
constexpr int kTooHotPx = 4;           // Fewer are pixels gone bad.

template <typename... Values>
std::string Format(const char* text, Values... values) {
  char buffer[300];
  std::snprintf(buffer, sizeof buffer, text, values...);
  return buffer;
}

std::string Sentence(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  std::string out(text);
  if (out.empty()) return out;
  out.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(out.front())));
  if (out.back() != '.' && out.back() != '!') out += '.';
  return out;
}

void JudgeView(const CaptureCheck& check, std::vector<ToDo>& todo) {
  if (!check.view) return;
  const ViewCheck& view = *check.view;
  // What gives a capture texture: common practice, no source.
  const std::string still =
      "Rest the camera on a stand, and do not touch bench or leads while it films; some matt "
      "tape with sharp edges on cool parts of the board helps, never on the rail that is fed.";
  switch (view.verdict) {
    case RegistrationVerdict::kHolds:
      return;
    case RegistrationVerdict::kNotTold:
      todo.push_back({false, still, "The board shows too little texture to tell how it moved."});
      return;
    case RegistrationVerdict::kDoubtful:
      todo.push_back({false,
                      still,
                      Format("A frame may be off by %.2f px: weak places at edges are doubtful.",
                             view.error_px)});
      return;
    case RegistrationVerdict::kFails:
      todo.push_back(
          {true,
           still,
           Format("A frame may be off by %.2f px: edges will look like heat.", view.error_px)});
  }
}

void JudgeFrames(const CaptureCheck& check, std::vector<ToDo>& todo) {
  int left_out = 0;
  for (const LeftOut& row : check.left_out) left_out += row.frames;
  if (left_out > kManyLeftOut * check.num_frames) {
    todo.push_back(
        {false,
         "Film again, with nobody in the view and the camera at rest.",
         Format("%d of %d frames cannot be used; most often: ", left_out, check.num_frames) +
             SayInShort(check.left_out.front().reason) + "."});
  }
  if (check.lost_frames > kManyLeftOut * check.num_frames) {
    todo.push_back(
        {false,
         "Film again with nothing else running on the machine that records.",
         Format("%d frames are missing by the gaps of their times.", check.lost_frames)});
  }
}

void JudgeSupply(const CaptureCheck& check, const Judged& judged, std::vector<ToDo>& todo) {
  for (const Remark& remark : judged.supply_remarks) {
    todo.push_back(SplitAdvice(Say(remark), false));
  }
  // Where two clocks fit, the remark on the other one says what to do.
  const std::vector<Remark>& said = judged.supply_remarks;
  const bool rival = std::any_of(said.begin(), said.end(), IsOf(RemarkKind::kRivalClock));
  if (check.clock_open && !rival) {
    todo.push_back(
        {false,
         "Switch the current on and off a few times at the beginning, or note when it was "
         "switched and give clock_offset_s in [supply].",
         Format("When the current was switched is known to %.1f s only.", judged.clock_sigma_s)});
  }
  if (!judged.course_advice.empty()) todo.push_back(SplitAdvice(Say(judged.course_advice), false));
  if (check.detectable_w && judged.top_w > 0 &&
      *check.detectable_w > kMostOfSupply * judged.top_w) {
    todo.push_back(
        {false,
         "Hold each level longer or, as far as the rail's voltage limit and the board allow, give "
         "more current.",
         Format("A fault must take %.0f %% of the supply's power to show.",
                100 * *check.detectable_w / judged.top_w)});
  }
  if (judged.out_of_range_px >= kTooHotPx) {
    todo.push_back({false,
                    "Set the camera to a wider range, or give less current.",
                    Format("%d pixels left the range of the camera.", judged.out_of_range_px)});
  }
}

// What lies there and cannot be used, or not before a question is answered.
void JudgeFiles(const CaptureCheck& check, std::vector<ToDo>& todo) {
  for (const NotUsed& file : ListNotUsed(check.assumed)) {
    todo.push_back({false, Sentence(file.why), "No " + file.what + " is used."});
  }
  if (ScaleIsGuess(check.assumed)) {
    todo.push_back(
        {false,
         "Give mm_per_pixel in [board]: the width of what is in view in mm, divided by "
         "its width in pixels.",
         Format("The scale is a guess (%.4g mm a pixel)", check.mm_per_pixel) +
             (check.values == FrameValues::kKelvin ? ", and watts depend on it." : ".")});
  }
  const std::string columns = ColumnsOfSizes(check.assumed);
  if (columns.empty()) return;
  todo.push_back(
      {false,
       "Say which are the bodies' sizes, in [board]: parts_columns = width=..., height=...",
       "The parts list: no sizes found; these columns hold numbers: " + columns + "."});
}

void JudgeParts(const CaptureCheck& check, std::vector<ToDo>& todo) {
  if (!check.num_parts_seen || check.num_parts == 0) return;
  const int unseen = check.num_parts - *check.num_parts_seen;
  if (unseen <= kManyUnseen * check.num_parts) return;
  todo.push_back({false,
                  "Move the camera until the whole board is in view, or film the rest as well.",
                  "Not in view: " + Say(check.parts_unseen) + "."});
}

}  // namespace

ToDo SplitAdvice(const std::string& text, bool needed) {
  // The last sentence is what to do; a single one has it behind a semicolon.
  constexpr std::array<std::string_view, 3> kBreaks{". ", "; ", ": "};
  for (const std::string_view mark : kBreaks) {
    const std::size_t at = mark == ". " ? text.rfind(mark) : text.find(mark);
    if (at == std::string::npos) continue;
    return {needed, Sentence(text.substr(at + mark.size())), Sentence(text.substr(0, at))};
  }
  return {needed, Sentence(text), {}};
}

std::vector<ToDo> ListToDo(const CaptureCheck& check, const Judged& judged) {
  std::vector<ToDo> todo;
  if (!judged.refusal.empty()) todo.push_back(SplitAdvice(judged.refusal, true));
  JudgeView(check, todo);
  JudgeFrames(check, todo);
  JudgeSupply(check, judged, todo);
  JudgeParts(check, todo);
  JudgeFiles(check, todo);
  std::stable_partition(todo.begin(), todo.end(), [](const ToDo& item) { return item.needed; });
  return todo;
}

}  // namespace ohmglow::internal
