// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/picture/report.h"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"
#include "ohmglow/version.h"
#include "support/sample_result.h"

namespace ohmglow {
namespace {

using testing::MakeSampleResult;
using Json = nlohmann::ordered_json;
using namespace std::string_literals;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

std::vector<std::string> Lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

std::vector<std::string> Keys(const Json& json) {
  std::vector<std::string> keys;
  for (const auto& item : json.items()) keys.push_back(item.key());
  return keys;
}

void ExpectNoNull(const Json& json) {
  EXPECT_FALSE(json.is_null());
  if (json.is_structured()) {
    for (const auto& item : json.items()) ExpectNoNull(item.value());
  }
}

TEST(FromJson, ReadsBackAllThatToJsonWrites) {
  LocateResult result = MakeSampleResult({});
  result.side = BoardSide::kBottom;
  result.pictures = {{"response", "response.tiff", "K", 1}, {"photo", "p.png", "", 0.625}};
  result.maps.photo_lens = RadialLens{{699.5, 549.5}, 890.2, 0.0123, -0.004};
  result.supply_path = SupplyPath{1.5, 0.31, 0.015, 0.125, 0.004};
  result.plate = PlateFit{{0.02, 0.01, 0.04}, {3300, 2500, 4400}, {18, 10, 31}};
  result.candidates[0].resistance_ohm = Estimate{0.012, 0.006, 0.025};
  result.candidates[0].parts = {
      {"C41", 0.81, HeatSide::kNear}, {"C9", 0.15, HeatSide::kFar}, {"C42", 0.02}};
  result.candidates[1].drop_v = Estimate{0.35, 0.3, 0.4};
  result.candidates[1].sheet_conductance_w_k = Estimate{0.018, 0.009, 0.036};
  const std::string text = ToJson(result);
  EXPECT_EQ(ToJson(FromJson(text, "result.json")), text);
  EXPECT_EQ(FromJson(text, "result.json").candidates[0].parts[1].side, HeatSide::kFar);
  const Point place(31.5, 17.25);
  const Point read = FromJson(text, "result.json").maps.PhotoPlace(place);
  EXPECT_NEAR(cv::norm(read - result.maps.PhotoPlace(place)), 0, 1e-3);
}

TEST(FromJson, KeepsUnknownNumbersUnknown) {
  LocateResult result;
  result.frame_size_px = {8, 6};
  result.alignment.frames.resize(3);
  result.candidates.resize(1);
  result.candidates.front().power_w = kNan;
  const std::string text = ToJson(result);
  EXPECT_EQ(ToJson(FromJson(text, "result.json")), text);
}

TEST(FromJson, NamesFileAndWhatIsWrong) {
  const auto refuse = [](const std::string& text, const std::string& part) {
    try {
      (void)FromJson(text, "d/result.json");
      ADD_FAILURE() << "not refused: " << text;
    } catch (const InputError& error) {
      const std::string line = error.what();
      EXPECT_TRUE(line.starts_with("d/result.json: ")) << line;
      EXPECT_NE(line.find(part), std::string::npos) << line;
      EXPECT_EQ(line.find('\n'), std::string::npos) << line;
    }
  };
  refuse("{\"schema\": 1", "is not JSON");
  refuse("[]", "is missing");
  refuse(R"({"schema": 1, "program": {"name": "another"}})", "no result of ohmglow");
  Json json = Json::parse(ToJson(MakeSampleResult({})));
  json["verdict"] = "perhaps";
  refuse(json.dump(), "'perhaps'");
  json = Json::parse(ToJson(MakeSampleResult({})));
  json["frames"]["dropped"] = {{{"index", 100000}, {"reason", "x"}}};
  refuse(json.dump(), "frames.dropped");
  json = Json::parse(ToJson(MakeSampleResult({})));
  json["candidates"][0]["power_w"] = "much";
  refuse(json.dump(), "wrong kind");
}

TEST(ToJson, WritesTheKeysOfSchemaOne) {
  const Json json = Json::parse(ToJson(MakeSampleResult({})));
  EXPECT_EQ(Keys(json),
            (std::vector<std::string>{"schema",
                                      "program",
                                      "case",
                                      "assumed",
                                      "assumed_values",
                                      "frames",
                                      "board",
                                      "noise",
                                      "registration",
                                      "supply",
                                      "verdict",
                                      "elsewhere_probability",
                                      "detectable_w",
                                      "candidates",
                                      "advice",
                                      "advice_values"}));
  EXPECT_EQ(Keys(json["candidates"][0]),
            (std::vector<std::string>{"rank",
                                      "confidence",
                                      "frame_x",
                                      "frame_y",
                                      "sigma_px",
                                      "board_x_mm",
                                      "board_y_mm",
                                      "photo_x",
                                      "photo_y",
                                      "side",
                                      "rise_k",
                                      "power_w",
                                      "power_low_w",
                                      "power_high_w",
                                      "share_of_supply",
                                      "current_exponent",
                                      "current_exponent_sigma",
                                      "onset_s",
                                      "width_mm",
                                      "snr",
                                      "parts",
                                      "remarks",
                                      "remark_values",
                                      "evidence",
                                      "growth"}));
  EXPECT_EQ(json["program"]["version"], OHMGLOW_VERSION);
}

TEST(ToJson, CarriesTheValues) {
  const LocateResult result = MakeSampleResult({});
  const Json json = Json::parse(ToJson(result));
  EXPECT_EQ(json["frames"]["count"], 12);
  EXPECT_EQ(json["frames"]["used"], 11);
  EXPECT_EQ(json["frames"]["dropped"][0]["index"], 4);
  EXPECT_EQ(json["verdict"], "found");
  EXPECT_EQ(json["supply"]["levels"][2]["watts"], 0.495);
  for (std::size_t i = 0; i < result.candidates.size(); ++i) {
    const Candidate& c = result.candidates[i];
    const Json& row = json["candidates"][i];
    EXPECT_EQ(row["rank"], i + 1);
    EXPECT_NEAR(row["frame_x"].get<double>(), c.frame_px.x, 5e-4);
    EXPECT_NEAR(row["board_y_mm"].get<double>(), c.board_mm->y, 5e-4);
    EXPECT_NEAR(row["power_w"].get<double>(), c.power_w, 1e-3 * c.power_w);
  }
  EXPECT_EQ(json["candidates"][1]["side"], "far");
}

TEST(ToJson, SaysWhereTheSuppliesWattsGo) {
  LocateResult result = MakeSampleResult({});
  result.supply_path = SupplyPath{2, 0.3, 0.015, 0.1, 0.004};
  result.plate = PlateFit{{0.02, 0.01, 0.04}, {3300, 2500, 4400}, {18, 10, 31}};
  result.candidates[0].resistance_ohm = Estimate{0.012, 0.006, 0.025};
  const Json json = Json::parse(ToJson(result));
  const Json& path = json["supply"]["path"];
  EXPECT_NEAR(path["watts"].get<double>(), 0.3 * 2 + 0.1 * 4, 1e-9);
  EXPECT_NEAR(path["drop_v"].get<double>(), 0.3, 1e-9);
  double fault_w = 0;
  for (const Candidate& c : result.candidates) fault_w += c.confidence >= 0.5 ? c.power_w : 0;
  EXPECT_NEAR(path["fault_watts"].get<double>(), fault_w, 0.01 * fault_w);
  EXPECT_EQ(json["board"]["heat_capacity_j_m2k"]["low"], 2500);
  EXPECT_EQ(json["candidates"][0]["resistance_ohm"]["high"], 0.025);
  EXPECT_FALSE(json["candidates"][0].contains("drop_v"));
}

TEST(ToJson, LeavesOutWhatIsUnknown) {
  LocateResult result = MakeSampleResult({2, Verdict::kFound, {1400, 1100}, false});
  result.clock_offset_s.reset();  // Its standard error goes with it.
  result.detectable_w = std::numeric_limits<double>::infinity();
  Candidate& c = result.candidates[0];
  c.current_exponent.reset();
  c.onset_s = kNan;
  c.rise_k = kNan;
  c.share_of_supply = -std::numeric_limits<double>::infinity();
  const std::string text = ToJson(result);
  const Json json = Json::parse(text);
  ExpectNoNull(json);
  for (const char* key : {"board_x_mm",
                          "board_y_mm",
                          "photo_x",
                          "photo_y",
                          "current_exponent",
                          "current_exponent_sigma",
                          "onset_s",
                          "rise_k",
                          "share_of_supply"}) {
    EXPECT_FALSE(json["candidates"][0].contains(key)) << key;
  }
  EXPECT_FALSE(json["supply"].contains("clock_offset_s"));
  EXPECT_FALSE(json["supply"].contains("clock_offset_sigma_s"));
  EXPECT_FALSE(json.contains("detectable_w"));
}

TEST(ToJson, RoundsToDigitsThatMeanSomething) {
  const std::string text = ToJson(MakeSampleResult({}));  // The clock offset is 0.1 + 0.2.
  EXPECT_NE(text.find("\"clock_offset_s\": 0.3,"), std::string::npos);
  EXPECT_EQ(text.find("0000000"), std::string::npos);
  EXPECT_EQ(text.find("99999"), std::string::npos);
  EXPECT_EQ(text, ToJson(MakeSampleResult({})));
  EXPECT_EQ(text.back(), '\n');
}

TEST(ToJson, TreatsTextAsData) {
  LocateResult result = MakeSampleResult({1});
  result.title = "a\"b\\c\n\x1b[2J\0\xff"s + std::string(5000, 'x');
  result.case_file = "..\\folder/sub/case.ini";
  result.candidates[0].parts = {{"\xC3\x28\",\"rank\":9", 0.5}};
  const Json json = Json::parse(ToJson(result));
  EXPECT_EQ(json["case"]["file"], "case.ini");
  const std::string title = json["case"]["title"];
  EXPECT_EQ(title.substr(0, 10), "a\"b\\c [2J\xEF");
  EXPECT_LE(title.size(), 210U);
  EXPECT_EQ(json["candidates"][0]["rank"], 1);
}

TEST(ToMotionCsv, WritesARowAFrameAndLeavesUnusedOnesEmpty) {
  const std::vector<std::string> lines = Lines(ToMotionCsv(MakeSampleResult({}).alignment));
  ASSERT_EQ(lines.size(), 13U);
  EXPECT_EQ(lines[0], "index,used,dx_px,dy_px,rotation_deg,scale");
  EXPECT_EQ(lines[1], "0,1,0.0000,0.0000,0.00000,1.0000000");
  EXPECT_EQ(lines[5], "4,0,,,,");
  EXPECT_EQ(lines[12], "11,1,1.1000,-0.5500,0.02200,1.0001100");
}

}  // namespace
}  // namespace ohmglow
