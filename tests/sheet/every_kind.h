// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <limits>
#include <opencv2/core.hpp>
#include <string>
#include <variant>
#include <vector>

#include "sheet/sheet_layout.h"
#include "support/sample_sheet.h"

namespace ohmglow::testing {

inline const cv::Size kLandscape(1400, 1100);
inline const cv::Size kPortrait(1100, 1400);

template <typename Item>
std::vector<Item> ItemsOf(const internal::SheetPage& page) {
  std::vector<Item> items;
  for (const auto& item : page.items) {
    if (const auto* one = std::get_if<Item>(&item)) items.push_back(*one);
  }
  return items;
}

inline internal::SheetPage PageOf(const SheetContent& content) {
  return internal::LayOutSheet(content, internal::MakeSheetPictures(content));
}

inline bool HasText(const internal::SheetPage& page, const std::string& part) {
  const auto texts = ItemsOf<internal::PageText>(page);
  return std::any_of(texts.begin(), texts.end(), [&](const internal::PageText& text) {
    return text.text.find(part) != std::string::npos;
  });
}

// Every kind of page there is.
inline std::vector<SheetContent> AllKinds() {
  std::vector<SheetContent> kinds;
  for (const Verdict verdict : {Verdict::kFound, Verdict::kSeveral, Verdict::kNone}) {
    for (const int num : {0, 1, 3, 10}) {
      kinds.push_back(MakeSampleSheet({num, verdict, kLandscape}));
      for (auto& candidate : kinds.back().result.candidates) {
        if (verdict == Verdict::kSeveral) candidate.confidence = 0.7;
      }
    }
  }
  for (const double confidence : {0.97, 0.85, 0.7, 0.4, 0.25, 0.01}) {
    kinds.push_back(MakeSampleSheet({2, Verdict::kFound, kPortrait}));
    kinds.back().result.candidates[0].confidence = confidence;
  }
  for (const HeatSide side : {HeatSide::kNear, HeatSide::kFar, HeatSide::kUndecided}) {
    for (const double rise_k : {2.0, std::numeric_limits<double>::quiet_NaN()}) {
      kinds.push_back(MakeSampleSheet({2, Verdict::kFound, {3000, 900}}));
      kinds.back().result.candidates[0].side = side;
      kinds.back().result.candidates[0].rise_k = rise_k;
    }
  }
  kinds.push_back(MakeSampleSheet({3, Verdict::kFound, kLandscape, false}));  // No photo.
  kinds.push_back(kinds.back());                                              // No picture at all.
  kinds.back().result.reference_k.release();
  kinds.back().result.response_k.release();
  kinds.back().shop = {};
  kinds.push_back(MakeSampleSheet({3, Verdict::kFound, kLandscape}));  // Ambiguous parts.
  kinds.back().result.candidates[0].parts = {{"C41", 0.4}, {"C42", 0.35}};
  kinds.back().result.candidates[1].parts = {{"U7", 0.3}};
  kinds.push_back(MakeSampleSheet({0, Verdict::kNone, kLandscape}));  // Nothing known.
  kinds.back().result.detectable_w = 0;
  return kinds;
}

// The same with each outcome of a second measurement.
inline std::vector<SheetContent> AllKindsWithRepairs() {
  std::vector<SheetContent> kinds = AllKinds();
  const std::size_t num = kinds.size();
  for (std::size_t i = 0; i < num; ++i) {
    SheetContent content = kinds[i];
    if (content.result.response_k.empty()) continue;
    content.repair = MakeSampleRepair(content.result);
    content.repair->verdict = static_cast<RepairVerdict>(i % 4);
    if (i % 3 == 0) content.repair->prob.reset();
    if (i % 3 == 1) content.repair->prob = 0.1 * static_cast<double>(i % 10);
    content.repair->only_regions = i % 5 == 4;
    content.repair->places.push_back({{20, 20}, true});
    kinds.push_back(content);
  }
  return kinds;
}

struct Kind {
  SheetContent content;
  internal::SheetPictures pictures;
};

// Pictures depend on neither words nor paper: made once for all tests.
inline std::vector<Kind> EveryKind() {
  static const std::vector<Kind> kinds = [] {
    std::vector<Kind> made;
    for (const SheetContent& content : AllKindsWithRepairs()) {
      made.push_back({content, internal::MakeSheetPictures(content)});
    }
    return made;
  }();
  return kinds;
}

}  // namespace ohmglow::testing
