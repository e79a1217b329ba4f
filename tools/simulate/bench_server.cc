// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "bench_server.h"

#include <signal.h>
#include <unistd.h>

#include <boost/asio.hpp>
#include <chrono>
#include <fstream>
#include <iomanip>
#include <iostream>
#include <memory>
#include <mutex>
#include <thread>

#include "case_writer.h"
#include "ohmglow/base/error.h"

namespace ohmglow::simulate {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using Clock = std::chrono::steady_clock;

constexpr double kLate = 1;       // s.
constexpr double kAfterFilm = 5;  // s that the supply answers once the camera has ended.

double Seconds(Clock::duration time) { return std::chrono::duration<double>(time).count(); }

// The bench, its clock and its diary, for camera and supply at once.
class SharedBench {
 public:
  SharedBench(const Setting& set, const BenchOptions& options)
      : bench_(set, options.fault, options.fault_s), speed_(options.speed) {
    if (!options.events.empty()) events_.open(options.events);
  }

  [[nodiscard]] double Now() const { return speed_ * Seconds(Clock::now() - start_); }

  std::string Take(const std::string& line) {
    const std::lock_guard lock(mutex_);
    const bool was_on = bench_.supply().on();
    std::string answer = bench_.Take(line, Now());
    if (line.find("OFF") != std::string::npos) Note("told off");
    if (bench_.supply().on() != was_on) Note(was_on ? "output off" : "output on");
    return answer;
  }

  bool Has(BenchFault fault) {
    const std::lock_guard lock(mutex_);
    Begin();
    return bench_.Has(fault);
  }

  // A copy of frame n, at its time.
  Counts Frame(std::size_t n) {
    std::this_thread::sleep_until(start_ +
                                  std::chrono::duration_cast<Clock::duration>(
                                      std::chrono::duration<double>(bench_.FrameTime(n) / speed_)));
    {
      const std::lock_guard lock(mutex_);
      Begin();
    }
    // Drawing takes a while: the supply answers meanwhile.
    return bench_.Frame(n).clone();
  }

  [[nodiscard]] std::size_t num_frames() const { return bench_.num_frames(); }

 private:
  // Notes the fault's begin; the bench itself lets it begin.
  void Begin() {
    bench_.Advance(Now());
    if (noted_) return;
    for (const auto& [name, fault] : BenchFaultNames()) {
      if (!bench_.Has(fault)) continue;
      noted_ = true;
      Note("fault " + std::string(name));
    }
  }

  void Note(const std::string& what) {
    if (!events_.is_open()) return;
    events_ << std::fixed << std::setprecision(4) << Seconds(Clock::now().time_since_epoch()) << ','
            << what << std::endl;
  }

  std::mutex mutex_;
  Bench bench_;
  double speed_;
  Clock::time_point start_ = Clock::now();
  std::ofstream events_;
  bool noted_ = false;
};

void Serve(const std::shared_ptr<tcp::socket>& client, SharedBench& bench) {
  boost::system::error_code error;
  client->set_option(tcp::no_delay(true), error);
  const bool after_fault = bench.Has(BenchFault::kSupplyGone);
  asio::streambuf input;
  while (true) {
    asio::read_until(*client, input, '\n', error);
    if (error) return;
    std::istream stream(&input);
    std::string line;
    std::getline(stream, line);
    if (!after_fault && bench.Has(BenchFault::kSupplyGone)) return;
    std::string answer = bench.Take(line);
    if (answer.empty() || bench.Has(BenchFault::kSupplySilent)) continue;
    if (bench.Has(BenchFault::kSupplyLate)) {
      // The next lines are obeyed meanwhile.
      std::thread([client, answer] {
        std::this_thread::sleep_for(std::chrono::duration<double>(kLate));
        boost::system::error_code ignored;
        asio::write(*client, asio::buffer(answer + "\n"), ignored);
      }).detach();
      continue;
    }
    asio::write(*client, asio::buffer(answer + "\n"), error);
    if (error) return;
  }
}

void Accept(tcp::acceptor& acceptor, SharedBench& bench) {
  while (true) {
    boost::system::error_code error;
    const auto client = std::make_shared<tcp::socket>(acceptor.get_executor());
    acceptor.accept(*client, error);
    if (error) return;
    std::thread([client, &bench] { Serve(client, bench); }).detach();
  }
}

bool WriteFrame(const Counts& counts) {
  const auto* at = reinterpret_cast<const char*>(counts.data);
  std::size_t left = counts.total() * counts.elemSize();
  while (left > 0) {
    const ssize_t wrote = write(STDOUT_FILENO, at, left);
    if (wrote <= 0) return false;
    at += wrote;
    left -= static_cast<std::size_t>(wrote);
  }
  return true;
}

void Film(SharedBench& bench) {
  for (std::size_t n = 0; n < bench.num_frames(); ++n) {
    const Counts counts = bench.Frame(n);
    if (bench.Has(BenchFault::kCameraEnds)) break;
    if (bench.Has(BenchFault::kCameraStalls)) continue;
    if (!WriteFrame(counts)) return;
  }
  if (!bench.Has(BenchFault::kCameraStalls)) close(STDOUT_FILENO);
}

}  // namespace

void RunBench(const Scenario& scenario, const BenchOptions& options) {
  signal(SIGPIPE, SIG_IGN);
  const Setting set = MakeSetting(scenario);
  if (!options.out.empty()) WriteBoard(set, options.out);
  asio::io_context io;
  boost::system::error_code error;
  tcp::acceptor acceptor(io);
  const tcp::endpoint here(asio::ip::address_v4::loopback(),
                           static_cast<unsigned short>(options.port));
  acceptor.open(here.protocol(), error);
  if (!error) acceptor.set_option(tcp::acceptor::reuse_address(true), error);
  if (!error) acceptor.bind(here, error);
  if (!error) acceptor.listen(4, error);
  if (error) {
    throw OptionError("--port " + std::to_string(options.port) + ": " + error.message() +
                      "; take another");
  }
  SharedBench bench(set, options);
  std::cerr << "supply on tcp:127.0.0.1:" << acceptor.local_endpoint().port() << ", frames "
            << set.view.size_px.width << 'x' << set.view.size_px.height << ":u16le at "
            << scenario.rate_hz << " Hz" << std::endl;
  std::thread([&] { Accept(acceptor, bench); }).detach();
  Film(bench);
  std::this_thread::sleep_for(std::chrono::duration<double>(kAfterFilm));
  std::quick_exit(0);
}

}  // namespace ohmglow::simulate
