// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/compare_words.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "ohmglow/words/say.h"
#include "picture/answer_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr double kTwoSided95 = 1.96;       // Standard errors, normal distribution.
constexpr double kLeastResidualPx = 0.01;  // What is less is that of a capture with itself.
constexpr std::size_t kLetterChars = 3;
constexpr std::size_t kRegionChars = 40;
constexpr std::size_t kSentenceChars = 500;
constexpr const char* kUnseen = "\u2013";

std::string Fixed(double value, int decimals) {
  if (!std::isfinite(value)) return "?";
  std::array<char, 400> buffer{};
  const auto written = std::to_chars(buffer.data(),
                                     buffer.data() + buffer.size(),
                                     std::abs(value),
                                     std::chars_format::fixed,
                                     decimals);
  const std::string digits(buffer.data(), written.ptr);
  const bool is_zero = digits.find_first_not_of("0.") == std::string::npos;
  return (value < 0 && !is_zero ? "\u2212" : "") + digits;
}

std::string Signed(double value, int decimals) {
  const std::string text = Fixed(value, decimals);
  const bool is_zero = text.find_first_not_of("0.") == std::string::npos;
  return value > 0 && std::isfinite(value) && !is_zero ? "+" + text : text;
}

// The decimals at which two digits of an uncertainty stand, 0 to 4.
int DecimalsFor(double uncertainty) {
  if (!std::isfinite(uncertainty) || uncertainty <= 0) return 2;
  const int decimals = 1 - static_cast<int>(std::floor(std::log10(uncertainty)));
  return std::min(std::max(decimals, 0), 4);
}

bool IsKnown(const std::optional<double>& value) { return value && std::isfinite(*value); }

std::string PowerWithRange(double power_w,
                           const std::optional<double>& low_w,
                           const std::optional<double>& high_w,
                           const Words& words) {
  return WattsRangeText(power_w, low_w.value_or(NAN), high_w.value_or(NAN), words);
}

std::string FormatOhm(double ohm, const Words& words) {
  const bool small = std::abs(ohm) < 1;
  return (ohm < 0 ? "\u2212" : "") + DigitsText(std::abs(small ? ohm * 1e3 : ohm), 3, words) +
         (small ? " m\u03A9" : " \u03A9");
}

// "1 Ω before, 2 Ω after" with how much that is apart.
std::string WithChange(const std::string& ohms,
                       const ResistanceChange& resistance,
                       const Words& words) {
  if (!IsKnown(resistance.change_ohm)) return ohms;
  const double change_ohm = *resistance.change_ohm;
  const double limit_ohm = RoundDigits(kTwoSided95 * resistance.change_sigma_ohm.value_or(NAN), 2);
  const std::string limit = FormatOhm(limit_ohm, words);
  if (std::abs(change_ohm) < limit_ohm) {
    return words.Fill("compare.same_within", {{"ohms", ohms}, {"limit", limit}});
  }
  const std::string text =
      words.Fill(change_ohm < 0 ? "compare.down" : "compare.up",
                 {{"ohms", ohms}, {"change", FormatOhm(std::abs(change_ohm), words)}});
  if (!std::isfinite(limit_ohm)) return text;
  return words.Fill("compare.with_limit", {{"text", text}, {"limit", limit}});
}

// Found in AFTER; what BEFORE took there is then worked out from the change. Of
// BEFORE's own places it is the other way round. An unknown change leaves only
// the measured one of the two.
bool IsOfAfter(const ComparedPlace& place) {
  return !IsKnown(place.before_low_w) && IsKnown(place.after_low_w);
}

bool IsUnseen(const CompareResult& result, const ComparedPlace& place) {
  const cv::Point at(static_cast<int>(std::lround(place.before_px.x)),
                     static_cast<int>(std::lround(place.before_px.y)));
  if (!cv::Rect({0, 0}, result.after_k.size()).contains(at)) return false;
  return !std::isfinite(result.after_k(at));
}

std::string Pair(const ComparedRegion& region,
                 double RegionNumbers::*field,
                 int decimals,
                 const Words& words) {
  if (!region.before && !region.after) return kUnseen;
  const auto side = [&](const std::optional<RegionNumbers>& numbers) {
    return numbers ? WithDecimalSign(Fixed((*numbers).*field, decimals), words)
                   : std::string(kUnseen);
  };
  return side(region.before) + " \u2192 " + side(region.after);
}

std::string ChangeOfMean(const ComparedRegion& region, const Words& words) {
  if (!region.before || !region.after) return kUnseen;
  const double limit = kTwoSided95 * std::hypot(region.before->sigma_k, region.after->sigma_k);
  const int decimals = DecimalsFor(limit);
  const double change_k = region.after->mean_c - region.before->mean_c;
  return WithDecimalSign(Signed(change_k, decimals), words) + " \u00B1" +
         WithDecimalSign(Fixed(limit, decimals), words);
}

// What told where the views lie on the board.
std::string PlacedBy(const CompareResult& result, const Words& words) {
  const bool first_list = result.before.maps.board_trust.has_value();
  const bool second_list = result.after.maps.board_trust.has_value();
  if (first_list == second_list) {
    return words.Get(first_list ? "compare.begun_by_list" : "compare.begun_by_landmarks");
  }
  return words.Get(first_list ? "compare.begun_by_list_landmarks"
                              : "compare.begun_by_landmarks_list");
}

const char* HeadlineKey(CompareVerdict verdict) {
  switch (verdict) {
    case CompareVerdict::kRepaired:
      return "compare.repaired";
    case CompareVerdict::kNotRepaired:
      return "compare.not_repaired";
    case CompareVerdict::kNewPlace:
      return "compare.new_place";
    case CompareVerdict::kUndecided:
      break;
  }
  return "compare.undecided";
}

}  // namespace

bool OnlyRegions(const CompareResult& result) {
  return result.before_k.empty() && result.after_k.empty();
}

std::string CompareHeadline(const CompareResult& result, const Words& words) {
  if (OnlyRegions(result)) return words.Get("compare.only_regions");
  return words.Fill(HeadlineKey(result.verdict),
                    {{"certainty", ConfidenceText(result.probability, words)}});
}

std::vector<std::string> CompareSentences(const CompareResult& result, const Words& words) {
  std::vector<std::string> sentences;
  for (const Remark& remark : result.words) {
    std::string clean = CleanText(Say(remark, words), kSentenceChars);
    if (!clean.empty()) sentences.push_back(std::move(clean));
  }
  return sentences;
}

std::string ChangeWord(const CompareResult& result,
                       const ComparedPlace& place,
                       const Words& words) {
  switch (place.change) {
    case PlaceChange::kGone:
      return words.Get("change.gone");
    case PlaceChange::kWeaker:
      return words.Get("change.weaker");
    case PlaceChange::kUnchanged:
      return words.Get("change.unchanged");
    case PlaceChange::kStronger:
      return words.Get("change.stronger");
    case PlaceChange::kNew:
      return words.Get("change.new");
    case PlaceChange::kUnknown:
      break;
  }
  return words.Get(IsUnseen(result, place) ? "change.not_seen" : "change.unknown");
}

std::string ComparedPlaceName(const CompareResult& result,
                              const ComparedPlace& place,
                              const Words& words) {
  Candidate named;
  named.parts = place.parts;
  named.contact = place.contact;
  named.frame_px = place.before_px;
  if (result.before.maps.board_from_frame) {
    named.board_mm = result.before.maps.board_from_frame->Apply(place.before_px);
  }
  return PlaceName(named, words);
}

std::string ChangePercent(const ComparedPlace& place, const Words& words) {
  if (place.change == PlaceChange::kUnknown) return {};
  return ConfidencePercent(place.change_prob, words);
}

std::string PlaceLetter(const ComparedPlace& place) { return CleanText(place.name, kLetterChars); }

std::string BeforePower(const ComparedPlace& place, const Words& words) {
  const bool means_nothing = place.change == PlaceChange::kUnknown && IsOfAfter(place);
  if (IsKnown(place.before_w) && !means_nothing && place.change != PlaceChange::kNew) {
    return PowerWithRange(*place.before_w, place.before_low_w, place.before_high_w, words);
  }
  return words.Get(place.change == PlaceChange::kNew ? "change.nothing_seen" : "change.unknown");
}

std::string AfterPower(const CompareResult& result,
                       const ComparedPlace& place,
                       const Words& words) {
  if (IsKnown(place.after_below_w) && place.change != PlaceChange::kUnknown) {
    const std::string power = WattsText(*place.after_below_w, words);
    const std::string amps = ScaleAmps(result, words);
    return words.Fill(amps.empty() ? "compare.below_plain" : "compare.below",
                      {{"power", power}, {"amps", amps}});
  }
  if (IsKnown(place.after_w) && (place.change != PlaceChange::kUnknown || IsOfAfter(place))) {
    return PowerWithRange(*place.after_w, place.after_low_w, place.after_high_w, words);
  }
  return words.Get(IsUnseen(result, place) ? "change.not_seen" : "change.unknown");
}

std::string RatioText(const ComparedPlace& place, const Words& words) {
  const bool compares = place.change == PlaceChange::kWeaker ||
                        place.change == PlaceChange::kUnchanged ||
                        place.change == PlaceChange::kStronger;
  if (!compares || !IsKnown(place.ratio)) return {};
  const double limit_percent = 100 * kTwoSided95 * place.ratio_sigma.value_or(NAN);
  const int decimals = limit_percent < 1 ? 1 : 0;
  const Words::Values values{
      {"percent", WithDecimalSign(Fixed(100 * *place.ratio, decimals), words)},
      {"error", WithDecimalSign(Fixed(limit_percent, decimals), words)}};
  return words.Fill(std::isfinite(limit_percent) ? "compare.ratio" : "compare.ratio_plain", values);
}

std::string ScaleAmps(const CompareResult& result, const Words& words) {
  if (!std::isfinite(result.scale_amps_a) || result.scale_amps_a <= 0) return {};
  return DigitsText(result.scale_amps_a, 3, words);
}

std::string CurrentText(const CompareResult& result, const Words& words) {
  double flowed_a = 0;
  for (const SupplyLevel& level : result.after.levels) flowed_a = std::max(flowed_a, level.amps_a);
  const double scale_a = result.scale_amps_a;
  const bool told = std::any_of(result.places.begin(), result.places.end(), [](const auto& place) {
    return IsKnown(place.after_w) && !IsKnown(place.after_below_w);
  });
  if (!told || !(flowed_a > 0 && scale_a > 0)) return {};
  if (FormatDigits(flowed_a, 2) == FormatDigits(scale_a, 2)) return {};
  return words.Fill(
      "compare.current",
      {{"scale", DigitsText(scale_a, 3, words)}, {"amps", DigitsText(flowed_a, 3, words)}});
}

std::string ResistanceText(const ResistanceChange& resistance, const Words& words) {
  std::vector<std::string> ohms;
  const auto add = [&](const std::optional<double>& ohm, const char* key) {
    if (IsKnown(ohm)) ohms.push_back(words.Fill(key, {{"ohm", FormatOhm(*ohm, words)}}));
  };
  add(resistance.before_ohm, "compare.ohm_before");
  add(resistance.after_ohm, "compare.ohm_after");
  std::string text;
  if (!ohms.empty()) {
    const std::string listed = ListText(ohms, words, "list.comma", "list.comma");
    text = words.Fill("compare.resistance", {{"ohms", WithChange(listed, resistance, words)}});
  }
  const std::string remark = CleanText(Say(resistance.remark, words), kSentenceChars);
  return text + (text.empty() || remark.empty() ? "" : " ") + remark;
}

std::string RegistrationText(const CompareResult& result, const Words& words) {
  const PairAlignment& alignment = result.alignment;
  if (!(alignment.overlap > 0)) return {};
  const Words::Values values{
      {"error", DigitsText(alignment.residual_px, 2, words)},
      {"degrees", WithDecimalSign(Fixed(std::abs(alignment.rotation_deg), 1), words)},
      {"scale", WithDecimalSign(Fixed(alignment.scale, 2), words)},
      {"percent", Fixed(100 * alignment.overlap, 0)}};
  const bool same = alignment.residual_px <= kLeastResidualPx;
  const std::string text = words.Fill(same ? "compare.laid_plain" : "compare.laid", values);
  return alignment.from_points ? text + " " + PlacedBy(result, words) : text;
}

std::vector<std::string> RegionHeads(const Words& words) {
  std::vector<std::string> heads;
  for (const char* key : {"region.name",
                          "region.mean",
                          "region.change",
                          "region.max",
                          "region.spread",
                          "region.quarters"}) {
    heads.push_back(words.Get(key));
  }
  return heads;
}

std::vector<std::string> RegionCells(const ComparedRegion& region, const Words& words) {
  return {CleanText(region.name, kRegionChars),
          Pair(region, &RegionNumbers::mean_c, 1, words),
          ChangeOfMean(region, words),
          Pair(region, &RegionNumbers::max_c, 1, words),
          Pair(region, &RegionNumbers::spread_k, 2, words),
          Pair(region, &RegionNumbers::quarters_k, 2, words)};
}

}  // namespace ohmglow::internal
