// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/switch_off.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <stdlib.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <thread>
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
  const OffOptions options{nowhere, {}, kZeroA, {}};
  outcome.off = SwitchOff(link, options, give_up_s);
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
    EXPECT_NE(outcome.cried.find(Cries().flows), std::string::npos) << outcome.cried;
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
  EXPECT_NE(outcome.cried.find(Cries().now_off), std::string::npos);
}

TEST(SwitchOff, CriesAgainWithEachTryAndSaysWhereItWorked) {
  bool answers = false;
  std::unique_ptr<Link> link = std::make_unique<PaperSupply>([&](const std::string& line) {
    if (!answers || !line.ends_with('?')) return "";
    return line == "OUTP?" ? "0" : "0.000";
  });
  SupplyAddress nowhere;
  nowhere.kind = SupplyAddress::Kind::kSerial;
  const OffOptions options{nowhere, {}, kZeroA, {}};
  for (int n = 0; n < 2; ++n) {
    testing::internal::CaptureStderr();
    EXPECT_FALSE(SwitchOffAgain(link, options).read_back);
    EXPECT_NE(testing::internal::GetCapturedStderr().find(Cries().not_off), std::string::npos);
  }
  answers = true;
  testing::internal::CaptureStderr();
  EXPECT_TRUE(SwitchOffAgain(link, options).read_back);
  EXPECT_NE(testing::internal::GetCapturedStderr().find(Cries().now_off), std::string::npos);
}

// The cable of a serial line was pulled and is plugged in again.
TEST(SwitchOff, OpensASerialLineThatWasLostAnew) {
  class GoneLink final : public Link {
   public:
    bool Write(std::string_view) override { return false; }
    ReadEnd ReadLine(double, int, const std::function<bool()>&, std::string&) override {
      return ReadEnd::kLost;
    }
    void Drain() override {}
  };
  const int master = posix_openpt(O_RDWR | O_NOCTTY);
  ASSERT_GE(master, 0);
  ASSERT_EQ(grantpt(master), 0);
  ASSERT_EQ(unlockpt(master), 0);
  OffOptions options{{}, {}, kZeroA, {}};
  options.address.kind = SupplyAddress::Kind::kSerial;
  options.address.device = ptsname(master);
  // Open as long as the test: a line that nobody holds ends the reading of its other end.
  const int held = open(options.address.device.c_str(), O_RDWR | O_NOCTTY);
  std::atomic<bool> over = false;
  std::thread supply([&] {
    std::string came;
    while (!over) {
      pollfd in{master, POLLIN, 0};
      char c = 0;
      if (poll(&in, 1, 20) <= 0 || read(master, &c, 1) != 1) continue;
      if (c != '\n') {
        came += c;
        continue;
      }
      const std::string answer = came == "OUTP?" ? "0\n" : "0.000\n";
      if (came.ends_with('?')) (void)!write(master, answer.data(), answer.size());
      came.clear();
    }
  });
  std::unique_ptr<Link> link = std::make_unique<GoneLink>();
  testing::internal::CaptureStderr();
  const SwitchedOff off = SwitchOffAgain(link, options);
  over = true;
  supply.join();
  EXPECT_TRUE(off.read_back);
  EXPECT_NE(testing::internal::GetCapturedStderr().find(Cries().now_off), std::string::npos);
  close(held);
  close(master);
}

// Nobody reads what is cried: the switching off does not wait for them.
TEST(SwitchOff, DoesNotWaitForAFullPipe) {
  int ends[2];
  ASSERT_EQ(pipe2(ends, O_NONBLOCK), 0);
  const std::string much(4096, 'x');
  while (write(ends[1], much.data(), much.size()) > 0) {
  }
  while (write(ends[1], "x", 1) > 0) {
  }
  ASSERT_EQ(fcntl(ends[1], F_SETFL, 0), 0);  // From now on it would wait.
  const int before = dup(STDERR_FILENO);
  dup2(ends[1], STDERR_FILENO);
  std::unique_ptr<Link> link = std::make_unique<PaperSupply>([](const std::string&) { return ""; });
  SupplyAddress nowhere;
  nowhere.kind = SupplyAddress::Kind::kSerial;
  const SwitchedOff off = SwitchOffAgain(link, {nowhere, {}, kZeroA, {}});
  dup2(before, STDERR_FILENO);
  EXPECT_FALSE(off.read_back);
  for (const int fd : {before, ends[0], ends[1]}) close(fd);
}

TEST(SwitchOff, CriesWhereNothingIsAnswered) {
  const Outcome outcome = Switch([](const std::string&) { return ""; });
  EXPECT_FALSE(outcome.off.read_back);
  EXPECT_NE(outcome.cried.find(Cries().not_off), std::string::npos);
}

}  // namespace
}  // namespace ohmglow::record
