// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

namespace ohmglow::record {

using Clock = std::chrono::steady_clock;

/// Seconds of the one clock that recorder and guardian share (monotonic, of the system).
[[nodiscard]] double NowSeconds();

/// Where a supply is.
struct SupplyAddress {
  enum class Kind { kTcp, kSerial, kUsbtmc } kind = Kind::kTcp;
  std::string host;    ///< TCP.
  std::string port;    ///< TCP; a number.
  std::string device;  ///< Serial line or USBTMC device file.
  int baud = 9600;
};

/// "tcp:HOST:PORT", "serial:DEVICE", "serial:DEVICE:BAUD" or "usbtmc:DEVICE".
/// @throws OptionError
[[nodiscard]] SupplyAddress ParseSupplyAddress(const std::string& text);

enum class ReadEnd { kLine, kTimeout, kWoken, kLost };

/// A line to an instrument: lines of text go out, lines come back. For one process
/// at a time; survives fork().
class Link {
 public:
  virtual ~Link() = default;

  /// @return  false where the connection is lost.
  [[nodiscard]] virtual bool Write(std::string_view text) = 0;
  /// Waits for the next line until a time; its end of line is taken off.
  /// @param wake_fd  -1, or a descriptor: whenever it can be read, `woken` is called,
  ///                 and the waiting ends where that says so.
  [[nodiscard]] virtual ReadEnd ReadLine(double until_s,
                                         int wake_fd,
                                         const std::function<bool()>& woken,
                                         std::string& line) = 0;
  /// Whether ReadLine() keeps to short waits; else it is to be called once an
  /// answer.
  [[nodiscard]] virtual bool waits_shortly() const { return true; }
  /// Throws away what has come and was not read.
  virtual void Drain() {}
  /// Ends the connection for all processes that hold it, where it is one of a
  /// network.
  virtual void Shut() {}
  /// The host in numbers, so that it need not be looked up again; empty: no
  /// network.
  [[nodiscard]] virtual std::string peer() const { return ""; }
};

/// @throws InputError  naming the address and what to check.
[[nodiscard]] std::unique_ptr<Link> OpenLink(const SupplyAddress& address, double within_s);

}  // namespace ohmglow::record
