// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/switch_off.h"

#include <unistd.h>

#include <string_view>

#include "ohmglow/base/error.h"
#include "record/supply.h"

namespace ohmglow::record {
namespace {

// The first answer should be there by then; after it somebody must be told.
constexpr double kFirstS = 0.2;
constexpr double kNextS = 1.2;
constexpr double kReopenS = 0.25;

// Not through a stream: this must work in a process that is half gone.
void Cry(std::string_view text) {
  const ssize_t ignored = ::write(STDERR_FILENO, text.data(), text.size());
  static_cast<void>(ignored);
}

}  // namespace

SwitchedOff SwitchOff(std::unique_ptr<Link>& link,
                      const SupplyAddress& address,
                      const SupplyWords& words,
                      double give_up_s) {
  const double start_s = NowSeconds();
  bool cried = false;
  auto supply = std::make_unique<Supply>(*link, words);
  for (int attempt = 0; NowSeconds() - start_s < give_up_s; ++attempt) {
    try {
      if (!supply->SayOff()) throw SupplySilence{true};
      if (!supply->ReadOutput(attempt == 0 ? kFirstS : kNextS)) {
        if (cried) Cry("ohmglow: now the supply says that its output is off.\n");
        return {true, NowSeconds() - start_s};
      }
      // It answers but stays on: no current at least.
      if (attempt > 0) static_cast<void>(supply->SetAmps(0));
    } catch (const SupplySilence& silence) {
      if (silence.lost) {
        try {
          auto anew = OpenLink(address, kReopenS);
          supply = std::make_unique<Supply>(*anew, words);
          link = std::move(anew);
          continue;
        } catch (const Error&) {
          ::usleep(50'000);
        }
      }
    } catch (const SupplyWoken&) {
    }
    if (!cried && attempt >= 1) {
      cried = true;
      Cry("\a\nohmglow: THE SUPPLY DOES NOT SAY THAT IT IS OFF. SWITCH IT OFF BY HAND, NOW.\n\a");
    }
  }
  return {false, NowSeconds() - start_s};
}

}  // namespace ohmglow::record
