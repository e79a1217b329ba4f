// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/check_words.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "ohmglow/words/say.h"
#include "picture/json_values.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kSentenceChars = 300;
constexpr std::size_t kReasonChars = 80;

std::string FormatMm(double mm, const Words& words) {
  return DigitsText(RoundDigits(mm, 2), 2, words) + " mm";
}

std::string WithMm(const RegistrationCheck& check, double px, const Words& words) {
  std::string text = FormatPx(px, words);
  if (check.mm_per_pixel > 0) text += " (" + FormatMm(px * check.mm_per_pixel, words) + ")";
  return text;
}

std::string ErrorSentence(const RegistrationCheck& check, const Words& words) {
  return words.Fill("align.error",
                    {{"median", FormatPx(check.error_px, words)},
                     {"large", FormatPx(check.large_error_px, words)}});
}

std::string ModelWords(MotionModel model, const Words& words) {
  return words.Get("align." + std::string(MotionModelKey(model)));
}

std::string FramesSentence(const RegistrationCheck& check, const Words& words) {
  const auto& frames = check.alignment.frames;
  const auto used =
      std::count_if(frames.begin(), frames.end(), [](const FrameState& f) { return f.used; });
  std::string text = words.Fill("align.frames",
                                {{"used", std::to_string(used)},
                                 {"all", std::to_string(frames.size())},
                                 {"shift", FormatPx(check.alignment.largest_shift_px, words)}});
  const int events = check.alignment.num_segments - 1;
  if (events > 0) {
    text = words.Fill(events == 1 ? "align.shutter_one" : "align.shutter",
                      {{"start", text}, {"count", std::to_string(events)}});
  }
  if (check.verdict == RegistrationVerdict::kNotTold) return text + ".";
  return words.Fill("align.by_texture",
                    {{"start", text}, {"model", ModelWords(check.alignment.motion_model, words)}});
}

std::string LeftOutSentence(const RegistrationCheck& check, const Words& words) {
  const std::vector<std::string> reasons = LeftOutByReason(check, words);
  if (reasons.empty()) return {};
  return words.Fill("align.left_out",
                    {{"reasons", ListText(reasons, words, "list.semicolon", "list.semicolon")}});
}

std::string TilesSentence(const RegistrationCheck& check, const Words& words) {
  if (!check.leftover_px) return words.Get("align.no_texture");
  return words.Fill("align.leftover",
                    {{"median", FormatPx(*check.leftover_px, words)},
                     {"most", FormatPx(*check.worst_leftover_px, words)}});
}

std::string PhotoSentence(const RegistrationCheck& check, const Words& words) {
  if (!check.maps.photo_from_frame) return words.Get("align.no_photo");
  if (check.maps.photo_trust || check.maps.board_trust) return {};  // Its remark says so.
  if (!check.maps.board_from_frame) return words.Get("align.photo_alone");
  return words.Fill("align.board_error", {{"error", FormatMm(check.maps.board_error_mm, words)}});
}

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

std::string FormatPx(double px, const Words& words) {
  const double rounded = px < 0.095 ? std::round(px * 100) / 100 : RoundDigits(px, 2);
  return DigitsText(std::max(rounded, 0.01), 2, words) + " px";
}

std::string CheckHeadline(const RegistrationCheck& check, const Words& words) {
  return words.Fill("align." + std::string(VerdictKey(check.verdict)),
                    {{"error", WithMm(check, check.error_px, words)}});
}

std::vector<std::string> LeftOutByReason(const RegistrationCheck& check, const Words& words) {
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
    texts.push_back(CleanText(SayInShort(reason, words), kReasonChars) + ": " +
                    std::to_string(count));
  }
  return texts;
}

std::vector<std::string> CheckSentences(const RegistrationCheck& check, const Words& words) {
  std::vector<std::string> sentences;
  if (check.verdict != RegistrationVerdict::kNotTold)
    sentences.push_back(ErrorSentence(check, words));
  sentences.push_back(FramesSentence(check, words));
  if (std::string left_out = LeftOutSentence(check, words); !left_out.empty()) {
    sentences.push_back(std::move(left_out));
  }
  sentences.push_back(TilesSentence(check, words));
  if (std::string photo = PhotoSentence(check, words); !photo.empty()) {
    sentences.push_back(std::move(photo));
  }
  for (const Remark& remark : check.alignment.remarks) sentences.push_back(Say(remark, words));
  for (const Remark& remark : check.maps.remarks) sentences.push_back(Say(remark, words));
  if (check.verdict != RegistrationVerdict::kHolds) sentences.push_back(words.Get("align.help"));
  for (std::string& sentence : sentences) sentence = CleanText(sentence, kSentenceChars);
  return sentences;
}

}  // namespace ohmglow::internal
