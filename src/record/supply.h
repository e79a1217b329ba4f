// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "record/link.h"
#include "record/supply_words.h"

namespace ohmglow::record {

/// The supply does not answer, or no longer in its time.
struct SupplySilence {
  bool lost = false;  ///< The connection itself is gone.
};

/// The waiting for an answer was broken off, as the caller asked for.
struct SupplyWoken {};

/// A supply with one output, told and asked in lines of text.
class Supply {
 public:
  /// @param link  must live as long as this.
  Supply(Link& link, SupplyWords words) : link_(link), words_(std::move(words)) {}

  /// While an answer is waited for, `woken` is called whenever `fd` can be read; where it
  /// returns true, SupplyWoken is thrown.
  void WakeBy(int fd, std::function<bool()> woken);

  /// Called again and again while an answer is waited for; what it throws is
  /// passed on.
  void TickBy(std::function<void()> tick) { tick_ = std::move(tick); }

  /// All below throw SupplySilence where no answer comes in time.
  void Start();
  [[nodiscard]] std::string Identify();
  /// Sets and reads back. @return  what it was told and what it answers then; empty where
  /// that is right.
  [[nodiscard]] std::string SetVolts(double volts);
  [[nodiscard]] std::string SetAmps(double amps);
  /// These only say it: reading back is another step, for it may fail.
  void SayOn();
  bool SayOff();  ///< @return  false: lost.
  /// @return  whether the output is on. @param within_s  0: as for all answers.
  [[nodiscard]] bool ReadOutput(double within_s = 0);
  [[nodiscard]] double MeasureVolts();
  [[nodiscard]] double MeasureAmps(double within_s = 0);
  /// Says no amps and no volts; reads nothing back.
  void SayZero();
  /// The oldest entry of the error queue; empty where there is none.
  [[nodiscard]] std::string ReadError();

 private:
  void Say(const std::string& line);
  std::string Ask(const std::string& line, double within_s = 0);
  [[nodiscard]] std::string Set(const std::string& line, const std::string& query, double value);

  Link& link_;
  SupplyWords words_;
  int wake_fd_ = -1;
  std::function<bool()> woken_;
  std::function<void()> tick_;
  int owed_ = 0;  // Answers to questions that were given up.
};

}  // namespace ohmglow::record
