// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "check/capture_todo.h"

#include <algorithm>
#include <cmath>

#include "input/case_remarks.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow::internal {
namespace {

constexpr double kLeftOutShare = 0.1;  // Of the frames.
constexpr double kManyUnseen = 0.1;    // Of the parts of the list.
constexpr double kSupplyShare = 0.5;   // A fault that must take so much hides easily.
constexpr int kTooHotPx = 4;           // Fewer are pixels gone bad.

void JudgeView(const CaptureCheck& check, std::vector<ToDo>& todo) {
  if (!check.view) return;
  const double error_px = check.view->error_px;
  switch (check.view->verdict) {
    case RegistrationVerdict::kHolds:
      return;
    case RegistrationVerdict::kNotTold:
      todo.push_back(
          {false, Remark(RemarkKind::kHoldStill), Remark(RemarkKind::kTooLittleTexture)});
      return;
    case RegistrationVerdict::kDoubtful:
      todo.push_back({false,
                      Remark(RemarkKind::kHoldStill),
                      Remark(RemarkKind::kFramesMayBeOff).With("error_px", error_px)});
      return;
    case RegistrationVerdict::kFails:
      todo.push_back({true,
                      Remark(RemarkKind::kHoldStill),
                      Remark(RemarkKind::kFramesAreOff).With("error_px", error_px)});
  }
}

void JudgeFrames(const CaptureCheck& check, std::vector<ToDo>& todo) {
  int left_out = 0;
  for (const LeftOut& row : check.left_out) left_out += row.frames;
  if (left_out > kLeftOutShare * check.num_frames) {
    todo.push_back({false,
                    Remark(RemarkKind::kFilmAgainAtRest),
                    Remark(RemarkKind::kManyLeftOut)
                        .With("left_out", left_out)
                        .With("frames", check.num_frames)
                        .With("reason", check.left_out.front().reason)});
  }
  if (check.lost_frames > kLeftOutShare * check.num_frames) {
    todo.push_back({false,
                    Remark(RemarkKind::kFilmOnFreeMachine),
                    Remark(RemarkKind::kFramesLost).With("frames", check.lost_frames)});
  }
}

void JudgeSupply(const CaptureCheck& check, const Judged& judged, std::vector<ToDo>& todo) {
  for (const Remark& remark : judged.supply_remarks) todo.push_back({false, remark, {}});
  // Where two clocks fit, the remark on the other one says what to do.
  const std::vector<Remark>& said = judged.supply_remarks;
  const bool rival = std::any_of(said.begin(), said.end(), IsOf(RemarkKind::kRivalClock));
  if (check.clock_open && !rival) {
    todo.push_back({false,
                    Remark(RemarkKind::kSwitchMoreOften),
                    Remark(RemarkKind::kClockUnsure).With("sigma_s", judged.clock_sigma_s)});
  }
  if (!judged.course_advice.empty()) todo.push_back({false, judged.course_advice, {}});
  if (check.detectable_w && judged.top_w > 0 && *check.detectable_w > kSupplyShare * judged.top_w) {
    todo.push_back({false,
                    Remark(RemarkKind::kHoldLevelsLonger),
                    Remark(RemarkKind::kMostOfSupply)
                        .With("percent", std::round(100 * *check.detectable_w / judged.top_w))});
  }
  if (judged.out_of_range_px >= kTooHotPx) {
    todo.push_back({false,
                    Remark(RemarkKind::kWiderRange),
                    Remark(RemarkKind::kLeftTheRange).With("pixels", judged.out_of_range_px)});
  }
}

// What lies there and cannot be used, or not before a question is answered.
void JudgeFiles(const CaptureCheck& check, const Judged& judged, std::vector<ToDo>& todo) {
  for (const NotUsed& file : ListNotUsed(check.assumed)) {
    todo.push_back({false, Remark::Quoted(file.why), file.what});
  }
  if (ScaleIsGuess(check.assumed)) {
    const bool watts = check.values == FrameValues::kKelvin;
    todo.push_back({false,
                    Remark(watts ? RemarkKind::kWattsByGuess : RemarkKind::kScaleIsGuess)
                        .With("mm_per_pixel", check.mm_per_pixel),
                    {}});
  }
  if (judged.unsized_columns.empty()) return;
  todo.push_back({false,
                  Remark(RemarkKind::kNameTheSizes),
                  Remark(RemarkKind::kNoSizesFound).With("columns", judged.unsized_columns)});
}

void JudgeParts(const CaptureCheck& check, const Judged& judged, std::vector<ToDo>& todo) {
  for (const Remark& remark : judged.untied) todo.push_back({false, remark, {}});
  if (!check.num_parts_seen || check.num_parts == 0) return;
  const int unseen = check.num_parts - *check.num_parts_seen;
  if (unseen <= kManyUnseen * check.num_parts) return;
  todo.push_back({false,
                  Remark(RemarkKind::kShowWholeBoard),
                  Remark(RemarkKind::kPartsOutOfView).With("parts", check.parts_unseen)});
}

}  // namespace

std::vector<ToDo> ListToDo(const CaptureCheck& check, const Judged& judged) {
  std::vector<ToDo> todo;
  if (!judged.refusal.empty()) todo.push_back({true, Remark::Quoted(judged.refusal), {}});
  JudgeView(check, todo);
  JudgeFrames(check, todo);
  JudgeSupply(check, judged, todo);
  JudgeParts(check, judged, todo);
  JudgeFiles(check, judged, todo);
  std::stable_partition(todo.begin(), todo.end(), [](const ToDo& item) { return item.needed; });
  return todo;
}

}  // namespace ohmglow::internal
