// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/link.h"

#include <fcntl.h>
#include <linux/usb/tmc.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio.hpp>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <optional>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

constexpr std::size_t kLongestAnswer = 65536;
constexpr int kLeastBaud = 300;
constexpr int kMostBaud = 4'000'000;
constexpr std::uint32_t kUsbtmcWaitMs = 150;

std::string Shown(const SupplyAddress& address) {
  switch (address.kind) {
    case SupplyAddress::Kind::kTcp:
      return "tcp:" + address.host + ":" + address.port;
    case SupplyAddress::Kind::kSerial:
      return "serial:" + address.device;
    case SupplyAddress::Kind::kUsbtmc:
      break;
  }
  return "usbtmc:" + address.device;
}

[[noreturn]] void Fail(const SupplyAddress& address, const std::string& why) {
  throw InputError("the supply at " + Shown(address) + " cannot be reached (" + why +
                   "); check that it is on, the cable, and --supply");
}

// Milliseconds left, at least 0.
int Left(double until_s) {
  return static_cast<int>(std::max(0.0, 1000 * (until_s - NowSeconds()) + 0.5));
}

// A descriptor that can be polled: what TCP and serial lines have in common.
class PolledLink : public Link {
 public:
  bool Write(std::string_view text) override {
    const double until_s = NowSeconds() + 0.1;
    while (!text.empty()) {
      const ssize_t wrote = ::write(fd_, text.data(), text.size());
      if (wrote > 0) {
        text.remove_prefix(static_cast<std::size_t>(wrote));
      } else if (errno == EAGAIN && NowSeconds() < until_s) {
        pollfd out{fd_, POLLOUT, 0};
        ::poll(&out, 1, Left(until_s));
      } else if (errno != EINTR) {
        return false;
      }
    }
    return true;
  }

  ReadEnd ReadLine(double until_s,
                   int wake_fd,
                   const std::function<bool()>& woken,
                   std::string& line) override {
    while (true) {
      if (const auto end = input_.find('\n'); end != std::string::npos) {
        line = input_.substr(0, end);
        input_.erase(0, end + 1);
        while (!line.empty() && line.back() == '\r') line.pop_back();
        return ReadEnd::kLine;
      }
      // Also where the time is over: what has come was in time, this process was late.
      const int left_ms = Left(until_s);
      pollfd both[2] = {{fd_, POLLIN, 0}, {wake_fd, POLLIN, 0}};
      const int ready = ::poll(both, wake_fd >= 0 ? 2 : 1, left_ms);
      if (ready == 0 && left_ms == 0) return ReadEnd::kTimeout;
      if (ready <= 0) continue;
      if (both[1].revents != 0 && woken()) return ReadEnd::kWoken;
      if (both[0].revents == 0) continue;
      char bytes[512];
      const ssize_t got = ::read(fd_, bytes, sizeof bytes);
      if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR)) return ReadEnd::kLost;
      if (got > 0) input_.append(bytes, static_cast<std::size_t>(got));
      if (input_.size() > kLongestAnswer) return ReadEnd::kLost;  // No instrument.
    }
  }

  void Drain() override {
    input_.clear();
    char bytes[512];
    while (::read(fd_, bytes, sizeof bytes) > 0) {
    }
  }

  void Shut() override { ::shutdown(fd_, SHUT_RDWR); }

 protected:
  void Use(int fd) {
    fd_ = fd;
    ::fcntl(fd_, F_SETFL, ::fcntl(fd_, F_GETFL) | O_NONBLOCK);
  }

 private:
  int fd_ = -1;
  std::string input_;
};

class TcpLink final : public PolledLink {
 public:
  TcpLink(const SupplyAddress& address, double within_s) : socket_(io_) {
    boost::system::error_code error;
    tcp::resolver resolver(io_);
    const auto ends = resolver.resolve(address.host, address.port, error);
    if (error) Fail(address, error.message());
    error = asio::error::timed_out;
    asio::async_connect(socket_, ends, [&](const boost::system::error_code& result, const auto&) {
      error = result;
    });
    io_.run_for(
        std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(within_s)));
    if (error) Fail(address, error.message());
    socket_.set_option(tcp::no_delay(true), error);
    Use(socket_.native_handle());
  }

  [[nodiscard]] std::string peer() const override {
    boost::system::error_code error;
    const auto end = socket_.remote_endpoint(error);
    return error ? "" : end.address().to_string();
  }

 private:
  asio::io_context io_;
  tcp::socket socket_;
};

class SerialLink final : public PolledLink {
 public:
  explicit SerialLink(const SupplyAddress& address) : port_(io_) {
    boost::system::error_code error;
    port_.open(address.device, error);
    if (error) Fail(address, error.message());
    const auto set = [&](const auto& option) {
      if (!error) port_.set_option(option, error);
    };
    set(asio::serial_port::baud_rate(static_cast<unsigned>(address.baud)));
    set(asio::serial_port::character_size(8));
    set(asio::serial_port::parity(asio::serial_port::parity::none));
    set(asio::serial_port::stop_bits(asio::serial_port::stop_bits::one));
    set(asio::serial_port::flow_control(asio::serial_port::flow_control::none));
    if (error) Fail(address, error.message());
    Use(port_.native_handle());
  }

 private:
  asio::io_context io_;
  asio::serial_port port_;
};

// One write is one message, one read one answer; the driver of the kernel waits.
class UsbtmcLink final : public Link {
 public:
  explicit UsbtmcLink(const SupplyAddress& address) {
    fd_ = ::open(address.device.c_str(), O_RDWR | O_CLOEXEC);
    if (fd_ < 0) Fail(address, std::strerror(errno));
    std::uint32_t wait_ms = kUsbtmcWaitMs;
    ::ioctl(fd_, USBTMC_IOCTL_SET_TIMEOUT, &wait_ms);
  }
  ~UsbtmcLink() override { ::close(fd_); }
  UsbtmcLink(const UsbtmcLink&) = delete;
  UsbtmcLink& operator=(const UsbtmcLink&) = delete;

  bool Write(std::string_view text) override {
    return ::write(fd_, text.data(), text.size()) == static_cast<ssize_t>(text.size());
  }

  ReadEnd ReadLine(double, int, const std::function<bool()>&, std::string& line) override {
    char bytes[512];
    const ssize_t got = ::read(fd_, bytes, sizeof bytes);
    if (got < 0) return errno == ETIMEDOUT || errno == EAGAIN ? ReadEnd::kTimeout : ReadEnd::kLost;
    line.assign(bytes, static_cast<std::size_t>(got));
    while (!line.empty() && (line.back() == '\n' || line.back() == '\r')) line.pop_back();
    return ReadEnd::kLine;
  }

  [[nodiscard]] bool waits_shortly() const override { return false; }

 private:
  int fd_ = -1;
};

std::optional<int> Whole(const std::string& text, int low, int high) {
  int value = 0;
  const auto [rest, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || rest != text.data() + text.size()) return std::nullopt;
  if (value < low || value > high) return std::nullopt;
  return value;
}

}  // namespace

double NowSeconds() {
  return std::chrono::duration<double>(Clock::now().time_since_epoch()).count();
}

SupplyAddress ParseSupplyAddress(const std::string& text) {
  const auto fail = [&] {
    throw OptionError("--supply '" + text +
                      "': give tcp:HOST:PORT, serial:DEVICE, serial:DEVICE:BAUD or usbtmc:DEVICE");
  };
  SupplyAddress address;
  const auto colon = text.find(':');
  const std::string kind = text.substr(0, colon);
  std::string rest = colon == std::string::npos ? "" : text.substr(colon + 1);
  const auto last = rest.rfind(':');
  if (kind == "tcp") {
    if (last == std::string::npos || last == 0) fail();
    address.host = rest.substr(0, last);
    address.port = rest.substr(last + 1);
    if (!Whole(address.port, 1, 65535)) fail();
    // An IPv6 address stands in brackets, as in a URL (RFC 3986, 3.2.2).
    if (address.host.front() == '[' && address.host.back() == ']') {
      address.host = address.host.substr(1, address.host.size() - 2);
    }
    return address;
  }
  if (rest.empty()) fail();
  address.device = rest;
  if (kind == "usbtmc") {
    address.kind = SupplyAddress::Kind::kUsbtmc;
    return address;
  }
  if (kind != "serial") fail();
  address.kind = SupplyAddress::Kind::kSerial;
  if (last == std::string::npos) return address;
  const auto baud = Whole(rest.substr(last + 1), kLeastBaud, kMostBaud);
  if (!baud || last == 0) fail();
  address.device = rest.substr(0, last);
  address.baud = *baud;
  return address;
}

std::unique_ptr<Link> OpenLink(const SupplyAddress& address, double within_s) {
  switch (address.kind) {
    case SupplyAddress::Kind::kTcp:
      return std::make_unique<TcpLink>(address, within_s);
    case SupplyAddress::Kind::kSerial:
      return std::make_unique<SerialLink>(address);
    case SupplyAddress::Kind::kUsbtmc:
      break;
  }
  return std::make_unique<UsbtmcLink>(address);
}

}  // namespace ohmglow::record
