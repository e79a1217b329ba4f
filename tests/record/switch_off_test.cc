// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/switch_off.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmglow::record {
namespace {

constexpr double kZeroA = 0.026;

// A supply on paper: answers each line by a function; "" is no answer.
class PaperSupply final : public Link {
 public:
  explicit PaperSupply(std::function<std::string(const std::string&)> answer)
      : answer_(std::move(answer)) {}
  bool Write(std::string_view text) override {
    said.emplace_back(text.substr(0, text.size() - 1));
    if (const std::string answer = answer_(said.back()); !answer.empty()) {
      waiting.push_back(answer);
    }
    return true;
  }
  ReadEnd ReadLine(double, int, const std::function<bool()>&, std::string& line) override {
    if (waiting.empty()) return ReadEnd::kTimeout;
    line = waiting.front();
    waiting.pop_front();
    return ReadEnd::kLine;
  }
  void Drain() override { waiting.clear(); }
  std::vector<std::string> said;
  std::deque<std::string> waiting;

 private:
  std::function<std::string(const std::string&)> answer_;
};

struct Outcome {
  SwitchedOff off;
  std::vector<std::string> said;
  std::string cried;
};

Outcome Switch(std::function<std::string(const std::string&)> answer,
               const std::string& late = "",
               double give_up_s = 0.5) {
  auto supply = std::make_unique<PaperSupply>(std::move(answer));
  PaperSupply* const paper = supply.get();
  if (!late.empty()) supply->waiting.push_back(late);
  std::unique_ptr<Link> link = std::move(supply);
  SupplyAddress nowhere;
  nowhere.kind = SupplyAddress::Kind::kSerial;
  nowhere.device = "/no/such";
  testing::internal::CaptureStderr();
  Outcome outcome;
  outcome.off = SwitchOff(link, nowhere, {}, kZeroA, give_up_s);
  outcome.cried = testing::internal::GetCapturedStderr();
  outcome.said = paper->said;
  return outcome;
}

bool Has(const std::vector<std::string>& lines, const std::string& line) {
  return std::find(lines.begin(), lines.end(), line) != lines.end();
}

TEST(SwitchOff, SaysItFirstAndReadsItBack) {
  const Outcome outcome = Switch([](const std::string& line) -> std::string {
    if (line == "OUTP?") return "0";
    return line == "MEAS:CURR?" ? "0.001" : "";
  });
  EXPECT_TRUE(outcome.off.read_back);
  EXPECT_EQ(outcome.said.front(), "OUTP OFF");
  EXPECT_EQ(outcome.cried, "");
  EXPECT_LT(outcome.off.took_s, 0.2);
}

// A switch that is stuck: "off" is what it was told, not what it does.
TEST(SwitchOff, OffIsNotReadBackWhereCurrentStillFlows) {
  for (const char* amps : {"0.4", "-0.4", "no number"}) {
    const Outcome outcome = Switch([&](const std::string& line) -> std::string {
      if (line == "OUTP?") return "0";
      return line == "MEAS:CURR?" ? amps : "";
    });
    EXPECT_FALSE(outcome.off.read_back) << amps;
    EXPECT_TRUE(Has(outcome.said, "CURR 0.0000"));
    EXPECT_TRUE(Has(outcome.said, "VOLT 0.0000"));
    EXPECT_NE(outcome.cried.find("CURRENT STILL FLOWS"), std::string::npos) << outcome.cried;
    EXPECT_NE(outcome.cried.find("SWITCH IT OFF BY HAND"), std::string::npos);
  }
}

TEST(SwitchOff, LetsTheCurrentSettle) {
  int asked = 0;
  const Outcome outcome = Switch([&](const std::string& line) -> std::string {
    if (line == "OUTP?") return "0";
    if (line != "MEAS:CURR?") return "";
    return ++asked < 5 ? "0.4" : "0.002";
  });
  EXPECT_TRUE(outcome.off.read_back);
  EXPECT_EQ(outcome.cried, "");
}

// The answer to an older question, "0", comes when the output is asked for:
// before that, and after it.
TEST(SwitchOff, ALateZeroIsNotOff) {
  const auto stays_on = [](const std::string& line) -> std::string {
    if (line == "OUTP?") return "1";
    return line == "MEAS:CURR?" ? "0.5" : "";
  };
  EXPECT_FALSE(Switch(stays_on, "0").off.read_back);
  std::deque<std::string> owed{"0"};
  const Outcome outcome = Switch([&](const std::string& line) -> std::string {
    if (!line.ends_with('?')) return "";
    owed.push_back(stays_on(line));
    const std::string answer = owed.front();
    owed.pop_front();
    return answer;
  });
  EXPECT_FALSE(outcome.off.read_back);
}

// An answer that was lost is not waited for for ever.
TEST(SwitchOff, FindsItsWayAfterALostAnswer) {
  int lost = 0;
  const Outcome outcome = Switch(
      [&](const std::string& line) -> std::string {
        if (!line.ends_with('?') || lost++ == 0) return "";
        return line == "OUTP?" ? "0" : "0.000";
      },
      "",
      4);
  EXPECT_TRUE(outcome.off.read_back);
  EXPECT_NE(outcome.cried.find("now the supply says"), std::string::npos);
}

TEST(SwitchOff, CriesWhereNothingIsAnswered) {
  const Outcome outcome = Switch([](const std::string&) { return ""; });
  EXPECT_FALSE(outcome.off.read_back);
  EXPECT_NE(outcome.cried.find("SWITCH IT OFF BY HAND"), std::string::npos);
}

}  // namespace
}  // namespace ohmglow::record
