// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sheet/sheet_regions.h"

#include <algorithm>
#include <cmath>

#include "sheet/sheet_phrases.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kNameChars = 40;
constexpr std::size_t kShownRegions = 6;
// What differs by less, the frames' noise and the camera's wandering may make
// (common practice, no source).
constexpr double kAlikeShare = 0.2;
constexpr double kAlikeK = 0.1;

bool IsMoreEven(double spread_k, double than_k) {
  return than_k - spread_k > std::max(kAlikeK, kAlikeShare * than_k);
}

using Numbers = std::optional<RegionCheck::Numbers>;

std::string Mean(const SheetContent& content, const Numbers& numbers) {
  if (!numbers || !std::isfinite(numbers->mean_c)) return content.words.Get("regions.unseen");
  return SheetPhrases(content).Temperature(numbers->mean_c);
}

std::string Evenness(const SheetContent& content, const RegionCheck& region) {
  if (!region.before || !region.after) return {};
  const double before_k = region.before->spread_k;
  const double after_k = region.after->spread_k;
  return content.words.Get(IsMoreEven(after_k, before_k)   ? "regions.more_even"
                           : IsMoreEven(before_k, after_k) ? "regions.less_even"
                                                           : "regions.alike");
}

}  // namespace

SheetTable RegionTable(const SheetContent& content) {
  const auto& words = content.words;
  const auto& regions = content.repair->regions;
  SheetTable table{{words.Get("regions.area"),
                    words.Get("regions.mean_before"),
                    words.Get("regions.mean_after"),
                    words.Get("regions.evenness")}};
  const std::size_t num = std::min(regions.size(), kShownRegions);
  for (std::size_t i = 0; i < num; ++i) {
    const RegionCheck& region = regions[i];
    table.push_back({CleanText(region.name, kNameChars),
                     Mean(content, region.before),
                     Mean(content, region.after),
                     Evenness(content, region)});
  }
  if (num < regions.size()) {
    table.push_back({SheetPhrases(content).More(regions.size() - num), "", "", ""});
  }
  return table;
}

std::string RegionExtremes(const SheetContent& content) {
  std::vector<const RegionCheck*> seen;
  for (const RegionCheck& region : content.repair->regions) {
    if (region.after && std::isfinite(region.after->spread_k)) seen.push_back(&region);
  }
  if (seen.size() < 2) return {};
  const auto [even, uneven] =
      std::minmax_element(seen.begin(), seen.end(), [](const auto* a, const auto* b) {
        return a->after->spread_k < b->after->spread_k;
      });
  if (!IsMoreEven((*even)->after->spread_k, (*uneven)->after->spread_k)) return {};
  return content.words.Fill("regions.extremes",
                            {{"even", CleanText((*even)->name, kNameChars)},
                             {"uneven", CleanText((*uneven)->name, kNameChars)}});
}

}  // namespace ohmglow::internal
