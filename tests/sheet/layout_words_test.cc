// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "sheet/every_kind.h"
#include "sheet/sheet_layout.h"
#include "sheet/sheet_phrases.h"
#include "support/sample_sheet.h"

namespace ohmglow {
namespace {

using internal::LayOutSheet;
using internal::PageText;
using testing::EveryKind;
using testing::ItemsOf;

// In this language every letter is one Cyrillic letter, and all data below is
// Greek: a Latin letter on the page is a text that came from the code.
std::string PseudoCatalogue() {
  std::string catalogue;
  const Words english;
  for (const std::string& key : Words::Parse("", "empty").Missing()) {
    catalogue += key;
    catalogue += " = ";
    bool inside = false;
    for (const char c : english.Get(key)) {
      if (c == '{') inside = true;
      if (c == '}') inside = false;
      const bool ascii = static_cast<unsigned char>(c) < 0x80;
      const bool keep = inside || c == '}' || c == ' ' || (ascii && std::isdigit(c) != 0);
      if (keep) catalogue += c;
      // One letter for what may be several bytes; any sign becomes one, too.
      if (!keep && (static_cast<unsigned char>(c) & 0xC0U) != 0x80) catalogue += "\u0436";
    }
    catalogue += '\n';
  }
  return catalogue;
}

void MakeGreek(SheetContent& content) {
  content.result.title = "\u0391\u0392\u0393";
  content.notes = "\u0394\n\u0395";
  content.shop = {"\u0396", "\u0397", "123", "\u0398", "\u0399", "\u039A", content.shop.logo};
  if (content.repair) {
    for (RegionCheck& region : content.repair->regions) region.name = "\u03A6";
  }
  for (auto& candidate : content.result.candidates) {
    for (auto& part : candidate.parts) part.ref = "\u03A9";
    candidate.remarks = {Remark::Quoted("Latin remark")};
  }
  content.result.advice = {Remark::Quoted("Latin advice")};
}

TEST(LayOutSheet, DrawsNoTextThatIsNeitherInTheCatalogueNorData) {
  const Words pseudo = Words::Parse(PseudoCatalogue(), "pseudo.ini");
  ASSERT_TRUE(pseudo.Missing().empty());
  int number = 0;
  std::size_t num_letters = 0;
  for (auto& [content, pictures] : EveryKind()) {
    content.words = pseudo;
    MakeGreek(content);
    content.unit = number++ % 2 == 0 ? TemperatureUnit::kCelsius : TemperatureUnit::kFahrenheit;
    for (const PageText& text : ItemsOf<PageText>(LayOutSheet(content, pictures))) {
      // Apart from the pseudo letters only digits, blanks and the data's points remain.
      for (const char c : text.text) {
        const bool ascii = static_cast<unsigned char>(c) < 0x80;
        EXPECT_TRUE(!ascii || c == ' ' || c == '.' || std::isdigit(c) != 0)
            << "'" << c << "' in: " << text.text;
        num_letters += ascii ? 0 : 1;
      }
    }
  }
  EXPECT_GT(num_letters, 1000U);
}

TEST(LayOutSheet, UsesEveryWordOfTheCatalogue) {
  std::string all;
  for (auto& [content, pictures] : EveryKind()) {
    for (const PageText& text : ItemsOf<PageText>(LayOutSheet(content, pictures)))
      all += text.text + '\n';
  }
  // Whole sentences that stand for one outcome each.
  for (const char* key : {"found.none",
                          "found.unclear",
                          "detail.several",
                          "detail.none_plain",
                          "caution",
                          "caption.photo_none",
                          "caption.photo_one",
                          "caption.photo_many",
                          "caption.thermal",
                          "heat.none",
                          "repair.undecided",
                          "repair.new",
                          "repair.hatched",
                          "repair.others",
                          "caution.measure",
                          "caption.heat_before",
                          "was.almost_certain",
                          "was.likely",
                          "was.several",
                          "was.none",
                          "was.rise",
                          "regions.compared",
                          "regions.more_even",
                          "regions.less_even",
                          "regions.alike",
                          "regions.unseen",
                          "regions.extremes",
                          "place.unmarked"}) {
    const std::string text = Words().Get(key);
    EXPECT_NE(all.find(text.substr(0, text.find('{'))), std::string::npos) << key;
  }
}

}  // namespace
}  // namespace ohmglow
