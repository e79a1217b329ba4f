// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/switch_off.h"

#include <poll.h>
#include <unistd.h>

#include <cmath>
#include <string>
#include <utility>

#include "ohmglow/base/error.h"
#include "record/guard.h"
#include "record/supply.h"

namespace ohmglow::record {
namespace {

// The first answer should be there by then; after it somebody must be told.
constexpr double kFirstS = 0.2;
constexpr double kNextS = 1.2;
constexpr double kPauseS = 0.1;
constexpr double kReopenS = 0.25;
constexpr int kSilentAttempts = 2;  // Then another connection is tried.

enum class Said { kOff, kOn, kFlows, kSilent, kLost };

class Switching {
 public:
  Switching(std::unique_ptr<Link>& link,
            const OffOptions& options,
            const std::function<void()>& alive)
      : link_(link), options_(options), alive_(alive) {}

  SwitchedOff Run(double give_up_s) {
    const double start_s = NowSeconds();
    for (int attempt = 0; attempt == 0 || NowSeconds() - start_s < give_up_s; ++attempt) {
      const Said said = Try(attempt, attempt == 0 ? kFirstS : kNextS);
      if (said == Said::kOff) return Done(start_s);
      silent_ = said == Said::kSilent ? silent_ + 1 : 0;
      if (said == Said::kLost || silent_ >= kSilentAttempts) {
        if (Reopen()) continue;
        LetPass(kPauseS);
      }
      // One that is a little late to go off is no reason yet.
      if (said != Said::kOn || attempt > 0) CryOnce(said);
    }
    return {false, NowSeconds() - start_s};
  }

  SwitchedOff Again() {
    const double start_s = NowSeconds();
    cried_ = true;
    if (CanReopen()) static_cast<void>(Reopen());
    Said said = Try(0, kNextS);
    // A serial line is opened anew only where it has gone: a cable that was plugged in again.
    if (said == Said::kLost && !CanReopen() && Reopen()) said = Try(0, kNextS);
    if (said == Said::kOff) return Done(start_s);
    cried_ = false;
    CryOnce(said);
    return {false, NowSeconds() - start_s};
  }

 private:
  SwitchedOff Done(double start_s) const {
    if (cried_) Cry("ohmglow: " + options_.cries.now_off + '\n');
    return {true, NowSeconds() - start_s};
  }

  // The order first, always. A new Supply owes nothing: what may still come is
  // let pass.
  Said Try(int attempt, double within_s) {
    const bool fresh = std::exchange(fresh_, false);
    Supply supply(*link_, options_.words);
    supply.TickBy(alive_);
    try {
      if (!supply.SayOff()) return Said::kLost;
      if (attempt > 0 && !fresh) LetPass(silent_ > 0 ? kNextS : kPauseS);
      link_->Drain();
      const Said said = Ask(supply, within_s);
      if (said != Said::kOff) supply.SayZero();
      return said;
    } catch (const SupplySilence& silence) {
      return silence.lost ? Said::kLost : Said::kSilent;
    } catch (const SupplyWoken&) {
      return Said::kSilent;
    }
  }

  // Two equal answers, and what is measured between them: one late "0" does not
  // pass.
  Said Ask(Supply& supply, double within_s) const {
    if (supply.ReadOutput(within_s)) return Said::kOn;
    const double settled_s = NowSeconds() + 1.5 * kSettleS;
    while (!(std::abs(supply.MeasureAmps(within_s)) <= options_.zero_amps_a)) {
      if (NowSeconds() > settled_s) return Said::kFlows;
      ::usleep(5'000);
    }
    return supply.ReadOutput(within_s) ? Said::kOn : Said::kOff;
  }

  void LetPass(double seconds) const {
    for (const double until_s = NowSeconds() + seconds; NowSeconds() < until_s;) {
      if (alive_) alive_();
      ::usleep(20'000);
    }
  }

  // Another answer than silence can come over a new network connection alone.
  [[nodiscard]] bool CanReopen() const {
    return options_.address.kind == SupplyAddress::Kind::kTcp;
  }

  bool Reopen() {
    if (alive_) alive_();
    if (silent_ > 0 && !CanReopen()) return false;
    // Many supplies take one connection at a time; the other process holds this
    // one, too.
    link_->Shut();
    silent_ = 0;
    try {
      link_ = OpenLink(options_.address, kReopenS);
      fresh_ = true;
    } catch (const Error&) {
      fresh_ = false;
    }
    if (alive_) alive_();
    return fresh_;
  }

  void CryOnce(Said said) {
    if (cried_) return;
    cried_ = true;
    const std::string& text = said == Said::kFlows ? options_.cries.flows : options_.cries.not_off;
    Cry("\a\nohmglow: " + text + "\n\a");
  }

  std::unique_ptr<Link>& link_;
  const OffOptions& options_;
  const std::function<void()>& alive_;
  int silent_ = 0;
  bool fresh_ = false;
  bool cried_ = false;
};

}  // namespace

// Not through a stream: this must work in a process that is half gone. Nor does it wait
// for whoever should read it.
void Cry(const std::string& text) {
  pollfd out{STDERR_FILENO, POLLOUT, 0};
  if (::poll(&out, 1, 0) <= 0) return;
  const ssize_t ignored = ::write(STDERR_FILENO, text.data(), text.size());
  static_cast<void>(ignored);
}

SwitchedOff SwitchOff(std::unique_ptr<Link>& link,
                      const OffOptions& options,
                      double give_up_s,
                      const std::function<void()>& alive) {
  return Switching(link, options, alive).Run(give_up_s);
}

SwitchedOff SwitchOffAgain(std::unique_ptr<Link>& link,
                           const OffOptions& options,
                           const std::function<void()>& alive) {
  return Switching(link, options, alive).Again();
}

}  // namespace ohmglow::record
