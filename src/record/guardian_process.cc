// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <poll.h>
#include <signal.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <exception>
#include <string>
#include <utility>

#include "record/guardian_wire.h"
#include "record/supply.h"
#include "record/switch_off.h"

namespace ohmglow::record::internal {
namespace {

constexpr double kMeasureEveryS = 0.07;
constexpr double kSilentRecorderS = 0.25;
constexpr double kAliveEveryS = 0.05;
constexpr int kMostErrors = 20;
constexpr double kGiveUpS = 6;  // Of trying to switch off.

class Process {
 public:
  Process(const SupplyOptions& options, std::unique_ptr<Link> link, int socket)
      : options_(options),
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
        Finish(GuardianReport::Kind::kTrip,
               {Cause::kGuardianGone, std::string("The guardian failed: ") + error.what() + "."});
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
        continue;
      }
      Obey();
      Watch();
    }
    // A recorder that ended in order has waited for its output to go off.
    if (!ended_) {
      Finish(GuardianReport::Kind::kTrip, {Cause::kRecorderGone, "The recorder is gone."});
      std::fprintf(stderr,
                   "\nohmglow: the recorder is gone; the supply's output %s.\n",
                   off_.read_back ? "is off, as it says itself"
                                  : "was told to go off, but does not say that it is: SWITCH IT "
                                    "OFF BY HAND");
    }
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
    if (hangs || MustStop()) throw SupplyWoken{};
  }

  // With the output off: who it is, and whether it takes the limits.
  void Prepare() {
    try {
      supply_->Start();
      const std::string identity = supply_->Identify();
      supply_->SayOff();
      if (supply_->ReadOutput()) return Refuse("its output cannot be switched off");
      // What stands in the queue from before is not ours.
      for (int k = 0; k < kMostErrors && !supply_->ReadError().empty(); ++k) {
      }
      for (const std::string& wrong : {supply_->SetVolts(options_.limits.max_volts_v),
                                       supply_->SetAmps(options_.limits.max_amps_a)}) {
        if (!wrong.empty()) return Refuse("the limits are beyond what it takes: " + wrong);
      }
      // It may have been on until now.
      ::usleep(static_cast<useconds_t>(1e6 * kSettleS));
      const double volts = supply_->MeasureVolts();
      const double amps = supply_->MeasureAmps();
      if (!(std::abs(volts) <= options_.limits.max_volts_v) ||
          !(std::abs(amps) <= MostAmpsAtZero(options_.limits))) {
        return Refuse("with its output off it measures " + std::to_string(volts) + " V, " +
                      std::to_string(amps) + " A");
      }
      GuardianReport ready;
      ready.kind = GuardianReport::Kind::kReady;
      ready.text = identity;
      Send(ready);
    } catch (const SupplySilence&) {
      Refuse("it does not answer within " + std::to_string(options_.words.answer_s) + " s");
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

  void Refuse(const std::string& why) {
    ended_ = true;
    supply_->SayOff();
    GuardianReport refused;
    refused.kind = GuardianReport::Kind::kRefused;
    refused.text = why;
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
        guard_.OnRefused("The guardian was told to end.");
      }
    }
  }

  void Obey() {
    if (!order_) return;
    const Order order = *order_;
    order_.reset();
    if (order.kind == Order::Kind::kEnd) {
      return Finish(GuardianReport::Kind::kEnded, {Cause::kUser, ""});
    }
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
    std::string wrong;
    if (order.amps_a == 0) {
      if (!supply_->SayOff()) throw SupplySilence{true};
      set_a_ = 0;
      if (supply_->ReadOutput()) wrong = "The output was switched off, but says that it is on.";
    } else {
      wrong = supply_->SetVolts(order.volts_v);
      if (wrong.empty()) wrong = supply_->SetAmps(order.amps_a);
      if (wrong.empty() && set_a_ == 0) wrong = supply_->SwitchOn();
      set_a_ = order.amps_a;
    }
    const std::string error = supply_->ReadError();
    if (wrong.empty() && !error.empty()) wrong = "The supply reports an error:";
    if (!wrong.empty()) return guard_.OnRefused(wrong + (error.empty() ? "" : " " + error));
    measured_s_ = 0;
  }

  void Watch() {
    const double now_s = NowSeconds();
    if (armed_ && now_s - measured_s_ >= kMeasureEveryS) Measure();
    std::optional<Trip> trip = guard_.Check(NowSeconds());
    if (!trip && armed_ && NowSeconds() - beat_s_ > kSilentRecorderS) {
      Receive();  // This process may have been late itself.
      if (NowSeconds() - beat_s_ > kSilentRecorderS) {
        trip = Trip{Cause::kRecorderHangs,
                    "The recorder was not heard in time: it hangs, or the computer is too busy."};
      }
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
    off_ = SwitchOff(
        link_, options_.address, options_.words, MostAmpsAtZero(options_.limits), kGiveUpS, alive);
    supply_ = std::make_unique<Supply>(*link_, options_.words);
    GuardianReport report;
    report.kind = kind;
    report.cause = trip.cause;
    report.text = trip.text;
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
  bool armed_ = false;
  bool ended_ = false;
  bool gone_ = false;
};

}  // namespace

void RunGuardian(const SupplyOptions& options, std::unique_ptr<Link> link, int socket) {
  Process(options, std::move(link), socket).Run();
}

}  // namespace ohmglow::record::internal
