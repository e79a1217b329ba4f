// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/types.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "record/guard.h"
#include "record/link.h"
#include "record/prepare_supply.h"
#include "record/record_words.h"
#include "record/supply_words.h"
#include "record/switch_off.h"

namespace ohmglow::record {

namespace internal {
struct Order;
}  // namespace internal

struct SupplyOptions {
  SupplyAddress address;
  SupplyWords words;
  Limits limits;
  Words says = RecordWords();
};

/// What the guardian says.
struct GuardianReport {
  enum class Kind {
    kReady,    ///< The output is off and the limits are within the supply's ranges.
    kRefused,  ///< It cannot be used; `trip` says why.
    kReading,
    kTrip,   ///< The output was switched off; `trip` says why.
    kEnded,  ///< The output was switched off, as it was told to.
    kAlive,  ///< It waits for an answer, or still switches off. Of no use to
             ///< callers.
  } kind = Kind::kReading;
  SupplyReading reading;
  Trip trip;               ///< kTrip, kRefused.
  bool read_back = false;  ///< kTrip, kEnded: the supply says that it is off.
  double off_s = 0;        ///< kTrip, kEnded: how long that took.
  Readiness supply;        ///< kReady.
};

/// The supply, in the hands of a process of its own that was forked for it. It alone
/// talks to the supply, measures it fourteen times a second and switches it off when it
/// finds something wrong, when it is told to, when nothing was heard from the recorder
/// for 0.25 s, when the computer slept or stood still, and when the recorder is gone for
/// whatever reason. Where the supply does not say that it is off it tries again once a
/// second for as long as it lives: as long as the recorder, and a minute where that died. It
/// leaves the terminal's session, so that no key of the terminal reaches it.
class Guardian {
 public:
  /// Opens the connection and forks: the caller must have a single thread.
  /// @throws InputError   where the supply cannot be reached.
  /// @throws OutputError  where no process can be started.
  explicit Guardian(const SupplyOptions& options);
  /// Ends it; the output is then off.
  ~Guardian();
  Guardian(const Guardian&) = delete;
  Guardian& operator=(const Guardian&) = delete;

  /// The current that should flow and the volts that it may take; 0 A: output off.
  /// From the first call on it wants to hear Beat().
  void Level(double amps_a, double volts_v);
  /// The recorder lives. To be called every few hundredths of a second.
  void Beat();
  /// What it has said since the last call. Its own death is a report, too, and so is its
  /// silence for 0.3 s since the first Level(): it is then killed, and the output was
  /// switched off from here.
  [[nodiscard]] std::vector<GuardianReport> Poll();
  /// Waits for one report of such a kind or kRefused, kTrip.
  [[nodiscard]] std::optional<GuardianReport> Wait(GuardianReport::Kind kind, double within_s);
  /// Switches the output off and waits for what the supply says to that.
  GuardianReport End();
  [[nodiscard]] int fd() const { return socket_; }
  [[nodiscard]] pid_t pid() const { return pid_; }

 private:
  void Kill();
  [[nodiscard]] bool Gone(double within_s);
  void Send(const internal::Order& order);
  GuardianReport TakeOver(Cause why);

  SupplyOptions options_;
  OffOptions off_;
  std::unique_ptr<Link> link_;  // The same connection: used only where the guardian dies.
  int socket_ = -1;
  pid_t pid_ = -1;
  bool ended_ = false;
  bool not_off_ = false;  // It was taken over, and the supply does not say that it is off.
  bool watched_ = false;  // It must be heard now.
  bool stuck_ = false;    // It takes no order any more.
  double heard_s_ = 0;
};

}  // namespace ohmglow::record
