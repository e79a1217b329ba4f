// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/check_words.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "ohmglow/words/say.h"
#include "picture/text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kSentenceChars = 300;
constexpr std::size_t kReasonChars = 80;

std::string FormatMm(double mm) { return FormatDigits(RoundDigits(mm, 2), 2) + " mm"; }

std::string WithMm(const RegistrationCheck& check, double px) {
  std::string text = FormatPx(px);
  if (check.mm_per_pixel > 0) text += " (" + FormatMm(px * check.mm_per_pixel) + ")";
  return text;
}

std::string Plural(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::string ErrorSentence(const RegistrationCheck& check) {
  return "Expected error of a frame: " + FormatPx(check.error_px) + " in the median, " +
         FormatPx(check.large_error_px) + " or less in 95 % of the frames.";
}

const char* ModelWords(MotionModel model) {
  switch (model) {
    case MotionModel::kShift:
      return "a shift";
    case MotionModel::kRigid:
      return "a shift and a turn";
    case MotionModel::kSimilarity:
      return "a shift, a turn and a change of distance";
    case MotionModel::kProjective:
      break;
  }
  return "a shift, a turn, a change of distance and a tilt";
}

std::string FramesSentence(const RegistrationCheck& check) {
  const auto& frames = check.alignment.frames;
  const auto used = static_cast<std::size_t>(
      std::count_if(frames.begin(), frames.end(), [](const FrameState& f) { return f.used; }));
  std::string text = std::to_string(used) + " of " + Plural(frames.size(), "frame") +
                     " used; the view moved by up to " +
                     FormatPx(check.alignment.largest_shift_px) + " at its corners";
  if (check.alignment.num_segments > 1) {
    text +=
        "; " + Plural(static_cast<std::size_t>(check.alignment.num_segments - 1), "shutter event");
  }
  if (check.verdict == RegistrationVerdict::kNotTold) return text + ".";
  return text + ". By the board's own texture the motion is " +
         ModelWords(check.alignment.motion_model) + ".";
}

std::string LeftOutSentence(const RegistrationCheck& check) {
  std::string text;
  for (const std::string& reason : LeftOutByReason(check)) {
    text += (text.empty() ? "Left out: " : "; ") + reason;
  }
  return text.empty() ? text : text + ".";
}

std::string TilesSentence(const RegistrationCheck& check) {
  if (!check.leftover_px) return "No part of the picture has texture enough to look for leftovers.";
  return "After registration edges seem to wander by " + FormatPx(*check.leftover_px) +
         " (median of the tiles), at most " + FormatPx(*check.worst_leftover_px) +
         "; edges that warm and the sensor's own pattern count here as well.";
}

std::string PhotoSentence(const RegistrationCheck& check) {
  if (!check.maps.photo_from_frame) return "The frame is not tied to a photo.";
  if (check.maps.photo_trust || check.maps.board_trust) return {};  // Its remark says so.
  if (!check.maps.board_from_frame) return "The frame is tied to the photo, not to the board.";
  return "A place on the board is good to " + FormatMm(check.maps.board_error_mm) +
         " by the landmarks.";
}

// What gives a capture texture: common practice, no source.
constexpr const char* kHelp =
    "What helps: rest the camera on a stand; put some pieces of matt tape with sharp edges on cool "
    "parts of the board, in view of the camera and never on the rail that is fed; film without a "
    "draught and without people near whose warmth the board mirrors.";

}  // namespace

std::string_view VerdictKey(RegistrationVerdict verdict) {
  switch (verdict) {
    case RegistrationVerdict::kHolds:
      return "holds";
    case RegistrationVerdict::kDoubtful:
      return "doubtful";
    case RegistrationVerdict::kFails:
      return "fails";
    case RegistrationVerdict::kNotTold:
      break;
  }
  return "not_told";
}

std::string FormatPx(double px) {
  const double rounded = px < 0.095 ? std::round(px * 100) / 100 : RoundDigits(px, 2);
  return FormatDigits(std::max(rounded, 0.01), 2) + " px";
}

std::string CheckHeadline(const RegistrationCheck& check) {
  const std::string error = WithMm(check, check.error_px);
  switch (check.verdict) {
    case RegistrationVerdict::kHolds:
      return "Registration holds: the frames lie on each other to about " + error + ".";
    case RegistrationVerdict::kDoubtful:
      return "Registration is doubtful: a frame may be off by " + error +
             ". Weak places at edges are not to be trusted.";
    case RegistrationVerdict::kFails:
      return "Registration fails: a frame may be off by " + error +
             ". Edges will look like heat; film again.";
    case RegistrationVerdict::kNotTold:
      break;
  }
  return "Registration cannot be told: the board shows too little texture.";
}

std::vector<std::string> LeftOutByReason(const RegistrationCheck& check) {
  std::vector<std::pair<Remark, std::size_t>> counts;
  for (const FrameState& frame : check.alignment.frames) {
    if (frame.used) continue;
    const auto same = [&](const auto& count) { return count.first.kind == frame.reason.kind; };
    const auto known = std::find_if(counts.begin(), counts.end(), same);
    if (known != counts.end()) {
      ++known->second;
    } else {
      counts.emplace_back(frame.reason, 1);
    }
  }
  std::stable_sort(counts.begin(), counts.end(), [](const auto& a, const auto& b) {
    return a.second > b.second;
  });
  std::vector<std::string> texts;
  for (const auto& [reason, count] : counts) {
    texts.push_back(CleanText(SayInShort(reason), kReasonChars) + ": " + std::to_string(count));
  }
  return texts;
}

std::vector<std::string> CheckSentences(const RegistrationCheck& check) {
  std::vector<std::string> sentences;
  if (check.verdict != RegistrationVerdict::kNotTold) sentences.push_back(ErrorSentence(check));
  sentences.push_back(FramesSentence(check));
  if (std::string left_out = LeftOutSentence(check); !left_out.empty()) {
    sentences.push_back(std::move(left_out));
  }
  sentences.push_back(TilesSentence(check));
  if (std::string photo = PhotoSentence(check); !photo.empty()) {
    sentences.push_back(std::move(photo));
  }
  for (const Remark& remark : check.alignment.remarks) sentences.push_back(Say(remark));
  for (const Remark& remark : check.maps.remarks) sentences.push_back(Say(remark));
  if (check.verdict != RegistrationVerdict::kHolds) sentences.emplace_back(kHelp);
  for (std::string& sentence : sentences) sentence = CleanText(sentence, kSentenceChars);
  return sentences;
}

}  // namespace ohmglow::internal
