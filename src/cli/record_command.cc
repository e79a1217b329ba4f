// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/record_command.h"

#include <signal.h>
#include <unistd.h>

#include <charconv>
#include <fstream>
#include <iostream>
#include <optional>
#include <string>
#include <utility>

#include "cli/language.h"
#include "cli/located_case.h"
#include "cli/process.h"
#include "input/text.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "record/bench_text.h"
#include "record/plan_text.h"
#include "record/predict.h"
#include "record/record_words.h"
#include "record/recorder.h"
#include "record/replay.h"

namespace ohmglow::cli {
namespace {

using record::Guardian;
using record::GuardianReport;

constexpr double kReadyS = 4;
constexpr double kUsualRateHz = 8;
constexpr double kTooFast = 1.5;    // Times the rate that was told.
constexpr double kLeastRateHz = 5;  // Where a supply is stepped.

// What was asked for on the command line.
struct RecordRequest {
  std::string board;
  std::string out;
  std::string frames;
  FrameFormat format;
  std::string language;
  bool plan = false;
  bool yes = false;
  bool by_hand = false;
  std::optional<record::SupplyAddress> supply;
  record::SupplyWords words;
  record::RecorderOptions recorder;
  int threads = 0;
};

using record::RecordWords;

double Number(const Arguments& arguments, const std::string& name, double fallback) {
  if (!arguments.has(name)) return fallback;
  const auto value = ParseNumber(arguments.Text(name));
  if (!value) {
    throw OptionError("--" + name + ": '" + arguments.Text(name) +
                      "' is no number; write it like 1.5");
  }
  return *value;
}

double NeededNumber(const Arguments& arguments, const std::string& name, const char* what_for) {
  static_cast<void>(arguments.Needed(name, what_for));
  return Number(arguments, name, 0);
}

std::optional<double> ReadUntil(const Arguments& arguments) {
  if (!arguments.has("until")) return std::nullopt;
  const double until = Number(arguments, "until", 0);
  if (!(until >= 0.6 && until < 1)) {
    throw OptionError("--until: give a probability from 0.6 to below 1, such as 0.97");
  }
  return until;
}

record::SessionOptions ReadSession(const Arguments& arguments) {
  record::SessionOptions session;
  record::Limits& limits = session.limits;
  limits.max_volts_v = NeededNumber(arguments, "max-volts", "no more than the rail's own voltage");
  limits.max_amps_a = NeededNumber(arguments, "max-amps", "the most current that may flow");
  limits.max_seconds_s = NeededNumber(arguments, "max-seconds", "how long it may take, say 60");
  limits.max_rise_k = Number(arguments, "max-rise", limits.max_rise_k);
  limits.max_temperature_c = Number(arguments, "max-temperature", limits.max_temperature_c);
  limits.Validate();
  session.rate_hz = Number(arguments, "rate-hz", kUsualRateHz);
  if (!(session.rate_hz >= 1 && session.rate_hz <= 200)) {
    throw OptionError("--rate-hz: give 1 to 200 frames a second");
  }
  // Frames of another size than --format says come at another rate.
  if (arguments.has("rate-hz")) session.most_rate_hz = kTooFast * session.rate_hz;
  session.until = ReadUntil(arguments);
  session.pattern.top_amps_a = limits.max_amps_a;
  // The guard on the time must find everything over.
  constexpr double kSpareS = 0.5;
  session.pattern.seconds_s = limits.max_seconds_s - kSpareS;
  return session;
}

// Hands need time between two changes, and know no 0.71 A.
record::PatternOptions ForHands(record::PatternOptions pattern) {
  pattern.approach = {0.5};
  pattern.approach_s = 5;
  pattern.halves_s = {8, 8, 10, 10};
  return pattern;
}

void ReadFrames(const Arguments& arguments, RecordRequest& request) {
  request.frames = arguments.Needed("frames", "- for raw frames on standard input, or a folder");
  if (arguments.has("format")) request.format = record::ParseRawFormat(arguments.Text("format"));
  if (request.frames == "-" && !arguments.has("format")) {
    throw OptionError("--frames - needs --format, such as 256x192:u16le");
  }
  if (arguments.has("crop")) request.format.crop_px = record::ParseCrop(arguments.Text("crop"));
}

// A film that is there: no supply, so nothing to be limited.
ExitCode RunReplay(const Arguments& arguments) {
  for (const char* name : {"frames", "supply", "by-hand", "plan"}) {
    if (!arguments.has(name)) continue;
    throw OptionError("--replay and --" + std::string(name) + " exclude each other");
  }
  if (!arguments.places().empty()) throw OptionError("--replay names the case; give no other");
  const std::string out = arguments.Needed("out", "the new case folder");
  const Settings settings = arguments.ReadSettings();
  SetThreads(settings.threads);
  record::ReplayOptions options;
  options.locate = settings.locate;
  options.until = ReadUntil(arguments);
  options.words = RecordWords(Language(arguments));
  record::Replay(options, arguments.Text("replay"), out, [](const std::string& line) {
    std::cout << line << std::endl;
  });
  const LocatedCase located =
      LocateCase(std::filesystem::path(out) / "case.ini", {}, settings.locate, {});
  std::cout << '\n' << ToSummary(located.result, Words::Report(Language(arguments)));
  return ExitCode::kDone;
}

RecordRequest ReadRequest(const Arguments& arguments) {
  RecordRequest request;
  request.board = arguments.Places(1, "one case file that knows the board").front();
  request.plan = arguments.has("plan");
  request.yes = arguments.has("yes");
  request.by_hand = arguments.has("by-hand");
  request.recorder.session = ReadSession(arguments);
  if (request.by_hand)
    request.recorder.session.pattern = ForHands(request.recorder.session.pattern);
  const Settings settings = arguments.ReadSettings();
  request.recorder.locate = settings.locate;
  request.language = Language(arguments);
  request.recorder.words = RecordWords(request.language);
  request.threads = settings.threads;
  if (request.plan) return request;
  request.out = arguments.Needed("out", "the new case folder");
  ReadFrames(arguments, request);
  if (request.by_hand == arguments.has("supply")) {
    throw OptionError("give --supply tcp:HOST:PORT, serial:DEVICE or usbtmc:DEVICE, or --by-hand");
  }
  if (request.by_hand) return request;
  record::SessionOptions& session = request.recorder.session;
  if (session.rate_hz < kLeastRateHz) {
    throw OptionError(
        "--rate-hz: a camera below 5 frames a second cannot guard a supply; use "
        "--by-hand");
  }
  session.least_rate_hz = kLeastRateHz;
  request.supply = record::ParseSupplyAddress(arguments.Text("supply"));
  if (arguments.has("supply-words")) {
    request.words = record::ReadSupplyWords(arguments.Text("supply-words"));
  }
  return request;
}

// The terminal, where standard input carries the frames.
void AskForYes(const RecordRequest& request) {
  const Words& words = request.recorder.words;
  const std::string yes = words.Get("ask.word");
  std::cout << words.Fill("ask.yes", {{"word", yes}}) << ' ' << std::flush;
  std::ifstream terminal;
  if (request.frames == "-") terminal.open("/dev/tty");
  std::istream& from = request.frames == "-" ? terminal : std::cin;
  std::string word;
  std::getline(from, word);
  if (word != yes) throw OptionError(words.Get("ask.not"));
}

void BlockSignals() {
  sigset_t some;
  sigemptyset(&some);
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) sigaddset(&some, number);
  ::pthread_sigmask(SIG_BLOCK, &some, nullptr);
  ::signal(SIGPIPE, SIG_IGN);
}

std::optional<double> Predicted(const RecordRequest& request) {
  record::ExpectedCamera camera;
  camera.rate_hz = request.recorder.session.rate_hz;
  return record::LeastPower(request.recorder.session.pattern, camera);
}

void WaitForSupply(Guardian& guardian, const Words& words) {
  const auto ready = guardian.Wait(GuardianReport::Kind::kReady, kReadyS);
  if (!ready) throw InputError(words.Get("supply.never_ready"));
  if (ready->kind != GuardianReport::Kind::kReady) {
    throw InputError(words.Fill("supply.refused", {{"why", TripText(ready->trip, words)}}));
  }
  std::cout << ReadyText(ready->supply, words) << std::flush;
}

ExitCode RunRecord(const Arguments& arguments) {
  if (arguments.has("replay")) return RunReplay(arguments);
  const RecordRequest request = ReadRequest(arguments);
  SetThreads(request.threads);
  const Words& words = request.recorder.words;
  if (request.plan) {
    std::cout << record::PlanText(request.recorder.session, Predicted(request), words) << '\n'
              << record::CautionText(words);
    return ExitCode::kDone;
  }
  record::BoardText board = record::ReadBoardText(request.board);
  record::RequireNewFolder(request.out);
  const std::unique_ptr<record::FrameFeed> feed =
      request.frames == "-" ? record::FeedFromDescriptor(STDIN_FILENO, request.format)
                            : record::FeedFromFolder(request.frames, request.format);
  BlockSignals();
  // First of all threads: the guardian is forked from a process that has none.
  std::optional<Guardian> guardian;
  if (request.supply) {
    guardian.emplace(record::SupplyOptions{
        *request.supply, request.words, request.recorder.session.limits, words});
    WaitForSupply(*guardian, words);
  }
  if (!request.yes) {
    std::cout << record::PlanText(request.recorder.session, Predicted(request), words) << '\n';
  }
  std::cout << record::CautionText(words) << std::endl;
  if (!request.yes) AskForYes(request);
  record::FilmWriter writer(
      request.out,
      std::move(board),
      request.by_hand ? record::FilmKind::kSteps : record::FilmKind::kOneClock);
  const record::RecorderView view{
      [](const std::string& line) { std::cout << line << std::endl; },
      [&](double amps) { std::cout << record::TurnText(amps, words) << std::endl; }};
  const record::RecordingEnd end = record::Record(
      request.recorder, request.board, *feed, guardian ? &*guardian : nullptr, writer, view);
  std::cout << record::EndText(end, request.by_hand, request.out, words) << std::flush;
  try {
    const LocatedCase located = LocateCase(writer.case_file(), {}, request.recorder.locate, {});
    std::cout << '\n' << ToSummary(located.result, Words::Report(request.language));
    std::cout << words.Fill("end.pictures", {{"case", writer.case_file().string()}}) << '\n';
  } catch (const Error& error) {
    if (!end.trip) throw;
    std::cout << words.Fill("end.no_answer", {{"why", error.what()}}) << '\n';
  }
  return end.trip ? ExitCode::kWithWarnings : ExitCode::kDone;
}

}  // namespace

Command RecordCommand() {
  return {
      {.name = "record",
       .does = "film a board, step its supply and answer while it is filmed",
       .usage = "  ohmglow record BOARD.ini --out CASE --frames - --format 256x192:u16le \\\n"
                "    --supply tcp:HOST:PORT --max-volts V --max-amps A --max-seconds S\n"
                "  ohmglow record BOARD.ini --out CASE --frames ... --by-hand --max-volts V ...\n"
                "  ohmglow record --replay OLD.ini --out CASE\n"
                "  ohmglow record BOARD.ini --plan --max-volts V --max-amps A --max-seconds S\n",
       .about =
           "BOARD.ini is a case file without frames and log. CASE is the new case folder, which\n"
           "'ohmglow locate' reads at every moment. The output is switched off and read back when\n"
           "a limit is passed, camera or supply fall silent, or this program ends in any way; no\n"
           "option takes that away. Cells out, capacitors discharged, never the mains side, the\n"
           "supply's switch within reach; nobody leaves the bench. Local codes decide.\n",
       .options =
           {{"out", "DIR", "the new case folder"},
            {"frames", "NAME", "- for raw frames on standard input, or a folder that is filled"},
            {"format", "WxH:TYPE", "size and number type of raw frames, such as 256x192:u16le"},
            {"crop", "X,Y,W,H", "part of each frame that holds the values"},
            {"rate-hz", "N", "frames a second that the camera gives; 8 where it is not given"},
            {"supply", "ADDRESS", "tcp:HOST:PORT, serial:DEVICE[:BAUD] or usbtmc:DEVICE"},
            {"supply-words", "FILE", "what this supply wants to be told otherwise than usual"},
            {"by-hand", "", "say what to turn to and when, in place of a supply"},
            {"max-volts", "V", "limit: volts; needed"},
            {"max-amps", "A", "limit: amps; needed"},
            {"max-seconds", "S", "limit: seconds for all; needed"},
            {"max-rise", "K", "limit: kelvin that any place in view may warm; 15"},
            {"max-temperature", "C", "limit: degrees Celsius anywhere in view; 60"},
            {"until", "P", "stop as soon as the first place is that probable, such as 0.97"},
            {"replay", "FILE", "in place of camera and supply: a case that was filmed before"},
            {"plan", "", "print what would be done, and do nothing"},
            {"yes", "", "do not ask before switching on"},
            LanguageOption()},
       .numbers = true},
      RunRecord};
}

}  // namespace ohmglow::cli
