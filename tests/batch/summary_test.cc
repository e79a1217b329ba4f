// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/summary.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>

#include "batch/index_page.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "support/sample_result.h"

namespace ohmglow::batch {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using Json = nlohmann::json;
using testing::MakeSampleResult;
using testing::SampleOptions;

CaseRecord Done(const std::string& name, const SampleOptions& options = {}) {
  CaseRecord record;
  record.name = name;
  record.status = CaseStatus::kDone;
  record.result = FromJson(ToJson(MakeSampleResult(options)), name);
  record.title = record.result.title;
  return record;
}

CaseRecord Failed(const std::string& name, const std::string& error) {
  CaseRecord record;
  record.name = name;
  record.status = CaseStatus::kFailed;
  record.error_code = 3;
  record.error = error;
  return record;
}

Summary Mixed() {
  Summary summary;
  summary.records = {Done("f2"), Failed("f3", "supply.csv, row 3: amps 'x' is no number")};
  SampleOptions none;
  none.num_candidates = 0;
  none.verdict = Verdict::kNone;
  summary.records.push_back(Done("f10", none));
  summary.records.push_back({});
  summary.records.back().name = "f11";
  summary.records.back().error = "no complete result";
  return summary;
}

// One row by column names; good for cells without quotes in them.
std::vector<std::map<std::string, std::string>> Rows(const std::string& csv) {
  std::vector<std::vector<std::string>> cells(1, std::vector<std::string>(1));
  bool quoted = false;
  for (const char c : csv) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      cells.back().emplace_back();
    } else if (c == '\n' && !quoted) {
      cells.emplace_back(1);
    } else {
      cells.back().back() += c;
    }
  }
  cells.pop_back();
  std::vector<std::map<std::string, std::string>> rows;
  for (std::size_t i = 1; i < cells.size(); ++i) {
    EXPECT_EQ(cells[i].size(), cells[0].size()) << "row " << i;
    rows.emplace_back();
    for (std::size_t k = 0; k < cells[i].size(); ++k) rows.back()[cells[0][k]] = cells[i][k];
  }
  return rows;
}

std::size_t CountOf(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++count;
  }
  return count;
}

TEST(ToSummaryCsv, KeepsItsColumns) {
  // An interface: names and order may be added to, never changed.
  EXPECT_EQ(SummaryCsvHeader(),
            "case,title,status,verdict,rank,confidence,part,part_probability,other_parts,power_w,"
            "power_low_w,power_high_w,amps_a,share_of_supply,current_exponent,side,rise_k,onset_s,"
            "width_mm,frame_x_px,frame_y_px,sigma_px,board_x_mm,board_y_mm,photo_x_px,photo_y_px,"
            "detectable_w,remarks,error_code,error,rise_relative");
}

TEST(ToSummaryCsv, HasARowACandidate) {
  const auto rows = Rows(ToSummaryCsv(Mixed()));
  ASSERT_EQ(rows.size(), 3U + 1 + 1 + 1);
  EXPECT_EQ(rows[0].at("case"), "f2");
  EXPECT_EQ(rows[0].at("verdict"), "found");
  EXPECT_EQ(rows[0].at("rank"), "1");
  EXPECT_EQ(rows[0].at("part"), "C41");
  EXPECT_EQ(rows[0].at("part_probability"), "0.81");
  EXPECT_EQ(rows[0].at("other_parts"), "C42 0.15");
  EXPECT_EQ(rows[0].at("power_w"), "0.52");
  EXPECT_EQ(rows[0].at("amps_a"), "1.5");
  EXPECT_EQ(rows[0].at("side"), "near");
  EXPECT_EQ(rows[0].at("remarks"),
            "The rise follows the square of the current. It lies 3 mm from a lead contact, but the "
            "heat is not centred there.");
  EXPECT_EQ(rows[2].at("rank"), "3");
  EXPECT_EQ(rows[2].at("part"), "R12");
}

TEST(ToSummaryCsv, HasARowForACaseWithoutAny) {
  const auto rows = Rows(ToSummaryCsv(Mixed()));
  EXPECT_EQ(rows[3].at("status"), "failed");
  EXPECT_EQ(rows[3].at("error_code"), "3");
  EXPECT_THAT(rows[3].at("error"), HasSubstr("supply.csv, row 3"));
  EXPECT_EQ(rows[3].at("verdict"), "");
  EXPECT_EQ(rows[3].at("amps_a"), "");
  EXPECT_EQ(rows[4].at("verdict"), "none");
  EXPECT_EQ(rows[4].at("rank"), "");
  EXPECT_EQ(rows[4].at("detectable_w"), "0.0042");
  EXPECT_EQ(rows[5].at("status"), "missing");
}

TEST(ToSummaryCsv, NeutralisesHostileText) {
  Summary summary = Mixed();
  summary.records[0].title = "=HYPERLINK(\"http://x\",\"y\")";
  summary.records[0].result.candidates[0].parts[0].ref = "@C1";
  summary.records[0].result.candidates[0].remarks = {Remark::Quoted("-1+1")};
  summary.records[1].error = "+x";
  summary.records[2].title = std::string(1'000'000, '=');
  const std::string csv = ToSummaryCsv(summary);
  EXPECT_LT(csv.size(), 5000U);
  const auto rows = Rows(csv);
  for (const auto& row : rows) {
    for (const auto& [name, cell] : row) {
      EXPECT_FALSE(cell.starts_with('=') || cell.starts_with('+') || cell.starts_with('@')) << name;
    }
  }
  EXPECT_EQ(rows[0].at("part"), "'@C1");
  EXPECT_EQ(rows[0].at("remarks"), "'-1+1");
  EXPECT_EQ(rows[3].at("error"), "'+x");
}

TEST(ToSummaryJson, CountsAndLists) {
  const Json json = Json::parse(ToSummaryJson(Mixed()));
  EXPECT_EQ(json["schema"], 1);
  EXPECT_EQ(json["counts"]["cases"], 4);
  EXPECT_EQ(json["counts"]["done"], 2);
  EXPECT_EQ(json["counts"]["failed"], 1);
  EXPECT_EQ(json["counts"]["missing"], 1);
  EXPECT_EQ(json["counts"]["found"], 1);
  EXPECT_EQ(json["counts"]["none"], 1);
  EXPECT_FALSE(json.contains("shard"));
  EXPECT_EQ(json["cases"][0]["candidates"][0]["power_w"], 0.52);
  EXPECT_EQ(json["cases"][0]["candidates"][0]["parts"][1]["ref"], "C42");
  EXPECT_EQ(json["cases"][1]["error"]["code"], 3);
  EXPECT_EQ(json["cases"][2]["candidates"].size(), 0U);
}

TEST(ToSummaryJson, HasThePartsOfTheResult) {
  Summary summary = Mixed();
  LocateResult& result = summary.records[0].result;
  result.candidates[0].parts = {{"C41", 0.8123, HeatSide::kNear}, {"C9", 0.15, HeatSide::kFar}};
  const Json parts = Json::parse(ToSummaryJson(summary))["cases"][0]["candidates"][0]["parts"];
  EXPECT_EQ(parts[1]["side"], "far");
  EXPECT_EQ(parts, Json::parse(ToJson(result))["candidates"][0]["parts"]);
}

TEST(ReadSummaryHead, ReadsBack) {
  Summary summary = Mixed();
  summary.part = ShelfPart{{2, 3}, 11};
  const SummaryHead head = ReadSummaryHead(ToSummaryJson(summary), "s");
  EXPECT_THAT(head.names, ::testing::ElementsAre("f2", "f3", "f10", "f11"));
  ASSERT_TRUE(head.part.has_value());
  EXPECT_EQ(head.part->shard.number, 2);
  EXPECT_EQ(head.part->shard.count, 3);
  EXPECT_EQ(head.part->num_cases, 11U);
}

TEST(ReadSummaryHead, RefusesWhatIsNotOurs) {
  const std::string start = R"({"schema":1,"program":{"name":"ohmglow"},"cases":)";
  EXPECT_NO_THROW((void)ReadSummaryHead(start + R"([{"case":"a/b"}]})", "s"));
  for (const std::string& text : {std::string(),
                                  std::string("[]"),
                                  std::string("{\"schema\":1}"),
                                  start + "[3]}",
                                  start + R"([{"case":"../../etc"}]})",
                                  start + R"([{"case":"/etc"}]})",
                                  start + R"([{"case":"index.html"}]})"}) {
    EXPECT_THROW((void)ReadSummaryHead(text, "s"), InputError) << text;
  }
}

TEST(ToIndexPage, ShowsEachCase) {
  const std::string page = ToIndexPage(Mixed());
  EXPECT_TRUE(IsIndexPage(page));
  EXPECT_FALSE(IsIndexPage("<html><p>ohmglow</p></html>"));
  EXPECT_EQ(CountOf(page, "<tr class="), 4U);
  EXPECT_THAT(page, HasSubstr("<h1>4 captures</h1>"));
  EXPECT_THAT(page, HasSubstr("src=\"./f2/thumbnail.jpg\""));
  EXPECT_THAT(page, HasSubstr("href=\"./f2/overlay.png\""));
  EXPECT_THAT(page, HasSubstr("href=\"./f2/result.json\""));
  EXPECT_THAT(page, HasSubstr(">C41 (perhaps C42)<"));
  EXPECT_THAT(page, HasSubstr("<b>520 mW</b>"));
  EXPECT_THAT(page, HasSubstr("very likely"));
  EXPECT_THAT(page, HasSubstr("supply.csv, row 3"));
  EXPECT_THAT(page, HasSubstr("a fault above 4.2 mW would have shown"));
  EXPECT_THAT(page, Not(HasSubstr("./f3/")));
}

TEST(ToIndexPage, SpeaksGerman) {
  const std::string page = ToIndexPage(Mixed(), "de");
  EXPECT_THAT(page, HasSubstr("<html lang=\"de\">"));
  EXPECT_THAT(page, HasSubstr("<h1>4 Aufnahmen</h1>"));
  EXPECT_THAT(page, HasSubstr(">C41 (vielleicht C42)<"));
  EXPECT_THAT(page, HasSubstr("sehr wahrscheinlich"));
  EXPECT_THAT(page, HasSubstr("ein Fehler \u00FCber 4,2 mW"));
  EXPECT_THAT(page, Not(HasSubstr(" [en]")));
}

TEST(ToIndexPage, SaysWhichPartOfTheShelf) {
  Summary summary = Mixed();
  summary.part = ShelfPart{{2, 3}, 11};
  EXPECT_THAT(ToIndexPage(summary), HasSubstr("<h1>4 captures, part 2 of 3</h1>"));
}

TEST(ToIndexPage, NamesNothingElsewhere) {
  const std::string page = ToIndexPage(Mixed());
  EXPECT_THAT(page, Not(HasSubstr("http:")));
  EXPECT_THAT(page, Not(HasSubstr("https:")));
  EXPECT_THAT(page, Not(HasSubstr("url(")));
  EXPECT_THAT(page, Not(HasSubstr("@import")));
  EXPECT_EQ(CountOf(page, "<script"), 1U);
}

TEST(ToIndexPage, EscapesHostileText) {
  Summary summary = Mixed();
  const std::string evil = "\"><img src=x onerror=alert(1)>'&\u202E";
  summary.records[0].name = evil;
  summary.records[0].title = evil;
  for (auto& part : summary.records[0].result.candidates[0].parts) part.ref = evil;
  summary.records[1].error = evil;
  const std::string page = ToIndexPage(summary);
  EXPECT_EQ(CountOf(page, "<img"), 2U) << "one for each case that is done";
  EXPECT_EQ(CountOf(page, "onerror=alert(1)>"), 0U);
  EXPECT_EQ(CountOf(page, "\u202E"), 0U);
  EXPECT_EQ(CountOf(page, "<script"), 1U);
}

TEST(ToIndexPage, StaysSmallWithHugeText) {
  Summary summary = Mixed();
  const std::size_t before = ToIndexPage(summary).size();
  summary.records[0].title = std::string(1'000'000, '<');
  summary.records[1].error = std::string(1'000'000, '&');
  EXPECT_LT(ToIndexPage(summary).size(), before + 5000);
}

}  // namespace
}  // namespace ohmglow::batch
