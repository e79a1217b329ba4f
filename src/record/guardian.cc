// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/guardian.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <utility>

#include "ohmglow/base/error.h"
#include "record/guardian_wire.h"
#include "record/switch_off.h"

namespace ohmglow::record {
namespace internal {

WireReport ToWire(const GuardianReport& report) {
  WireReport wire{};
  wire.kind = report.kind;
  wire.reading = report.reading;
  wire.cause = report.trip.cause;
  wire.value = report.trip.value;
  wire.limit = report.trip.limit;
  wire.read_back = report.read_back;
  wire.off_s = report.off_s;
  wire.answer_s = report.supply.answer_s;
  wire.ready_off_s = report.supply.off_s;
  const bool ready = report.kind == GuardianReport::Kind::kReady;
  const std::string& text = ready ? report.supply.identity : report.trip.detail;
  std::snprintf(wire.text, sizeof wire.text, "%s", text.c_str());
  return wire;
}

GuardianReport FromWire(const WireReport& wire) {
  GuardianReport report;
  report.kind = wire.kind;
  report.reading = wire.reading;
  report.trip = {wire.cause, wire.value, wire.limit, ""};
  report.read_back = wire.read_back;
  report.off_s = wire.off_s;
  report.supply = {"", wire.answer_s, wire.ready_off_s};
  const bool ready = wire.kind == GuardianReport::Kind::kReady;
  (ready ? report.supply.identity : report.trip.detail) = wire.text;
  return report;
}

}  // namespace internal

namespace {

constexpr double kOpenS = 2;
constexpr double kEndS = 25;
constexpr double kFallbackS = 5;
constexpr double kSilentGuardianS = 0.3;
constexpr double kDiesS = 0.1;    // After SIGKILL.
constexpr double kLeavesS = 1.5;  // After the socket was closed.

}  // namespace

Guardian::Guardian(const SupplyOptions& options) : options_(options) {
  link_ = OpenLink(options.address, kOpenS);
  // A name is not looked up again when it must go off.
  if (const std::string peer = link_->peer(); !peer.empty()) options_.address.host = peer;
  off_ = {options_.address,
          options_.words,
          MostAmpsAtZero(options_.limits),
          {options_.says.Get("cry.flows"),
           options_.says.Get("cry.not_off"),
           options_.says.Get("cry.now_off")}};
  int pair[2];
  if (::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, pair) != 0) {
    throw OutputError(std::string("no guardian can be started: ") + std::strerror(errno));
  }
  // Before the child runs: no signal may reach it unseen.
  sigset_t all;
  sigset_t before;
  sigfillset(&all);
  ::sigprocmask(SIG_SETMASK, &all, &before);
  const pid_t parent = ::getpid();
  std::fflush(nullptr);
  pid_ = ::fork();
  if (pid_ == 0) {
    ::close(pair[0]);
    // The frames are not for it, and nobody should wait for it who reads what the recorder says.
    const int nowhere = ::open("/dev/null", O_RDWR | O_CLOEXEC);
    for (const int fd : {STDIN_FILENO, STDOUT_FILENO}) ::dup2(nowhere, fd);
    ::setsid();
    ::prctl(PR_SET_PDEATHSIG, SIGTERM);
    ::prctl(PR_SET_NAME, "ohmglow-guard");
    try {
      if (::getppid() == parent) {
        internal::RunGuardian(options_, off_, std::move(link_), pair[1]);
      }
    } catch (...) {  // The recorder sees its end, and switches off.
    }
    ::_exit(0);
  }
  ::sigprocmask(SIG_SETMASK, &before, nullptr);
  ::close(pair[1]);
  socket_ = pair[0];
  if (pid_ < 0) {
    ::close(socket_);
    throw OutputError(std::string("no guardian can be started: ") + std::strerror(errno));
  }
}

Guardian::~Guardian() {
  if (!ended_) End();
  if (pid_ <= 0 && not_off_) SwitchOffAgain(link_, off_);
  ::close(socket_);
  if (!Gone(kLeavesS)) Kill();
}

// Whether the process has ended, by then.
bool Guardian::Gone(double within_s) {
  for (const double until_s = NowSeconds() + within_s; pid_ > 0; ::usleep(2'000)) {
    if (::waitpid(pid_, nullptr, WNOHANG) != 0) pid_ = -1;
    if (NowSeconds() > until_s) break;
  }
  return pid_ <= 0;
}

// Does not wait for ever: a process may hang in the system itself.
void Guardian::Kill() {
  if (pid_ <= 0) return;
  ::kill(pid_, SIGKILL);
  static_cast<void>(Gone(kDiesS));
}

// Never waits: a guardian whose queue is full hangs.
void Guardian::Send(const internal::Order& order) {
  const ssize_t sent = ::send(socket_, &order, sizeof order, MSG_NOSIGNAL | MSG_DONTWAIT);
  if (sent < 0 && errno == EAGAIN && order.kind != internal::Order::Kind::kBeat) stuck_ = true;
}

void Guardian::Level(double amps_a, double volts_v) {
  if (!watched_) heard_s_ = NowSeconds();
  watched_ = true;
  Send({internal::Order::Kind::kLevel, amps_a, volts_v});
}

void Guardian::Beat() { Send({internal::Order::Kind::kBeat, 0, 0}); }

GuardianReport Guardian::TakeOver(Cause why) {
  ended_ = true;
  Kill();
  const SwitchedOff off = SwitchOff(link_, off_, kFallbackS);
  not_off_ = !off.read_back;
  GuardianReport gone;
  gone.kind = GuardianReport::Kind::kTrip;
  gone.trip.cause = why;
  gone.read_back = off.read_back;
  gone.off_s = off.took_s;
  gone.reading.time_s = NowSeconds();
  return gone;
}

std::vector<GuardianReport> Guardian::Poll() {
  using Kind = GuardianReport::Kind;
  std::vector<GuardianReport> reports;
  while (!ended_) {
    internal::WireReport wire{};
    const ssize_t got = ::recv(socket_, &wire, sizeof wire, MSG_DONTWAIT);
    if (got == static_cast<ssize_t>(sizeof wire)) {
      heard_s_ = NowSeconds();
      if (wire.kind == Kind::kAlive) continue;
      reports.push_back(internal::FromWire(wire));
      ended_ = wire.kind == Kind::kEnded;
      // What has switched off may rest.
      if (wire.kind == Kind::kTrip || wire.kind == Kind::kRefused) watched_ = false;
      continue;
    }
    if (got < 0 && errno == EINTR) continue;
    if (got < 0 && errno == EAGAIN) break;
    reports.push_back(TakeOver(Cause::kGuardianGone));
  }
  const bool silent = watched_ && NowSeconds() - heard_s_ > kSilentGuardianS;
  if (!ended_ && (silent || stuck_)) {
    reports.push_back(TakeOver(Cause::kGuardianHangs));
  }
  return reports;
}

std::optional<GuardianReport> Guardian::Wait(GuardianReport::Kind kind, double within_s) {
  const double until_s = NowSeconds() + within_s;
  while (NowSeconds() < until_s) {
    pollfd in{socket_, POLLIN, 0};
    ::poll(&in, 1, 50);
    for (const GuardianReport& report : Poll()) {
      if (report.kind == kind || report.kind == GuardianReport::Kind::kRefused ||
          report.kind == GuardianReport::Kind::kTrip) {
        return report;
      }
    }
    if (ended_) break;
  }
  return std::nullopt;
}

GuardianReport Guardian::End() {
  if (ended_) return {};
  Send({internal::Order::Kind::kEnd, 0, 0});
  heard_s_ = NowSeconds();
  watched_ = true;
  if (auto report = Wait(GuardianReport::Kind::kEnded, kEndS)) {
    ended_ = true;
    return *report;
  }
  return TakeOver(Cause::kGuardianStays);
}

}  // namespace ohmglow::record
