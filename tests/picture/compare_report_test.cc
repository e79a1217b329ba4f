// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/picture/compare_report.h"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/version.h"
#include "picture/compare_words.h"
#include "support/sample_compare.h"
#include "support/sample_result.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace {

using testing::MakeSampleCompare;
using testing::MakeSampleRegions;
using testing::SampleCompareOptions;
using Json = nlohmann::ordered_json;
using Strings = std::vector<std::string>;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

Strings Lines(const std::string& text) {
  Strings lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

Strings Keys(const Json& json) {
  Strings keys;
  for (const auto& item : json.items()) keys.push_back(item.key());
  return keys;
}

TEST(ToCompareJson, WritesTheKeysOfSchemaOne) {
  const Json json = Json::parse(ToCompareJson(
      MakeSampleCompare({CompareVerdict::kNotRepaired, 3, {1400, 1100}, true, true, 1})));
  EXPECT_EQ(Keys(json),
            (Strings{"schema",
                     "program",
                     "before",
                     "after",
                     "verdict",
                     "probability",
                     "words",
                     "scale_amps",
                     "registration",
                     "places",
                     "resistance",
                     "regions",
                     "maps"}));
  EXPECT_EQ(Keys(json["registration"]),
            (Strings{"method", "residual_px", "rotation_deg", "scale", "confidence"}));
  EXPECT_EQ(Keys(json["places"][0]),
            (Strings{"name",
                     "change",
                     "change_probability",
                     "suspect",
                     "frame_x",
                     "frame_y",
                     "photo_x",
                     "photo_y",
                     "before_w",
                     "before_low_w",
                     "before_high_w",
                     "after_w",
                     "after_low_w",
                     "after_high_w",
                     "ratio",
                     "ratio_sigma",
                     "parts"}));
  EXPECT_EQ(Keys(json["resistance"]),
            (Strings{"before_ohm", "after_ohm", "change_ohm", "change_sigma_ohm", "remark"}));
  EXPECT_EQ(Keys(json["regions"][0]), (Strings{"name", "before", "after"}));
  EXPECT_EQ(Keys(json["regions"][0]["after"]),
            (Strings{"mean_c", "max_c", "spread_k", "quarters_k", "sigma_k"}));
  EXPECT_EQ(json["program"]["version"], OHMGLOW_VERSION);
}

TEST(ToCompareJson, TellsThePartsSideAsAResultDoes) {
  CompareResult result = MakeSampleCompare({});
  LocateResult located = testing::MakeSampleResult({});
  result.places[0].parts = located.candidates[0].parts = {
      {"C41", 0.81, HeatSide::kNear}, {"C9", 0.15, HeatSide::kFar}, {"C42", 0.0213}};
  const Json rows = Json::parse(ToCompareJson(result))["places"][0]["parts"];
  EXPECT_EQ(rows[1]["side"], "far");
  EXPECT_FALSE(rows[2].contains("side"));
  EXPECT_EQ(rows, Json::parse(ToJson(located))["candidates"][0]["parts"]);
}

TEST(ToCompareJson, CarriesTheValues) {
  const CompareResult result = MakeSampleCompare({CompareVerdict::kNewPlace, 10});
  const Json json = Json::parse(ToCompareJson(result));
  EXPECT_EQ(json["verdict"], "new_place");
  EXPECT_EQ(json["probability"], 0.97);
  EXPECT_EQ(json["scale_amps"], 1);
  EXPECT_EQ(json["registration"]["method"], "picture");
  EXPECT_EQ(json["registration"]["rotation_deg"], 12.1);
  ASSERT_EQ(json["places"].size(), 10U);
  for (std::size_t i = 0; i < 10; ++i) {
    EXPECT_EQ(json["places"][i]["name"], result.places[i].name);
    EXPECT_NEAR(json["places"][i]["frame_x"].get<double>(), result.places[i].before_px.x, 5e-4);
  }
  EXPECT_EQ(json["places"][0]["change"], "gone");
  EXPECT_EQ(json["places"][0]["after_below_w"], 0.0018);
  EXPECT_FALSE(json["places"][0].contains("after_w"));
  EXPECT_EQ(json["places"][8]["change"], "new");
  EXPECT_FALSE(json["places"][8].contains("before_w"));
  EXPECT_EQ(json["maps"]["after"], "after.tiff");
}

TEST(ToCompareJson, NamesEveryChangeAndVerdict) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kRepaired, 1});
  const auto change = [&](PlaceChange value) {
    result.places[0].change = value;
    return Json::parse(ToCompareJson(result))["places"][0]["change"].get<std::string>();
  };
  EXPECT_EQ(change(PlaceChange::kGone), "gone");
  EXPECT_EQ(change(PlaceChange::kWeaker), "weaker");
  EXPECT_EQ(change(PlaceChange::kUnchanged), "unchanged");
  EXPECT_EQ(change(PlaceChange::kStronger), "stronger");
  EXPECT_EQ(change(PlaceChange::kNew), "new");
  EXPECT_EQ(change(PlaceChange::kUnknown), "unknown");
  const auto verdict = [&](CompareVerdict value) {
    result.verdict = value;
    return Json::parse(ToCompareJson(result))["verdict"].get<std::string>();
  };
  EXPECT_EQ(verdict(CompareVerdict::kRepaired), "repaired");
  EXPECT_EQ(verdict(CompareVerdict::kNotRepaired), "not_repaired");
  EXPECT_EQ(verdict(CompareVerdict::kNewPlace), "new_place");
  EXPECT_EQ(verdict(CompareVerdict::kUndecided), "undecided");
}

TEST(ToCompareJson, LeavesOutWhatIsUnknown) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kNotRepaired, 1});
  result.resistance = {};
  result.places[0].ratio.reset();  // Its standard error goes with it.
  result.places[0].after_low_w = kNan;
  result.places[0].photo_px = Point(kNan, 1);
  result.alignment.overlap = 0;
  const std::string text = ToCompareJson(result);
  EXPECT_EQ(text.find("null"), std::string::npos);
  const Json json = Json::parse(text);
  for (const char* key : {"ratio", "ratio_sigma", "after_low_w", "photo_x", "photo_y"}) {
    EXPECT_FALSE(json["places"][0].contains(key)) << key;
  }
  EXPECT_FALSE(json.contains("registration"));
  EXPECT_TRUE(json["resistance"].empty());
}

TEST(ToCompareJson, HasNoMapsWhereOnlyRegionsWereCompared) {
  const Json json = Json::parse(ToCompareJson(MakeSampleRegions(4)));
  EXPECT_FALSE(json.contains("maps"));
  EXPECT_FALSE(json.contains("scale_amps"));
  EXPECT_EQ(json["before"]["file"], "case.ini");
  ASSERT_EQ(json["regions"].size(), 4U);
  EXPECT_EQ(json["regions"][0]["before"]["mean_c"], 41.23);
  EXPECT_FALSE(json["regions"][3].contains("after"));
}

TEST(ToCompareJson, TreatsTextAsData) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kRepaired, 1});
  result.before.title = "a\"b\n\x1b[2J\u202E\xff" + std::string(5000, 'x');
  result.places[0].parts = {{"\xC3\x28\",\"suspect\":9", 0.5}};
  result.words = {Remark::Quoted("one\ntwo\u200B")};
  const std::string text = ToCompareJson(result);
  const Json json = Json::parse(text);
  EXPECT_EQ(text.find("\u202E"), std::string::npos);
  EXPECT_LE(json["before"]["title"].get<std::string>().size(), 210U);
  EXPECT_EQ(json["words"][0], "one two");
  EXPECT_EQ(json["places"][0]["suspect"], true);
}

TEST(ToCompareSummary, StaysWithinFifteenLinesOfHundredColumns) {
  for (const auto verdict : {CompareVerdict::kRepaired, CompareVerdict::kUndecided}) {
    for (const int places : {0, 1, 3, 10}) {
      for (const int regions : {0, 1, 3, 20}) {
        CompareResult result =
            MakeSampleCompare({verdict, places, {1400, 1100}, true, true, regions});
        for (const bool hostile : {false, true}) {
          if (hostile) {
            for (ComparedPlace& place : result.places) {
              place.name = std::string(50, 'A') + "\x1b";
              place.parts = {{std::string(300, 'W') + "\n\x1b[31m", 0.6},
                             {"\u6C34" + std::string(99, 'q'), 0.4}};
            }
            for (ComparedRegion& region : result.regions) region.name = std::string(300, 'M');
            result.words =
                std::vector<Remark>(9, Remark::Quoted("but " + std::string(250, 'a') + " b\nc"));
            result.resistance.remark = Remark::Quoted(std::string(900, 'r') + " \n s");
          }
          const std::string text = ToCompareSummary(result);
          EXPECT_EQ(text.find('\x1b'), std::string::npos);
          const Strings lines = Lines(text);
          EXPECT_LE(lines.size(), 15U);
          for (const std::string& line : lines) {
            EXPECT_LE(internal::NumColumns(line), 100) << line;
            EXPECT_NE(line.back(), ' ') << line;
          }
        }
      }
    }
  }
}

TEST(ToCompareSummary, SaysWhatATechnicianNeeds) {
  const std::string text = ToCompareSummary(
      MakeSampleCompare({CompareVerdict::kRepaired, 3, {1400, 1100}, true, true, 2}));
  for (const char* wanted : {"Repaired: the fault's heat is gone (almost certain, 97 %).",
                             "A  C41 (perhaps C42): gone (97 %); 520 mW (420 to 650), now below "
                             "1.8 mW at 1 A, 95 %",
                             "C  R12: weaker (87 %)",
                             "41 % (\u00B16) of before",
                             "220 m\u03A9 before, 1.45 \u03A9 after; up by 1.23 \u03A9",
                             "cancel",
                             "0.21 px",
                             "41.2 \u2192 38.9",
                             "\u22122.33 \u00B10.27"}) {
    EXPECT_NE(text.find(wanted), std::string::npos) << wanted << " is not in:\n" << text;
  }
}

// A part of the list beside a lead contact is not what warms there.
TEST(ToCompareSummary, CallsALeadContactByItsName) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kRepaired, 2});
  result.places[1].contact = "PC1";
  EXPECT_NE(ToCompareSummary(result).find("B  lead contact PC1: "), std::string::npos)
      << ToCompareSummary(result);
  EXPECT_EQ(Json::parse(ToCompareJson(result))["places"][1]["contact"], "PC1");
}

TEST(ToCompareSummary, SpeaksGerman) {
  CompareResult result =
      MakeSampleCompare({CompareVerdict::kRepaired, 3, {1400, 1100}, true, true, 3});
  result.words = {Remark(RemarkKind::kMeasureBeforePower)};
  const std::string text = ToCompareSummary(result, Words::Report("de"));
  for (const char* wanted : {"Repariert: die W\u00E4rme des Fehlers ist weg (",
                             "C41 (vielleicht C42): weg (97 %); 520 mW (420 bis 650), jetzt unter "
                             "1,8 mW bei 1 A, 95 %",
                             "1,45 \u03A9 nachher",
                             "Bevor die Versorgungsschiene ihre volle Spannung bekommt"}) {
    EXPECT_NE(text.find(wanted), std::string::npos) << wanted << " is not in:\n" << text;
  }
  EXPECT_EQ(text.find(Words::kFallbackSign), std::string::npos);
}

// 1.96 standard errors hold 95 % of a normal distribution (standard tables):
// 1.96 * hypot(0.08, 0.11) = 0.2666.
TEST(RegionCells, GiveTheChangeOfTheMeanWithBothErrors) {
  const Strings cells = internal::RegionCells(MakeSampleRegions(4).regions[0]);
  ASSERT_EQ(cells.size(), internal::RegionHeads().size());
  EXPECT_EQ(cells[2], "\u22122.33 \u00B10.27");
  const Strings unseen = internal::RegionCells(MakeSampleRegions(4).regions[3]);
  EXPECT_EQ(unseen[1], "44.2 \u2192 \u2013");
  EXPECT_EQ(unseen[2], "\u2013");
}

TEST(CompareHeadline, NeverClaimsARepairThatWasNotShown) {
  for (const int places : {0, 1, 3}) {
    const std::string headline =
        internal::CompareHeadline(MakeSampleCompare({CompareVerdict::kUndecided, places}));
    EXPECT_EQ(headline.find("gone"), std::string::npos) << headline;
    EXPECT_EQ(headline.find("Repaired"), std::string::npos) << headline;
    EXPECT_EQ(headline.find('%'), std::string::npos) << headline;
  }
}

TEST(ChangeWord, TellsUnseenFromUnclear) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kUndecided, 1});
  EXPECT_EQ(internal::ChangeWord(result, result.places[0]), "unknown");
  result.places[0].before_px = {2, 3};  // In the corner that the second capture misses.
  EXPECT_EQ(internal::ChangeWord(result, result.places[0]), "not in view");
  EXPECT_EQ(internal::AfterPower(result, result.places[0]), "not in view");
  result.places[0].before_px = {kNan, 1e9};
  EXPECT_EQ(internal::ChangeWord(result, result.places[0]), "unknown");
}

TEST(ToCompareSummary, PrintsNoPowerThatAnUnknownChangeWouldGive) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kUndecided, 1});
  ComparedPlace& place = result.places[0];
  ASSERT_EQ(place.change, PlaceChange::kUnknown);
  ASSERT_TRUE(place.before_low_w.has_value());
  place.ratio = 14;
  place.ratio_sigma = 9;
  place.after_w = 7.3;
  place.after_low_w = 2.8;
  place.after_high_w = 19;
  EXPECT_EQ(internal::AfterPower(result, place), "unknown");
  EXPECT_EQ(ToCompareSummary(result).find("7.3 W"), std::string::npos);
  place.after_below_w = 21;
  EXPECT_EQ(internal::AfterPower(result, place), "unknown");
  place.after_below_w.reset();
  place.change = PlaceChange::kStronger;
  EXPECT_EQ(internal::AfterPower(result, place), "7.3 W (2.8 to 19)");
  // What only AFTER has measured is its own power; BEFORE's would come from the change.
  place.change = PlaceChange::kUnknown;
  place.before_low_w.reset();
  place.before_high_w.reset();
  EXPECT_EQ(internal::AfterPower(result, place), "7.3 W (2.8 to 19)");
  EXPECT_EQ(internal::BeforePower(place), "unknown");
}

TEST(CurrentText, SaysWhereWattsStandForAnotherCurrent) {
  CompareResult result = MakeSampleCompare({CompareVerdict::kNotRepaired, 1});
  ComparedPlace& place = result.places[0];
  place.change = PlaceChange::kStronger;
  place.after_w = 4.5;
  place.after_low_w = 3;
  place.after_high_w = 7;
  place.after_below_w.reset();
  result.scale_amps_a = 1.25;
  SupplyLevel level;
  level.amps_a = 0.3;
  result.after.levels = {level};
  EXPECT_EQ(internal::CurrentText(result),
            "The watts now are as if 1.25 A flowed; in the second capture 0.3 A did.");
  EXPECT_NE(ToCompareSummary(result).find("as if 1.25 A flowed"), std::string::npos);
  result.after.levels[0].amps_a = 1.25;
  EXPECT_EQ(internal::CurrentText(result), "");
}

TEST(ResistanceText, SaysOnlyWhatIsKnown) {
  EXPECT_EQ(internal::ResistanceText({}), "");
  EXPECT_EQ(internal::ResistanceText({0.5, {}, {}, {}, {}}),
            "Resistance at the supply: 500 m\u03A9 before.");
  EXPECT_EQ(internal::ResistanceText({2, 1.5, -0.5, 0.1, {}}),
            "Resistance at the supply: 2 \u03A9 before, 1.5 \u03A9 after; down by 500 m\u03A9 "
            "\u00B1 200 m\u03A9 (95 %).");
  EXPECT_EQ(internal::ResistanceText({2, 2.01, 0.01, 0.1, {}}),
            "Resistance at the supply: 2 \u03A9 before, 2.01 \u03A9 after; the same within 200 "
            "m\u03A9 (95 %).");
  EXPECT_EQ(internal::ResistanceText({{}, {}, {}, {}, Remark::Quoted("No log.")}), "No log.");
}

TEST(RegistrationText, SaysWhatItStartedFrom) {
  CompareResult result = MakeSampleCompare({});
  const auto says = [&](const char* text) {
    return internal::RegistrationText(result).find(text) != std::string::npos;
  };
  result.before.maps.board_trust.reset();
  result.after.maps.board_trust.reset();
  EXPECT_FALSE(says("landmarks"));
  result.alignment.from_points = true;
  EXPECT_TRUE(says("by landmarks."));
  result.after.maps.board_trust = 0.99;
  EXPECT_TRUE(says("by landmarks in the first and by the parts list in the second."));
  result.before.maps.board_trust = 0.99;
  EXPECT_TRUE(says("by the parts list."));
  EXPECT_FALSE(says("landmarks"));
  result.alignment.residual_px = 2e-6;  // A capture compared with itself.
  EXPECT_FALSE(says(" px"));
  EXPECT_EQ(internal::RegistrationText({}), "");
}

}  // namespace
}  // namespace ohmglow
