// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/guardian.h"

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>
#include <unistd.h>

#include <map>
#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

// A supply in a process of its own: obeys, answers, and hangs on 1 ohm.
class FakeSupply {
 public:
  /// @param most_amps  more is not taken. @param answers  false: never.
  /// @param leak_amps  measured while the output is off. @param late_s  each answer.
  explicit FakeSupply(double most_amps = 5,
                      bool answers = true,
                      double leak_amps = 0,
                      double late_s = 0)
      : most_a_(most_amps), answers_(answers), leak_a_(leak_amps), late_s_(late_s) {
    listener_ = socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in here{};
    here.sin_family = AF_INET;
    here.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    auto* const name = reinterpret_cast<sockaddr*>(&here);
    EXPECT_EQ(bind(listener_, name, sizeof here), 0);
    EXPECT_EQ(listen(listener_, 4), 0);
    socklen_t size = sizeof here;
    getsockname(listener_, name, &size);
    port_ = ntohs(here.sin_port);
    EXPECT_EQ(pipe(events_), 0);
    pid_ = fork();
    if (pid_ == 0) Serve();
  }
  ~FakeSupply() {
    kill(pid_, SIGKILL);
    close(listener_);
    close(events_[0]);
    close(events_[1]);
  }
  FakeSupply(const FakeSupply&) = delete;
  FakeSupply& operator=(const FakeSupply&) = delete;

  [[nodiscard]] SupplyOptions options() const {
    SupplyOptions options;
    options.address = ParseSupplyAddress("tcp:127.0.0.1:" + std::to_string(port_));
    options.limits = {5, 2, 15, 60, 60};
    return options;
  }
  /// Takes nothing and answers nothing until it goes on.
  void Stop() const { kill(pid_, SIGSTOP); }
  void GoOn() const { kill(pid_, SIGCONT); }
  /// When the output was next switched on ('1') or told off ('0') [s]; -1: not in that time.
  double Await(char what, double within_s) const {
    for (const double until_s = NowSeconds() + within_s; NowSeconds() < until_s;) {
      pollfd in{events_[0], POLLIN, 0};
      if (poll(&in, 1, 10) <= 0) continue;
      char came = 0;
      if (read(events_[0], &came, 1) == 1 && came == what) return NowSeconds();
    }
    return -1;
  }

 private:
  [[noreturn]] void Serve() {
    signal(SIGPIPE, SIG_IGN);
    while (true) {
      const int client = accept(listener_, nullptr, nullptr);
      std::string waiting;
      char bytes[256];
      for (ssize_t got = 1; got > 0;) {
        got = read(client, bytes, sizeof bytes);
        if (got > 0) waiting.append(bytes, static_cast<std::size_t>(got));
        for (auto end = waiting.find('\n'); end != std::string::npos; end = waiting.find('\n')) {
          const std::string answer = Take(waiting.substr(0, end));
          waiting.erase(0, end + 1);
          if (!answer.empty() && answers_) {
            usleep(static_cast<useconds_t>(1e6 * late_s_));
            // Whoever asked may be gone.
            (void)!write(client, (answer + "\n").data(), answer.size() + 1);
          }
        }
      }
      close(client);
    }
  }

  std::string Take(const std::string& line) {
    if (line == "OUTP ON" || line == "OUTP OFF") {
      on_ = line == "OUTP ON";
      EXPECT_EQ(write(events_[1], on_ ? "1" : "0", 1), 1);
    }
    if (line.starts_with("VOLT ")) volts_ = std::stod(line.substr(5));
    if (line.starts_with("CURR ")) amps_ = std::min(most_a_, std::stod(line.substr(5)));
    if (line == "*IDN?") return "a,b,c,d";
    if (line == "OUTP?") return on_ ? "1" : "0";
    if (line == "VOLT?") return std::to_string(volts_);
    if (line == "CURR?") return std::to_string(amps_);
    if (line.starts_with("MEAS")) return std::to_string(on_ ? amps_ : leak_a_);
    return line.ends_with('?') ? "0,\"No error\"" : "";
  }

  double most_a_;
  bool answers_;
  double leak_a_;
  double late_s_;
  int listener_ = -1;
  int port_ = 0;
  int events_[2] = {-1, -1};
  pid_t pid_ = -1;
  bool on_ = false;
  double volts_ = 0;
  double amps_ = 0;
};

using Kind = GuardianReport::Kind;

// Ready, and 1 A flows.
void SwitchOn(Guardian& guardian, const FakeSupply& supply) {
  const auto ready = guardian.Wait(Kind::kReady, 2);
  ASSERT_TRUE(ready);
  ASSERT_EQ(ready->kind, Kind::kReady) << TripText(ready->trip, RecordWords());
  EXPECT_EQ(ready->supply.identity, "a,b,c,d");
  EXPECT_GT(ready->supply.answer_s, 0);
  EXPECT_LT(ready->supply.off_s, 0.3);
  guardian.Level(1, 5);
  ASSERT_GT(supply.Await('1', 1), 0);
}

TEST(Guardian, SetsMeasuresAndEndsWithTheOutputReadBack) {
  const FakeSupply supply;
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  int readings = 0;
  for (const double until_s = NowSeconds() + 0.6; NowSeconds() < until_s; usleep(20'000)) {
    guardian.Beat();
    for (const GuardianReport& report : guardian.Poll()) {
      ASSERT_EQ(report.kind, Kind::kReading) << TripText(report.trip, RecordWords());
      if (report.reading.amps_a > 0.99) ++readings;
    }
  }
  EXPECT_GE(readings, 3);  // At least five times a second.
  const GuardianReport end = guardian.End();
  EXPECT_EQ(end.kind, Kind::kEnded);
  EXPECT_TRUE(end.read_back);
  EXPECT_GT(supply.Await('0', 0.1), 0);
}

// Whoever is asked for a yes takes time over it.
TEST(Guardian, WaitsForTheFirstLevel) {
  const FakeSupply supply;
  Guardian guardian(supply.options());
  ASSERT_TRUE(guardian.Wait(Kind::kReady, 2));
  usleep(1'700'000);
  guardian.Level(0, 5);
  for (const double until_s = NowSeconds() + 0.3; NowSeconds() < until_s; usleep(20'000)) {
    guardian.Beat();
    for (const GuardianReport& report : guardian.Poll()) {
      EXPECT_EQ(report.kind, Kind::kReading) << TripText(report.trip, RecordWords());
    }
  }
}

TEST(Guardian, SwitchesOffWhereItHearsNothing) {
  const FakeSupply supply;
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  const double begun_s = NowSeconds();
  const double off_s = supply.Await('0', 2);
  ASSERT_GT(off_s, 0);
  EXPECT_LT(off_s - begun_s, 0.5);
  const auto trip = guardian.Wait(Kind::kTrip, 1);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->trip.cause, Cause::kRecorderHangs);
  EXPECT_TRUE(trip->read_back);
}

TEST(Guardian, ItsOwnDeathSwitchesOffToo) {
  const FakeSupply supply;
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  kill(guardian.pid(), SIGKILL);
  const double begun_s = NowSeconds();
  const auto trip = guardian.Wait(Kind::kTrip, 2);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->trip.cause, Cause::kGuardianGone);
  EXPECT_TRUE(trip->read_back);
  EXPECT_LT(NowSeconds() - begun_s, 0.5);
  EXPECT_GT(supply.Await('0', 0.1), 0);
}

// Stopped, not dead: its socket stays open, and nothing is said.
TEST(Guardian, ItsSilenceSwitchesOffToo) {
  const FakeSupply supply;
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  kill(guardian.pid(), SIGSTOP);
  const double begun_s = NowSeconds();
  const auto trip = guardian.Wait(Kind::kTrip, 3);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->trip.cause, Cause::kGuardianHangs);
  EXPECT_TRUE(trip->read_back);
  EXPECT_LT(NowSeconds() - begun_s, 1);
  EXPECT_GT(supply.Await('0', 0.1), 0);
}

TEST(Guardian, EndsInTimeThoughTheProcessIsStopped) {
  const FakeSupply supply;
  {
    Guardian guardian(supply.options());
    SwitchOn(guardian, supply);
    kill(guardian.pid(), SIGSTOP);
    const double begun_s = NowSeconds();
    const GuardianReport end = guardian.End();
    EXPECT_EQ(end.trip.cause, Cause::kGuardianHangs);
    EXPECT_TRUE(end.read_back);
    EXPECT_LT(NowSeconds() - begun_s, 1.5);
    EXPECT_GT(supply.Await('0', 0.1), 0);
  }
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  EXPECT_TRUE(guardian.End().read_back);
}

TEST(Guardian, NoOrderWaitsForAFullQueue) {
  const FakeSupply supply;
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  kill(guardian.pid(), SIGSTOP);
  const double begun_s = NowSeconds();
  for (int n = 0; n < 20000; ++n) guardian.Level(1, 5);
  EXPECT_LT(NowSeconds() - begun_s, 2);
  const auto trip = guardian.Wait(Kind::kTrip, 2);
  ASSERT_TRUE(trip);
  EXPECT_EQ(trip->trip.cause, Cause::kGuardianHangs);
}

TEST(Guardian, RefusesASupplyThatMeasuresCurrentWhileOff) {
  for (const double leak_a : {0.3, -0.3}) {
    const FakeSupply leaks(5, true, leak_a);
    Guardian guardian(leaks.options());
    const auto report = guardian.Wait(Kind::kReady, 2);
    ASSERT_TRUE(report);
    EXPECT_EQ(report->kind, Kind::kRefused) << leak_a;
  }
}

TEST(Guardian, RefusesASupplyThatCannotDoWhatIsAskedFor) {
  const FakeSupply weak(1);
  Guardian guardian(weak.options());
  const auto report = guardian.Wait(Kind::kReady, 2);
  ASSERT_TRUE(report);
  EXPECT_EQ(report->kind, Kind::kRefused);
  EXPECT_NE(report->trip.detail.find("CURR"), std::string::npos);
}

TEST(Guardian, RefusesASupplyThatDoesNotAnswer) {
  const FakeSupply silent(5, false);
  Guardian guardian(silent.options());
  const auto report = guardian.Wait(Kind::kReady, 2);
  ASSERT_TRUE(report);
  EXPECT_EQ(report->kind, Kind::kRefused);
}

// 90 ms an answer: the next reading, the order and three answers take more than 0.3 s.
TEST(Guardian, RefusesASupplyThatAnswersTooLate) {
  const FakeSupply late(5, true, 0, 0.09);
  SupplyOptions options = late.options();
  options.words.answer_s = 1;  // On a busy computer 90 ms may be more, and that is another refusal.
  Guardian guardian(options);
  const auto report = guardian.Wait(Kind::kReady, 5);
  ASSERT_TRUE(report);
  EXPECT_EQ(report->kind, Kind::kRefused);
  EXPECT_EQ(report->trip.cause, Cause::kAnswersLate);
  EXPECT_GE(report->trip.value, 90);
}

// The supply is lost, but not for ever: the guardian gives up waiting, not trying.
TEST(Guardian, GoesOnTryingWhereTheSupplyIsLost) {
  FakeSupply supply;
  testing::internal::CaptureStderr();
  Guardian guardian(supply.options());
  SwitchOn(guardian, supply);
  supply.Stop();
  std::optional<GuardianReport> trip;
  for (const double until_s = NowSeconds() + 8; !trip && NowSeconds() < until_s;) {
    guardian.Beat();
    trip = guardian.Wait(Kind::kTrip, 0.05);
  }
  ASSERT_TRUE(trip);
  EXPECT_FALSE(trip->read_back);
  usleep(2'600'000);
  supply.GoOn();
  bool off = false;
  for (const double until_s = NowSeconds() + 5; !off && NowSeconds() < until_s;) {
    off = supply.Await('0', 0.1) > 0;
  }
  EXPECT_TRUE(off);
  usleep(1'500'000);
  const GuardianReport end = guardian.End();
  EXPECT_TRUE(end.read_back);
  EXPECT_GT(end.off_s, 2.6) << "counted from the first order on, not from the try that worked";
  const std::string cried = testing::internal::GetCapturedStderr();
  const std::string cry = RecordWords().Get("cry.not_off");
  int cries = 0;
  for (auto at = cried.find(cry); at != std::string::npos; at = cried.find(cry, at + 1)) ++cries;
  EXPECT_GE(cries, 2) << cried;
  EXPECT_NE(cried.find(RecordWords().Get("cry.now_off")), std::string::npos) << cried;
}

TEST(Guardian, WithoutASupplyThereIsNone) {
  SupplyOptions options = FakeSupply().options();
  options.address = ParseSupplyAddress("tcp:127.0.0.1:1");
  EXPECT_THROW(Guardian{options}, InputError);
}

}  // namespace
}  // namespace ohmglow::record
