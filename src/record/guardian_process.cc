// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <poll.h>
#include <signal.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cstring>
#include <exception>
#include <string>
#include <utility>

#include "record/guardian_wire.h"
#include "record/prepare_supply.h"
#include "record/standstill.h"
#include "record/supply.h"
#include "record/switch_off.h"

namespace ohmglow::record::internal {
namespace {

constexpr double kSilentRecorderS = 0.25;
constexpr double kAliveEveryS = 0.05;
constexpr double kGiveUpS = 2.5;  // Then the recorder is told; it goes on, with pauses.
constexpr double kAgainEveryS = 1;
constexpr double kAloneS = 60;     // So long it goes on trying where the recorder died.
constexpr double kMostGapS = 0.4;  // Between two looks at the clock; waits are shorter.

class Process {
 public:
  Process(const SupplyOptions& options,
          const OffOptions& off,
          std::unique_ptr<Link> link,
          int socket)
      : options_(options),
        off_options_(off),
        link_(std::move(link)),
        supply_(std::make_unique<Supply>(*link_, options.words)),
        guard_(options.limits),
        socket_(socket) {
    sigset_t signals;
    sigfillset(&signals);
    signals_ = ::signalfd(-1, &signals, SFD_NONBLOCK | SFD_CLOEXEC);
    // Whatever comes from the recorder may be the order to stop: no answer is waited for then.
    supply_->WakeBy(socket_, [this] {
      Receive();
      return MustStop();
    });
    supply_->TickBy([this] { Tick(); });
  }

  void Run() {
    try {
      Live();
    } catch (const std::exception& error) {
      if (!ended_) {
        Finish(GuardianReport::Kind::kTrip, {Cause::kGuardianFailed, 0, 0, error.what()});
      }
    }
  }

 private:
  void Live() {
    Prepare();
    while (!gone_) {
      Wait();
      if (armed_ && !ended_) SayAlive();
      Receive();
      ReadSignals();
      if (gone_) break;
      if (ended_) {
        Confirm();
        TryAgain();
        continue;
      }
      Obey();
      Watch();
    }
    // A recorder that ended in order has waited for its output to go off.
    if (!ended_) {
      Finish(GuardianReport::Kind::kTrip, Trip{Cause::kRecorderGone});
      const char* const key = off_.read_back ? "cry.alone_off" : "cry.alone_not_off";
      Cry("\nohmglow: " + options_.says.Get(key) + '\n');
    }
    const double until_s = NowSeconds() + kAloneS;
    for (; not_off_ && NowSeconds() < until_s; ::usleep(50'000)) TryAgain();
  }

  // Nobody else holds the connection: for as long as this process lives.
  void TryAgain() {
    if (!not_off_ || NowSeconds() - tried_s_ < kAgainEveryS) return;
    tried_s_ = NowSeconds();
    supply_.reset();
    off_ = SwitchOffAgain(link_, off_options_, [this] { SayAlive(); });
    off_.took_s = NowSeconds() - off_since_s_;  // Not of this try alone.
    not_off_ = !off_.read_back;
    supply_ = std::make_unique<Supply>(*link_, options_.words);
  }

  [[nodiscard]] bool MustStop() const { return gone_ || (order_ && order_->amps_a == 0); }

  // The recorder counts how long nothing came.
  void SayAlive() {
    if (NowSeconds() - alive_s_ < kAliveEveryS) return;
    alive_s_ = NowSeconds();
    GuardianReport alive;
    alive.kind = GuardianReport::Kind::kAlive;
    Send(alive);
  }

  // While an answer is waited for. A recorder that is not heard ends the
  // waiting.
  void Tick() {
    SayAlive();
    Receive();
    const bool hangs = armed_ && NowSeconds() - beat_s_ > kSilentRecorderS;
    if (StoodStill() || hangs || MustStop()) throw SupplyWoken{};
  }

  bool StoodStill() {
    const auto missed_s = standstill_.Missed(NowSeconds(), BootSeconds());
    if (!missed_s || !armed_) return false;
    guard_.OnTrip({Cause::kStoodStill, *missed_s, 0, ""});
    return true;
  }

  void Prepare() {
    try {
      GuardianReport ready;
      ready.kind = GuardianReport::Kind::kReady;
      const auto wrong = PrepareSupply(*supply_, options_.limits, ready.supply);
      if (wrong) return Refuse(*wrong);
      Send(ready);
    } catch (const SupplySilence&) {
      Refuse({Cause::kNeverAnswers, options_.words.answer_s, 0, ""});
    } catch (const SupplyWoken&) {
    }
  }

  // Asked to end once more: the output is off already.
  void Confirm() {
    if (order_ && order_->kind == Order::Kind::kEnd) {
      GuardianReport report;
      report.kind = GuardianReport::Kind::kEnded;
      report.read_back = off_.read_back;
      report.off_s = off_.took_s;
      Send(report);
    }
    order_.reset();
  }

  void Refuse(const Trip& why) {
    ended_ = true;
    supply_->SayOff();
    GuardianReport refused;
    refused.kind = GuardianReport::Kind::kRefused;
    refused.trip = why;
    Send(refused);
  }

  void Wait() {
    if (order_) return;
    double until_s = NowSeconds() + 1;
    if (armed_ && !ended_)
      until_s = std::min(measured_s_ + kMeasureEveryS, beat_s_ + kSilentRecorderS);
    const double left_ms = 1000 * (until_s - NowSeconds());
    pollfd both[2] = {{socket_, POLLIN, 0}, {signals_, POLLIN, 0}};
    ::poll(both, 2, static_cast<int>(std::clamp(left_ms, 0.0, 1000.0)) + 1);
  }

  // Takes all that the recorder has sent; the newest level is what counts.
  void Receive() {
    while (true) {
      Order order;
      const ssize_t got = ::recv(socket_, &order, sizeof order, MSG_DONTWAIT);
      if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR)) {
        gone_ = true;
        return;
      }
      if (got < static_cast<ssize_t>(sizeof order)) return;
      beat_s_ = NowSeconds();
      if (order.kind != Order::Kind::kBeat) order_ = order;
      if (order.kind == Order::Kind::kEnd) order_->amps_a = 0;
    }
  }

  // A signal to end, to this process itself, ends the heating; a recorder's end shows anyway.
  void ReadSignals() {
    signalfd_siginfo info{};
    while (::read(signals_, &info, sizeof info) == sizeof info) {
      const int number = static_cast<int>(info.ssi_signo);
      if (number == SIGTERM || number == SIGINT || number == SIGHUP || number == SIGQUIT) {
        guard_.OnTrip(Trip{Cause::kGuardianTold});
      }
    }
  }

  void Obey() {
    if (!order_) return;
    const Order order = *order_;
    order_.reset();
    if (order.kind == Order::Kind::kEnd) {
      return Finish(GuardianReport::Kind::kEnded, Trip{Cause::kUser});
    }
    // Until now it slept for a second at a time.
    if (!armed_) standstill_ = Standstill(kMostGapS);
    armed_ = true;
    try {
      SetLevel(order);
    } catch (const SupplySilence& silence) {
      guard_.OnSilence(silence.lost);
    } catch (const SupplyWoken&) {
    }
  }

  void SetLevel(const Order& order) {
    const double before_s = NowSeconds();
    guard_.OnLevel(before_s, order.amps_a, order.volts_v);
    if (guard_.Check(before_s)) return;
    // The log's row just before the step.
    if (last_.time_s > 0) Report(before_s, last_.volts_v, last_.amps_a);
    std::optional<Trip> wrong = order.amps_a == 0 ? SetOff() : SetOn(order);
    const std::string error = supply_->ReadError();
    if (!error.empty() && !wrong) wrong = Trip{Cause::kSupplyError};
    if (!error.empty()) wrong->detail += (wrong->detail.empty() ? "" : "; ") + error;
    if (wrong) return guard_.OnTrip(*wrong);
    measured_s_ = 0;
  }

  std::optional<Trip> SetOff() {
    if (!supply_->SayOff()) throw SupplySilence{true};
    set_a_ = 0;
    if (supply_->ReadOutput()) return Trip{Cause::kStaysOn};
    return std::nullopt;
  }

  std::optional<Trip> SetOn(const Order& order) {
    std::string wrong = supply_->SetVolts(order.volts_v);
    if (wrong.empty()) wrong = supply_->SetAmps(order.amps_a);
    if (!wrong.empty()) return Trip{Cause::kNotObeyed, 0, 0, wrong};
    const bool was_off = set_a_ == 0;
    set_a_ = order.amps_a;
    if (!was_off) return std::nullopt;
    supply_->SayOn();
    if (!supply_->ReadOutput()) return Trip{Cause::kStaysOff};
    return std::nullopt;
  }

  void Watch() {
    const double now_s = NowSeconds();
    StoodStill();
    if (armed_ && now_s - measured_s_ >= kMeasureEveryS) Measure();
    std::optional<Trip> trip = guard_.Check(NowSeconds());
    if (!trip && armed_ && NowSeconds() - beat_s_ > kSilentRecorderS) {
      Receive();  // This process may have been late itself.
      if (NowSeconds() - beat_s_ > kSilentRecorderS) trip = Trip{Cause::kRecorderHangs};
    }
    if (trip) Finish(GuardianReport::Kind::kTrip, *trip);
  }

  void Measure() {
    measured_s_ = NowSeconds();
    try {
      const double volts = supply_->MeasureVolts();
      const double amps = supply_->MeasureAmps();
      Report(NowSeconds(), volts, amps);
      guard_.OnReading(last_);
    } catch (const SupplySilence& silence) {
      guard_.OnSilence(silence.lost);
    } catch (const SupplyWoken&) {
    }
  }

  void Report(double time_s, double volts, double amps) {
    last_ = {time_s, volts, amps, set_a_};
    GuardianReport report;
    report.reading = last_;
    Send(report);
  }

  void Finish(GuardianReport::Kind kind, const Trip& trip) {
    ended_ = true;
    supply_.reset();
    const auto alive = [this] {
      SayAlive();
      Receive();  // So that its beats do not fill the queue.
    };
    off_since_s_ = NowSeconds();
    off_ = SwitchOff(link_, off_options_, kGiveUpS, alive);
    not_off_ = !off_.read_back;
    tried_s_ = NowSeconds();
    supply_ = std::make_unique<Supply>(*link_, options_.words);
    GuardianReport report;
    report.kind = kind;
    report.trip = trip;
    report.read_back = off_.read_back;
    report.off_s = off_.took_s;
    report.reading = {NowSeconds(), 0, 0, 0};
    Send(report);
  }

  void Send(const GuardianReport& report) {
    const WireReport wire = ToWire(report);
    ::send(socket_, &wire, sizeof wire, MSG_DONTWAIT | MSG_NOSIGNAL);
  }

  SupplyOptions options_;
  OffOptions off_options_;
  std::unique_ptr<Link> link_;
  std::unique_ptr<Supply> supply_;
  SupplyGuard guard_;
  int socket_;
  int signals_ = -1;
  std::optional<Order> order_;
  SupplyReading last_;
  SwitchedOff off_;
  double set_a_ = 0;
  double measured_s_ = 0;
  double beat_s_ = NowSeconds();
  double alive_s_ = 0;
  double off_since_s_ = 0;  // When it was first told to go off.
  double tried_s_ = 0;
  Standstill standstill_{kMostGapS};
  bool not_off_ = false;
  bool armed_ = false;
  bool ended_ = false;
  bool gone_ = false;
};

}  // namespace

void RunGuardian(const SupplyOptions& options,
                 const OffOptions& off,
                 std::unique_ptr<Link> link,
                 int socket) {
  Process(options, off, std::move(link), socket).Run();
}

}  // namespace ohmglow::record::internal
