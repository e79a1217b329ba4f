// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/survey.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <regex>
#include <sstream>

#include "input/case_folder.h"
#include "input/case_remarks.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"
#include "ohmglow/words/say.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::StartsWith;

// The frames of a case folder, made many enough for a capture.
void WriteFrames(const CaseFolder& files, const std::string& name, int count = 14) {
  std::vector<cv::Mat> pages;
  for (int i = 0; i < count; ++i) pages.push_back(testing::RampPage(i, {12, 8}, CV_16U));
  testing::WriteTiff(files.folder() / name, pages, {.compression = COMPRESSION_ADOBE_DEFLATE});
}

std::string ValueOf(const FolderSurvey& survey, const std::string& key) {
  for (const Setting& setting : survey.settings) {
    if (setting.key == key) return setting.value;
  }
  return "";
}

class Survey : public ::testing::Test {
 protected:
  Survey() {
    WriteFrames(files_, "frames.tiff");
    std::string times = "index,time_s\n";
    for (int i = 0; i < 14; ++i) times += std::to_string(i) + "," + std::to_string(0.1 * i) + "\n";
    files_.folder().Write("frames.csv", times);
    cv::imwrite((files_.folder() / "photo.png").string(),
                cv::Mat(40, 60, CV_8UC3, cv::Scalar(9, 8, 7)));
    files_.folder().Write("supply.csv", "time_s,volts,amps\n0,0,0\n0.5,0.1,0.25\n1,0.1,0.25\n");
  }
  std::filesystem::path Folder() const { return files_.folder() / ""; }
  CaseFolder files_;
};

TEST_F(Survey, MakesACaseOfAFolderWithoutACaseFile) {
  const FolderSurvey survey = SurveyFolder(Folder());
  EXPECT_TRUE(survey.case_file.empty());
  EXPECT_EQ(ValueOf(survey, "frames.source"), "frames.tiff");
  EXPECT_EQ(ValueOf(survey, "frames.times"), "frames.csv");
  EXPECT_EQ(ValueOf(survey, "supply.log"), "supply.csv");
  EXPECT_EQ(ValueOf(survey, "board.photo"), "photo.png");
  EXPECT_EQ(ValueOf(survey, "board.points"), "points.csv");
  EXPECT_EQ(ValueOf(survey, "board.parts"), "parts.csv");
  EXPECT_EQ(ValueOf(survey, "board.contacts"), "contacts.csv");
  EXPECT_TRUE(survey.questions.empty());
}

TEST_F(Survey, TakesSettingsOfAnotherProgramForNoCaseFile) {
  files_.folder().Write("desktop.ini", "[view]\nmode=1\n");
  const FolderSurvey survey = SurveyFolder(Folder());
  EXPECT_TRUE(survey.case_file.empty());
  EXPECT_EQ(ValueOf(survey, "frames.source"), "frames.tiff");
}

TEST_F(Survey, CompletesACaseFileAndSaysSo) {
  for (const char* key : {"frames.times", "supply.log", "board.photo"}) files_.Remove(key);
  const auto ini = files_.Ini();
  const FolderSurvey survey = SurveyFolder(Folder());
  EXPECT_EQ(survey.case_file.filename(), "case.ini");
  EXPECT_EQ(survey.settings.size(), 3U);
  const Case job = LoadSurveyed(survey);
  ASSERT_TRUE(job.supply.has_value());
  EXPECT_EQ(job.photo.size(), cv::Size(60, 40));
  EXPECT_EQ(job.title, "Tide gauge");  // The user's own words hold.
  EXPECT_THAT(ToTexts(job.assumed),
              Contains(StartsWith("supply.log = supply.csv (found in the folder")));
  // The file alone says no more than what stands in it.
  EXPECT_FALSE(LoadCase(ini).supply.has_value());
}

TEST_F(Survey, WritesACaseFileThatReadsTheSame) {
  files_.folder().Write("odd; name.csv", "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,1,1,top\n");
  std::filesystem::remove(files_.folder() / "parts.csv");
  const FolderSurvey survey = SurveyFolder(Folder());
  const std::string text = ToCaseFile(survey, {{"board.side", "top"}});
  EXPECT_THAT(text, HasSubstr("parts = \"odd; name.csv\""));
  EXPECT_THAT(text, HasSubstr("; side = top"));
  const auto ini = files_.folder().Write("case.ini", "[frames]\nscale = 0.01\n");
  files_.folder().Write("case.ini", text);
  const FolderSurvey again = SurveyFolder(Folder());
  EXPECT_TRUE(again.settings.empty());
  EXPECT_EQ(LoadCase(ini).parts.size(), 1U);
}

// What was taken for granted can be set as it stands: the case is the same, and nothing is assumed.
TEST_F(Survey, WritesAssumedValuesThatMayBeUncommented) {
  for (const char* parts : {"ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,1,1,top\n",
                            "Ref;X (mm);Y (mm);Seite\nC1;1,5;2;oben\nU1;30;20;oben\n",
                            ""}) {
    std::filesystem::remove(files_.folder() / "parts.csv");
    if (*parts != 0) files_.folder().Write("parts.csv", parts);
    const FolderSurvey survey = SurveyFolder(Folder());
    std::vector<Assumption> assumed;
    for (const Assumption& one : LoadSurveyed(survey).assumed) {
      if (one.how != AssumedHow::kInFolder) assumed.push_back(one);
    }
    ASSERT_GE(assumed.size(), 8U);
    std::istringstream text(ToCaseFile(survey, assumed));
    std::string bare;
    int uncommented = 0;
    for (std::string line; std::getline(text, line);) {
      const bool is_key = std::regex_search(line, std::regex("^; [a-z0-9_]+ = \\S"));
      uncommented += is_key ? 1 : 0;
      bare += (is_key ? line.substr(2) : line) + "\n";
    }
    EXPECT_GE(uncommented, 7) << bare;
    const Case job = LoadCase(files_.folder().Write("set.ini", bare));
    std::filesystem::remove(files_.folder() / "set.ini");
    for (const std::string& line : ToTexts(job.assumed)) {
      EXPECT_TRUE(line.starts_with("board.parts") || line.starts_with("board.mm_per_pixel") ||
                  line.starts_with("frames.unit"))
          << line;
    }
  }
}

TEST_F(Survey, TakesNoKeysFromTheNameOfAFile) {
  const std::string parts = "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,1,1,top\n";
  std::filesystem::remove(files_.folder() / "parts.csv");
  for (const char* name :
       {"a\n[surface]\nemissivity = 0.1\n.csv", "b\rside = top.csv", "c\"d.csv"}) {
    files_.folder().Write(name, parts);
    const FolderSurvey survey = SurveyFolder(Folder());
    EXPECT_EQ(ValueOf(survey, "board.parts"), "") << name;
    ASSERT_EQ(survey.set_aside.size(), 1U) << name;
    EXPECT_EQ(survey.set_aside[0].why.key, "survey.name_unfit");
    EXPECT_THAT(ToCaseFile(survey), ::testing::Not(HasSubstr("emissivity")));
    EXPECT_TRUE(LoadSurveyed(survey).parts.empty());
    SurveyChoice choice;
    choice.parts = files_.folder() / name;
    EXPECT_THROW((void)SurveyFolder(Folder(), choice), InputError);
    std::filesystem::remove(files_.folder() / name);
  }
}

TEST_F(Survey, WritesTheNameOfAFolderInOneLine) {
  FolderSurvey survey = SurveyFolder(Folder());
  survey.settings.front().value = "second\n[surface]\nemissivity = 0.1";
  ASSERT_EQ(survey.settings.front().key, "title");
  EXPECT_EQ(LoadSurveyed(survey).title, "second [surface] emissivity = 0.1");
  EXPECT_THAT(ToCaseFile(survey), HasSubstr("title = second [surface] emissivity = 0.1\n"));
}

TEST_F(Survey, StopsAtAQuestionThatMustBeAnswered) {
  WriteFrames(files_, "other.tiff");
  const FolderSurvey survey = SurveyFolder(Folder());
  ASSERT_FALSE(survey.questions.empty());
  try {
    (void)LoadSurveyed(survey);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("which of frames.tiff and other.tiff"));
    EXPECT_THAT(error.what(), HasSubstr("--frames"));
  }
  SurveyChoice choice;
  choice.frames = "other.tiff";
  const FolderSurvey settled = SurveyFolder(Folder(), choice);
  EXPECT_EQ(ValueOf(settled, "frames.source"), "other.tiff");
  EXPECT_TRUE(settled.questions.empty());
}

TEST_F(Survey, DoesNotGoAgainstTheCaseFile) {
  (void)files_.Ini();
  SurveyChoice choice;
  choice.photo = "photo.png";
  EXPECT_THROW((void)SurveyFolder(Folder(), choice), InputError);
}

TEST_F(Survey, TellsOfAPhotoThatIsNone) {
  files_.folder().Write("photo.png", "taken with the telephone, see the other folder\n");
  const Case job = LoadSurveyed(SurveyFolder(Folder(), {}));
  EXPECT_TRUE(job.photo.empty());
  EXPECT_THAT(
      ToTexts(job.assumed),
      Contains("board.photo = none (photo.png is no picture that can be read; save it as PNG "
               "or JPEG)"));
}

TEST_F(Survey, LeavesALogAsideForLevels) {
  SurveyChoice choice;
  choice.levels = "0 0.25";
  EXPECT_THAT(ToTexts(LoadSurveyed(SurveyFolder(Folder(), choice)).assumed),
              Contains("supply.log = none (supply.csv in the folder is left aside because --levels "
                       "was given)"));
  const auto refused = [&](const std::string& part) {
    try {
      (void)SurveyFolder(Folder(), choice);
      ADD_FAILURE() << part;
    } catch (const InputError& error) {
      EXPECT_THAT(error.what(), HasSubstr(part));
    }
  };
  choice.levels = "0 720";
  refused("--levels: 720 A: levels are amps; write 0.72");
  choice.levels = "0 0.25";
  choice.log = "supply.csv";
  refused("--levels: give it or --log, not both");
  choice.log.clear();
  (void)files_.Ini();
  refused("case.ini names a log; remove the line log = ... to use --levels");
}

TEST_F(Survey, GoesOnWithoutAListThatNobodyNamed) {
  files_.folder().Write("parts.csv",
                        "Kennung;Ost;Nord\nC1;1,5;2,5\nU1;30,5;22,5\nU1;31;4\nC5;31;4\n");
  const Case job = LoadSurveyed(SurveyFolder(Folder()));
  EXPECT_TRUE(job.parts.empty());
  EXPECT_THAT(ToTexts(job.assumed), Contains(StartsWith("board.parts = none (")));
  const std::vector<NotUsed> not_used = ListNotUsed(job.assumed);
  ASSERT_EQ(not_used.size(), 1U);
  EXPECT_EQ(not_used[0].what.kind, RemarkKind::kPartsNotUsed);
  EXPECT_THAT(not_used[0].why,
              HasSubstr("the header has Kennung, Ost, Nord; say which, such as "
                        "board.parts_columns = ref=Kennung, x=Ost, y=Nord"));
  // What was named stays an error.
  SurveyChoice choice;
  choice.parts = "parts.csv";
  EXPECT_THROW((void)LoadSurveyed(SurveyFolder(Folder(), choice)), InputError);
  files_.folder().Write("case.ini", "[board]\nparts = parts.csv\n");
  EXPECT_THROW((void)LoadSurveyed(SurveyFolder(Folder())), InputError);
}

TEST_F(Survey, SaysHowToGoOnWithoutAFileThatIsMissing) {
  files_.folder().Write("case.ini", "[board]\nphoto = gone.png\n");
  try {
    (void)LoadSurveyed(SurveyFolder(Folder()));
    FAIL() << "read";
  } catch (const InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("gone.png"));
    EXPECT_THAT(error.what(), HasSubstr("or remove that line to go on without it"));
  }
}

TEST(RemarkOnSpans, SpeaksOfGuessedTimesAlone) {
  Case job;
  job.frame_times_s = {0, 15};
  job.supply = SupplyLog{{0, 31}, {1, 1}, {0, 1}};
  job.assumed = {{"frames.times", "from the files' dates", AssumedHow::kGuess}};
  EXPECT_THAT(Say(RemarkOnSpans(job)),
              StartsWith("The frames seem to last 15 s, the supply log lasts 31 s"));
  job.assumed = {{"frames.rate_hz", "8 Hz"}};
  EXPECT_THAT(Say(RemarkOnSpans(job)), HasSubstr("Give the camera's rate as rate_hz"));
  job.frame_times_s = {0, 25};
  EXPECT_TRUE(RemarkOnSpans(job).empty());
  job.frame_times_s = {0, 15};
  job.assumed.clear();
  EXPECT_TRUE(RemarkOnSpans(job).empty());
}

TEST_F(Survey, GoesOnWithoutAPhotoOfTwo) {
  cv::imwrite((files_.folder() / "back.png").string(),
              cv::Mat(40, 60, CV_8UC3, cv::Scalar(1, 2, 3)));
  const Case job = LoadSurveyed(SurveyFolder(Folder()));
  EXPECT_TRUE(job.photo.empty());
  EXPECT_THAT(ToTexts(job.assumed), Contains(HasSubstr("which of back.png and photo.png")));
}

}  // namespace
}  // namespace ohmglow
