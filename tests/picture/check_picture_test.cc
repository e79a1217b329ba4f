// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "ohmglow/picture/check_report.h"
#include "picture/check_layout.h"
#include "picture/check_words.h"
#include "support/sample_check.h"

namespace ohmglow {
namespace {

using internal::CheckLayout;
using internal::CheckPanel;
using testing::MakeSampleCheck;

constexpr RegistrationVerdict kAll[] = {RegistrationVerdict::kHolds,
                                        RegistrationVerdict::kDoubtful,
                                        RegistrationVerdict::kFails,
                                        RegistrationVerdict::kNotTold};

std::vector<cv::Rect2d> Boxes(const CheckLayout& layout) {
  std::vector<cv::Rect2d> boxes{
      layout.headline.box, layout.sentences.box, layout.color_bar, layout.footer.box};
  for (const CheckPanel* panel : layout.panels()) {
    boxes.push_back(panel->heading.box);
    boxes.emplace_back(panel->picture);
    boxes.push_back(panel->note.box);
  }
  return boxes;
}

TEST(LayOutCheck, KeepsEverythingApartAndOnThePage) {
  bool german = false;
  for (const RegistrationVerdict verdict : kAll) {
    for (const cv::Size photo : {cv::Size(1200, 900), cv::Size(900, 1400), cv::Size(2400, 300)}) {
      for (const cv::Size frame : {cv::Size(160, 120), cv::Size(120, 160), cv::Size(640, 100)}) {
        // Every other page in German, whose words are longer.
        const Words& words = Words::Report(german ? "de" : "en");
        german = !german;
        const CheckLayout layout =
            internal::LayOutCheck(MakeSampleCheck({verdict, frame, photo.width > 900, true}),
                                  photo,
                                  photo.width > 900,
                                  words);
        const cv::Rect2d page({0, 0}, cv::Size2d(layout.canvas_px));
        const std::vector<cv::Rect2d> boxes = Boxes(layout);
        for (std::size_t i = 0; i < boxes.size(); ++i) {
          EXPECT_EQ((boxes[i] & page).area(), boxes[i].area()) << i;
          for (std::size_t k = 0; k < i; ++k) {
            EXPECT_LT((boxes[i] & boxes[k]).area(), 1e-6) << i << " " << k;
          }
        }
      }
    }
  }
}

TEST(LayOutCheck, CutsNoText) {
  for (const RegistrationVerdict verdict : kAll) {
    for (const bool on_photo : {true, false}) {
      const Words& words = Words::Report(on_photo ? "de" : "en");
      const CheckLayout layout =
          internal::LayOutCheck(MakeSampleCheck({verdict}), {1200, 900}, on_photo, words);
      std::vector<internal::TextBlock> blocks{layout.headline, layout.sentences, layout.footer};
      for (const CheckPanel* panel : layout.panels()) {
        blocks.push_back(panel->heading);
        blocks.push_back(panel->note);
      }
      for (internal::TextBlock block : blocks) {
        const double height = block.box.height;
        block.style.max_lines = 100;
        internal::Fit(block);
        EXPECT_EQ(block.box.height, height) << block.text;
      }
    }
  }
}

TEST(CheckWords, SayWhatHoldsAndWhatHelps) {
  const RegistrationCheck holds = MakeSampleCheck({});
  EXPECT_NE(internal::CheckHeadline(holds).find("holds"), std::string::npos);
  EXPECT_NE(internal::CheckHeadline(holds).find("0.05 px"), std::string::npos);
  const auto mentions = [](const RegistrationCheck& check, const std::string& text) {
    for (const std::string& sentence : internal::CheckSentences(check)) {
      if (sentence.find(text) != std::string::npos) return true;
    }
    return false;
  };
  EXPECT_FALSE(mentions(holds, "What helps"));
  EXPECT_TRUE(mentions(holds, "56 of 60 frames"));
  EXPECT_TRUE(mentions(MakeSampleCheck({RegistrationVerdict::kFails}), "What helps"));
  EXPECT_NE(
      internal::CheckHeadline(MakeSampleCheck({RegistrationVerdict::kNotTold})).find("cannot"),
      std::string::npos);
}

TEST(CheckWords, SpeakGerman) {
  const Words& german = Words::Report("de");
  const RegistrationCheck fails = MakeSampleCheck({RegistrationVerdict::kFails});
  EXPECT_EQ(internal::CheckHeadline(MakeSampleCheck({}), german).find("Die Bilder liegen"), 0U);
  EXPECT_NE(internal::CheckHeadline(MakeSampleCheck({}), german).find("0,05 px"),
            std::string::npos);
  for (const std::string& sentence : internal::CheckSentences(fails, german)) {
    for (const char* english : {" the ", " of ", " frame", "{", "[en]"}) {
      EXPECT_EQ(sentence.find(english), std::string::npos) << sentence;
    }
  }
}

TEST(CheckWords, CountReasonsWithoutTheirNumbers) {
  const std::vector<std::string> expected{"repeats the frame before it bit for bit: 3",
                                          "does not match the scene: 1"};
  EXPECT_EQ(internal::LeftOutByReason(MakeSampleCheck({})), expected);
  EXPECT_TRUE(internal::LeftOutByReason(MakeSampleCheck({.with_left_out = false})).empty());
}

TEST(CheckSummary, IsShort) {
  for (const RegistrationVerdict verdict : kAll) {
    std::istringstream lines(ToCheckSummary(MakeSampleCheck({verdict})));
    int count = 0;
    for (std::string line; std::getline(lines, line); ++count) EXPECT_LE(line.size(), 100U) << line;
    EXPECT_GE(count, 3);
    EXPECT_LE(count, 15);
  }
}

TEST(CheckJson, HoldsWhatThePictureShows) {
  const auto json = nlohmann::json::parse(ToCheckJson(MakeSampleCheck({})));
  EXPECT_EQ(json.at("registration"), "holds");
  EXPECT_EQ(json.at("motion").at("expected_error_px"), 0.052);
  EXPECT_EQ(json.at("frames").at("count"), 60);
  EXPECT_EQ(json.at("frames").at("left_out").size(), 4U);
  EXPECT_EQ(json.at("frames").at("left_out")[0].at("index"), 7);
  EXPECT_EQ(json.at("leftover").at("tiles").size(), 12U);
  int told = 0;
  for (const auto& tile : json.at("leftover").at("tiles")) told += tile.contains("leftover_px");
  EXPECT_EQ(told, 11);  // The last tile has no texture: absent, not null.
}

TEST(DrawCheck, DrawsEveryKind) {
  for (const RegistrationVerdict verdict : kAll) {
    const cv::Mat picture = DrawCheck(MakeSampleCheck({verdict}), {});
    EXPECT_EQ(picture.cols, 1600);
    EXPECT_EQ(picture.type(), CV_8UC3);
  }
}

TEST(DrawCheck, ShowsTheStripsAsTheyAre) {
  const RegistrationCheck check = MakeSampleCheck({});
  const cv::Mat picture = DrawCheck(check, {});
  const CheckLayout layout = internal::LayOutCheck(check, {1000, 750}, false);
  // As filmed the columns of the strip change with time, registered they do not.
  const auto unrest = [&](const CheckPanel& panel) {
    cv::Mat first = picture(panel.picture).row(20), second = picture(panel.picture).row(120), d;
    cv::absdiff(first, second, d);
    return cv::mean(d)[0];
  };
  EXPECT_GT(unrest(layout.row_before), 5 * unrest(layout.row_after) + 1);
}

}  // namespace
}  // namespace ohmglow
