// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/compare_words.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "ohmglow/words/say.h"
#include "picture/text.h"
#include "picture/words.h"

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
                           const std::optional<double>& high_w) {
  return FormatPowerRange(power_w, low_w.value_or(NAN), high_w.value_or(NAN));
}

std::string FormatOhm(double ohm) {
  const bool small = std::abs(ohm) < 1;
  return (ohm < 0 ? "\u2212" : "") + FormatDigits(std::abs(small ? ohm * 1e3 : ohm), 3) +
         (small ? " m\u03A9" : " \u03A9");
}

std::string ChangeOfOhms(const ResistanceChange& resistance) {
  if (!IsKnown(resistance.change_ohm)) return {};
  const double change_ohm = *resistance.change_ohm;
  const double limit_ohm = RoundDigits(kTwoSided95 * resistance.change_sigma_ohm.value_or(NAN), 2);
  if (std::abs(change_ohm) < limit_ohm) {
    return "; the same within " + FormatOhm(limit_ohm) + " (95 %)";
  }
  std::string text = (change_ohm < 0 ? "; down by " : "; up by ") + FormatOhm(std::abs(change_ohm));
  if (std::isfinite(limit_ohm)) text += " \u00B1 " + FormatOhm(limit_ohm) + " (95 %)";
  return text;
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

std::string Pair(const ComparedRegion& region, double RegionNumbers::*field, int decimals) {
  if (!region.before && !region.after) return kUnseen;
  const auto side = [&](const std::optional<RegionNumbers>& numbers) {
    return numbers ? Fixed((*numbers).*field, decimals) : std::string(kUnseen);
  };
  return side(region.before) + " \u2192 " + side(region.after);
}

std::string ChangeOfMean(const ComparedRegion& region) {
  if (!region.before || !region.after) return kUnseen;
  const double limit = kTwoSided95 * std::hypot(region.before->sigma_k, region.after->sigma_k);
  const int decimals = DecimalsFor(limit);
  return Signed(region.after->mean_c - region.before->mean_c, decimals) + " \u00B1" +
         Fixed(limit, decimals);
}

// What told where the views lie on the board.
std::string PlacedBy(const CompareResult& result) {
  const bool first_list = result.before.maps.board_trust.has_value();
  const bool second_list = result.after.maps.board_trust.has_value();
  const auto by = [](bool list) { return list ? "the parts list" : "landmarks"; };
  return std::string(" Begun from their places on the board, by ") + by(first_list) +
         (first_list == second_list
              ? std::string()
              : std::string(" in the first and by ") + by(second_list) + " in the second") +
         ".";
}

}  // namespace

bool OnlyRegions(const CompareResult& result) {
  return result.before_k.empty() && result.after_k.empty();
}

std::string CompareHeadline(const CompareResult& result) {
  if (OnlyRegions(result)) return "Regions of the board, before and after";
  std::string text;
  switch (result.verdict) {
    case CompareVerdict::kRepaired:
      text = "Repaired: the fault's heat is gone";
      break;
    case CompareVerdict::kNotRepaired:
      text = "Not repaired: the fault still warms";
      break;
    case CompareVerdict::kNewPlace:
      text = "The fault's heat is gone, but another place warms";
      break;
    case CompareVerdict::kUndecided:
      return "Undecided: these two captures cannot tell";
  }
  return text + " (" + ConfidenceText(result.probability) + ")";
}

std::vector<std::string> CompareSentences(const CompareResult& result) {
  std::vector<std::string> sentences;
  for (const Remark& words : result.words) {
    std::string clean = CleanText(Say(words), kSentenceChars);
    if (!clean.empty()) sentences.push_back(std::move(clean));
  }
  return sentences;
}

std::string_view ChangeWord(const CompareResult& result, const ComparedPlace& place) {
  switch (place.change) {
    case PlaceChange::kGone:
      return "gone";
    case PlaceChange::kWeaker:
      return "weaker";
    case PlaceChange::kUnchanged:
      return "unchanged";
    case PlaceChange::kStronger:
      return "stronger";
    case PlaceChange::kNew:
      return "new";
    case PlaceChange::kUnknown:
      break;
  }
  return IsUnseen(result, place) ? "not seen" : "unknown";
}

std::string ComparedPlaceName(const CompareResult& result, const ComparedPlace& place) {
  Candidate named;
  named.parts = place.parts;
  named.frame_px = place.before_px;
  if (result.before.maps.board_from_frame) {
    named.board_mm = result.before.maps.board_from_frame->Apply(place.before_px);
  }
  return PlaceName(named);
}

std::string ChangePercent(const ComparedPlace& place) {
  if (place.change == PlaceChange::kUnknown) return {};
  const std::string text = ConfidenceText(place.change_prob);
  const std::size_t comma = text.find(", ");
  return comma == std::string::npos ? std::string() : text.substr(comma + 2);
}

std::string PlaceLetter(const ComparedPlace& place) { return CleanText(place.name, kLetterChars); }

std::string BeforePower(const ComparedPlace& place) {
  const bool means_nothing = place.change == PlaceChange::kUnknown && IsOfAfter(place);
  if (IsKnown(place.before_w) && !means_nothing && place.change != PlaceChange::kNew) {
    return PowerWithRange(*place.before_w, place.before_low_w, place.before_high_w);
  }
  return place.change == PlaceChange::kNew ? "nothing seen" : "unknown";
}

std::string AfterPower(const CompareResult& result, const ComparedPlace& place) {
  if (IsKnown(place.after_below_w) && place.change != PlaceChange::kUnknown) {
    return "below " + FormatPower(*place.after_below_w) + AtCurrent(result) + ", 95 %";
  }
  if (IsKnown(place.after_w) && (place.change != PlaceChange::kUnknown || IsOfAfter(place))) {
    return PowerWithRange(*place.after_w, place.after_low_w, place.after_high_w);
  }
  return IsUnseen(result, place) ? "not seen" : "unknown";
}

std::string RatioText(const ComparedPlace& place) {
  const bool compares = place.change == PlaceChange::kWeaker ||
                        place.change == PlaceChange::kUnchanged ||
                        place.change == PlaceChange::kStronger;
  if (!compares || !IsKnown(place.ratio)) return {};
  const double limit_percent = 100 * kTwoSided95 * place.ratio_sigma.value_or(NAN);
  const int decimals = limit_percent < 1 ? 1 : 0;
  std::string text = Fixed(100 * *place.ratio, decimals) + " %";
  if (std::isfinite(limit_percent)) text += " (\u00B1" + Fixed(limit_percent, decimals) + ")";
  return text + " of before";
}

std::string AtCurrent(const CompareResult& result) {
  if (!std::isfinite(result.scale_amps_a) || result.scale_amps_a <= 0) return {};
  return " at " + FormatDigits(result.scale_amps_a, 3) + " A";
}

std::string CurrentText(const CompareResult& result) {
  double flowed_a = 0;
  for (const SupplyLevel& level : result.after.levels) flowed_a = std::max(flowed_a, level.amps_a);
  const double scale_a = result.scale_amps_a;
  const bool told = std::any_of(result.places.begin(), result.places.end(), [](const auto& place) {
    return IsKnown(place.after_w) && !IsKnown(place.after_below_w);
  });
  if (!told || !(flowed_a > 0 && scale_a > 0)) return {};
  const std::string flowed = FormatDigits(flowed_a, 3);
  if (FormatDigits(flowed_a, 2) == FormatDigits(scale_a, 2)) return {};
  return "The watts now are as if " + FormatDigits(scale_a, 3) +
         " A flowed; in the second capture " + flowed + " A did.";
}

std::string ResistanceText(const ResistanceChange& resistance) {
  std::string text;
  const auto add = [&](const std::optional<double>& ohm, const char* when) {
    if (IsKnown(ohm)) text += (text.empty() ? "" : ", ") + FormatOhm(*ohm) + " " + when;
  };
  add(resistance.before_ohm, "before");
  add(resistance.after_ohm, "after");
  if (!text.empty()) text += ChangeOfOhms(resistance);
  if (!text.empty()) text = "Resistance at the supply: " + text + ".";
  const std::string remark = CleanText(Say(resistance.remark), kSentenceChars);
  return text + (text.empty() || remark.empty() ? "" : " ") + remark;
}

std::string RegistrationText(const CompareResult& result) {
  const PairAlignment& alignment = result.alignment;
  if (!(alignment.overlap > 0)) return {};
  std::string text = "Views laid on each other";
  if (alignment.residual_px > kLeastResidualPx) {
    text += " to " + FormatDigits(alignment.residual_px, 2) + " px";
  }
  text += " (turned " + Fixed(std::abs(alignment.rotation_deg), 1) + "\u00B0, " +
          Fixed(alignment.scale, 2) + " times as large); " + Fixed(100 * alignment.overlap, 0) +
          " % seen in both.";
  return text + (alignment.from_points ? PlacedBy(result) : "");
}

std::vector<std::string> RegionHeads() {
  return {"Region", "mean \u00B0C", "change K (95 %)", "max. \u00B0C", "spread K", "quarters K"};
}

std::vector<std::string> RegionCells(const ComparedRegion& region) {
  return {CleanText(region.name, kRegionChars),
          Pair(region, &RegionNumbers::mean_c, 1),
          ChangeOfMean(region),
          Pair(region, &RegionNumbers::max_c, 1),
          Pair(region, &RegionNumbers::spread_k, 2),
          Pair(region, &RegionNumbers::quarters_k, 2)};
}

}  // namespace ohmglow::internal
