// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/desk_command.h"

#include <pthread.h>

#include <csignal>
#include <iostream>
#include <optional>
#include <thread>

#include "cli/located_case.h"
#include "cli/open_case.h"
#include "cli/process.h"
#include "cli/result_folder.h"
#include "cli/sheet_files.h"
#include "desk/browser.h"
#include "desk/desk.h"
#include "desk/server.h"
#include "desk/shop_file.h"
#include "desk/token.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

constexpr int kHighestPort = 65535;

// Ctrl-C and the like, waited for by a thread instead of breaking in anywhere.
class StopSignals {
 public:
  explicit StopSignals(std::function<void()> stop) : stop_(std::move(stop)) {
    sigemptyset(&signals_);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGUSR1}) sigaddset(&signals_, signal);
    // Before any other thread is made: all of them inherit it.
    pthread_sigmask(SIG_BLOCK, &signals_, nullptr);
    std::signal(SIGPIPE, SIG_IGN);
    thread_ = std::thread([this] {
      int signal = 0;
      sigwait(&signals_, &signal);
      if (signal != SIGUSR1) stop_();
    });
  }
  ~StopSignals() {
    pthread_kill(thread_.native_handle(), SIGUSR1);  // Wakes it, if it still waits.
    thread_.join();
  }
  StopSignals(const StopSignals&) = delete;
  StopSignals& operator=(const StopSignals&) = delete;

 private:
  std::function<void()> stop_;
  sigset_t signals_{};
  std::thread thread_;
};

void Keep(const std::filesystem::path& folder, const Case& job, const LocateResult& result) {
  LocatedCase located{job, result};
  WriteResultFolder(folder, kLocateFolder, MakeLocateFiles(located));
}

// What `batch` is started with for the shelf: the desk's own numbers.
desk::ShelfWork BatchWork(const Arguments& arguments) {
  desk::ShelfWork work{
      "/proc/self/exe",
      {"batch"},
      {static_cast<int>(ExitCode::kDone), static_cast<int>(ExitCode::kSomeFailed)}};
  for (const NumberOption& option : NumberOptions()) {
    const std::string name(option.name);
    if (!arguments.has(name)) continue;
    work.arguments.push_back("--" + name);
    work.arguments.push_back(arguments.Text(name));
  }
  return work;
}

ExitCode RunDesk(const Arguments& arguments) {
  const auto& places = arguments.places();
  if (places.size() > 1) throw OptionError("give one case or folder; another desk opens another");
  const int port = arguments.Whole("port", 0, kHighestPort, 0);
  const Settings settings = arguments.ReadSettings();
  SetThreads(settings.threads);
  std::optional<desk::Server> server;
  const auto stop = [&] { server->Stop(); };
  desk::Desk desk({.place = places.empty() ? "." : places.front(),
                   .choice = ReadChoice(arguments),
                   .locate = settings.locate,
                   .keep = Keep,
                   .shelf_work = BatchWork(arguments),
                   .shop_file = desk::OwnShopFile(),
                   .read_shop = ReadShop,
                   .end = stop});
  server.emplace(port, desk::NewToken());
  const StopSignals signals(stop);
  std::cout << "The desk is open at " << server->Address()
            << "\nOnly this machine can reach it. Ctrl-C closes it." << std::endl;
  std::optional<desk::Browser> browser;
  if (!arguments.has("no-browser")) browser.emplace(server->Address());
  std::thread ahead([&] { desk.LookAhead(); });
  server->Run([&](const desk::Ask& ask) { return desk.Answer(ask); });
  ahead.join();
  std::cout << "The desk is closed.\n";
  return ExitCode::kDone;
}

}  // namespace

Command DeskCommand() {
  return {
      {.name = "desk",
       .does = "prepare a capture and read its result in the browser, on this machine alone",
       .usage = "  ohmglow desk [CASE.ini or FOLDER] [--no-browser] [--port N] [options]\n",
       .about =
           "Prints an address of this machine (127.0.0.1) and opens the browser there, if there "
           "is\n"
           "one. The address holds a key: whoever has it can use the desk, nobody else. FOLDER is\n"
           "the folder of one case or of many; without one, the present folder. Nothing beside it\n"
           "is read or written but your shop's own lines. Ctrl-C or the page's own button closes "
           "the desk.\n",
       .options =
           WithChoice({{"no-browser", "", "print the address only"},
                       {"port", "N", "port to listen on, 0 to 65535; 0, the default: a free one"}}),
       .numbers = true},
      RunDesk};
}

}  // namespace ohmglow::cli
