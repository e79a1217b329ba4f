// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/switch_off.h"

#include <unistd.h>

#include <cmath>
#include <string_view>
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

// Not through a stream: this must work in a process that is half gone.
void Cry(std::string_view text) {
  const ssize_t ignored = ::write(STDERR_FILENO, text.data(), text.size());
  static_cast<void>(ignored);
}

class Switching {
 public:
  Switching(std::unique_ptr<Link>& link,
            const SupplyAddress& address,
            const SupplyWords& words,
            double zero_amps_a,
            const std::function<void()>& alive)
      : link_(link), address_(address), words_(words), zero_amps_a_(zero_amps_a), alive_(alive) {}

  SwitchedOff Run(double give_up_s) {
    const double start_s = NowSeconds();
    for (int attempt = 0; attempt == 0 || NowSeconds() - start_s < give_up_s; ++attempt) {
      const Said said = Try(attempt);
      if (said == Said::kOff) {
        if (cried_) Cry("ohmglow: now the supply says that its output is off.\n");
        return {true, NowSeconds() - start_s};
      }
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

 private:
  // The order first, always. A new Supply owes nothing: what may still come is
  // let pass.
  Said Try(int attempt) {
    const bool fresh = std::exchange(fresh_, false);
    Supply supply(*link_, words_);
    supply.TickBy(alive_);
    try {
      if (!supply.SayOff()) return Said::kLost;
      if (attempt > 0 && !fresh) LetPass(silent_ > 0 ? kNextS : kPauseS);
      link_->Drain();
      const Said said = Ask(supply, attempt == 0 ? kFirstS : kNextS);
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
    while (!(std::abs(supply.MeasureAmps(within_s)) <= zero_amps_a_)) {
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

  bool Reopen() {
    if (alive_) alive_();
    // Another answer than silence can come over a new network connection alone.
    if (silent_ > 0 && address_.kind != SupplyAddress::Kind::kTcp) return false;
    // Many supplies take one connection at a time; the other process holds this
    // one, too.
    link_->Shut();
    silent_ = 0;
    try {
      link_ = OpenLink(address_, kReopenS);
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
    Cry(said == Said::kFlows ? "\a\nohmglow: THE SUPPLY WAS TOLD TO GO OFF, "
                               "BUT CURRENT STILL FLOWS: SWITCH IT OFF "
                               "BY HAND, NOW.\n\a"
                             : "\a\nohmglow: THE SUPPLY WAS TOLD TO GO OFF, "
                               "BUT DOES NOT SAY THAT IT IS: SWITCH IT "
                               "OFF BY HAND, NOW.\n\a");
  }

  std::unique_ptr<Link>& link_;
  const SupplyAddress& address_;
  const SupplyWords& words_;
  double zero_amps_a_;
  const std::function<void()>& alive_;
  int silent_ = 0;
  bool fresh_ = false;
  bool cried_ = false;
};

}  // namespace

SwitchedOff SwitchOff(std::unique_ptr<Link>& link,
                      const SupplyAddress& address,
                      const SupplyWords& words,
                      double zero_amps_a,
                      double give_up_s,
                      const std::function<void()>& alive) {
  return Switching(link, address, words, zero_amps_a, alive).Run(give_up_s);
}

}  // namespace ohmglow::record
