// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/guardian.h"

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
  wire.cause = report.cause;
  wire.read_back = report.read_back;
  wire.off_s = report.off_s;
  std::snprintf(wire.text, sizeof wire.text, "%s", report.text.c_str());
  return wire;
}

GuardianReport FromWire(const WireReport& wire) {
  return {wire.kind, wire.reading, wire.cause, wire.read_back, wire.off_s, wire.text};
}

}  // namespace internal

namespace {

constexpr double kOpenS = 2;
constexpr double kEndS = 25;
constexpr double kFallbackS = 5;

void Send(int socket, const internal::Order& order) {
  ::send(socket, &order, sizeof order, MSG_NOSIGNAL);
}

}  // namespace

Guardian::Guardian(const SupplyOptions& options) : options_(options) {
  link_ = OpenLink(options.address, kOpenS);
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
    ::close(STDIN_FILENO);  // The frames are not for it.
    ::setsid();
    ::prctl(PR_SET_PDEATHSIG, SIGTERM);
    ::prctl(PR_SET_NAME, "ohmglow-guard");
    if (::getppid() == parent) internal::RunGuardian(options, std::move(link_), pair[1]);
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
  ::close(socket_);
  Reap();
}

void Guardian::Reap() {
  if (pid_ > 0) ::waitpid(pid_, nullptr, 0);
  pid_ = -1;
}

void Guardian::Level(double amps_a, double volts_v) {
  Send(socket_, {internal::Order::Kind::kLevel, amps_a, volts_v});
}

void Guardian::Beat() { Send(socket_, {internal::Order::Kind::kBeat, 0, 0}); }

std::vector<GuardianReport> Guardian::Poll() {
  std::vector<GuardianReport> reports;
  while (!ended_) {
    internal::WireReport wire{};
    const ssize_t got = ::recv(socket_, &wire, sizeof wire, MSG_DONTWAIT);
    if (got == static_cast<ssize_t>(sizeof wire)) {
      reports.push_back(internal::FromWire(wire));
      const auto kind = reports.back().kind;
      ended_ = kind == GuardianReport::Kind::kEnded;
      continue;
    }
    if (got < 0 && (errno == EAGAIN || errno == EINTR)) break;
    ended_ = true;
    const SwitchedOff off = SwitchOff(link_, options_.address, options_.words, kFallbackS);
    GuardianReport gone;
    gone.kind = GuardianReport::Kind::kTrip;
    gone.cause = Cause::kGuardianGone;
    gone.text = "The guardian process has died.";
    gone.read_back = off.read_back;
    gone.off_s = off.took_s;
    gone.reading.time_s = NowSeconds();
    reports.push_back(gone);
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
  if (!ended_) {
    Send(socket_, {internal::Order::Kind::kEnd, 0, 0});
    if (auto report = Wait(GuardianReport::Kind::kEnded, kEndS)) {
      ended_ = true;
      return *report;
    }
  }
  ended_ = true;
  return {};
}

}  // namespace ohmglow::record
