// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/recorder.h"

#include <poll.h>
#include <signal.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/core.hpp>
#include <utility>

#include "ohmglow/base/error.h"
#include "record/answer_text.h"
#include "record/link.h"
#include "record/live_kelvin.h"
#include "record/standstill.h"

namespace ohmglow::record {
namespace {

constexpr int kTickMs = 20;
constexpr double kBeatS = 0.04;
constexpr double kFirstFrameS = 5;
// The voltage is held this far above what the path has asked for so far: what burns open
// then sees little more.
constexpr double kHeadroom = 1.5;
constexpr double kHeadroomV = 0.5;
constexpr double kAnswerTakesS = 1;
constexpr double kByHandWithinS = 1.5;

class Signals {
 public:
  Signals() {
    sigset_t some;
    sigemptyset(&some);
    for (const int number : {SIGINT, SIGTERM, SIGHUP}) sigaddset(&some, number);
    fd_ = ::signalfd(-1, &some, SFD_NONBLOCK | SFD_CLOEXEC);
  }
  ~Signals() { ::close(fd_); }
  Signals(const Signals&) = delete;
  Signals& operator=(const Signals&) = delete;
  [[nodiscard]] int fd() const { return fd_; }
  [[nodiscard]] bool Came() const {
    signalfd_siginfo info{};
    return ::read(fd_, &info, sizeof info) == sizeof info;
  }

 private:
  int fd_;
};

class Run {
 public:
  Run(const RecorderOptions& options,
      const std::filesystem::path& board_file,
      FrameFeed& feed,
      Guardian* guardian,
      FilmWriter& writer,
      const RecorderView& view)
      : options_(options),
        feed_(feed),
        guardian_(guardian),
        writer_(writer),
        view_(view),
        answers_(options.locate),
        text_(options.words) {
    ArrivedFrame first = WaitForFirst();
    kelvin_ = std::make_unique<LiveKelvin>(
        ReadBoardText(board_file).text, writer.case_file().parent_path(), first.counts);
    first = WaitForFirst();  // Reading the board took a while.
    session_ = std::make_unique<Session>(options.session, first.time_s);
    last_answer_s_ = first.time_s + kFirstAnswerS - options.answer_every_s;
    TakeFrame(first);
  }

  RecordingEnd Go() {
    try {
      return Film();
    } catch (...) {
      // First of all: what is taken down now may take its time.
      if (guardian_) guardian_->Level(0, 0);
      throw;
    }
  }

 private:
  RecordingEnd Film() {
    SetLevel(0, NowSeconds());
    while (!session_->Over(NowSeconds())) {
      Wait();
      HearGuardian();
      for (const ArrivedFrame& frame : feed_.Take()) TakeFrame(frame);
      const double now_s = NowSeconds();
      if (feed_.ended()) session_->OnFramesEnd(now_s);
      if (signals_.Came()) session_->OnTrip(Trip{Cause::kUser});
      if (const auto missed_s = standstill_.Missed(now_s, BootSeconds())) {
        session_->OnTrip({Cause::kStoodStill, *missed_s, 0, ""});
      }
      if (const std::string problem = writer_.Problem(); !problem.empty()) {
        session_->OnTrip({Cause::kDisk, 0, 0, problem});
      }
      const double amps = session_->Amps(now_s);
      if (amps != amps_) SetLevel(amps, now_s);
      Look(now_s);
    }
    return Finish();
  }

  ArrivedFrame WaitForFirst() {
    const double until_s = NowSeconds() + kFirstFrameS;
    std::optional<ArrivedFrame> newest;
    while (NowSeconds() < until_s) {
      pollfd in[2] = {{feed_.fd(), POLLIN, 0}, {signals_.fd(), POLLIN, 0}};
      ::poll(in, 2, kTickMs);
      if (signals_.Came()) throw InputError("stopped by you before the first frame");
      auto frames = feed_.Take();
      // What waited in the pipe is old: only frames that come one by one are of now.
      if (newest && !frames.empty() && frames.size() <= 2) return std::move(frames.back());
      if (!frames.empty()) newest = std::move(frames.back());
      if (feed_.ended()) break;
    }
    throw InputError(NoFirst(newest.has_value()) +
                     "; nothing was switched on: check --frames, --format and the camera");
  }

  [[nodiscard]] std::string NoFirst(bool some) const {
    if (some && feed_.ended()) return "the stream of frames ended at once";
    if (some) return "for 5 s frames came only several at once, as those of a wrong size do";
    const std::string part = feed_.Incomplete();
    return (feed_.ended() ? "the stream of frames ended before a whole frame came"
                          : "no whole frame came within 5 s") +
           (part.empty() ? "" : " (" + part + ")");
  }

  void Wait() {
    pollfd in[3] = {{feed_.fd(), POLLIN, 0},
                    {signals_.fd(), POLLIN, 0},
                    {guardian_ ? guardian_->fd() : -1, POLLIN, 0}};
    ::poll(in, 3, kTickMs);
    if (guardian_ && NowSeconds() - beat_s_ >= kBeatS) {
      guardian_->Beat();
      beat_s_ = NowSeconds();
    }
  }

  void HearGuardian() {
    if (!guardian_) return;
    for (const GuardianReport& report : guardian_->Poll()) {
      const SupplyReading& reading = report.reading;
      if (report.kind == GuardianReport::Kind::kReading) {
        Log(reading);
        continue;
      }
      if (report.kind != GuardianReport::Kind::kTrip) continue;
      session_->OnTrip(report.trip);
      Log({reading.time_s, 0, 0, 0});
      off_ = report;
      amps_ = 0;
    }
  }

  void Log(const SupplyReading& reading) {
    const double time_s = reading.time_s - session_->start_s();
    if (time_s <= logged_s_) return;
    logged_s_ = time_s;
    writer_.AddReading(time_s, reading.volts_v, reading.amps_a);
    if (reading.amps_a > 0.5 * reading.set_amps_a && reading.amps_a > 0.01) {
      most_ohm_ = std::max(most_ohm_, reading.volts_v / reading.amps_a);
    }
  }

  void TakeFrame(const ArrivedFrame& frame) {
    const bool repeats = !last_.empty() && last_.size() == frame.counts.size() &&
                         cv::norm(last_, frame.counts, cv::NORM_INF) == 0;
    last_ = frame.counts;
    session_->OnFrame(frame.time_s, kelvin_->Convert(frame.counts), repeats);
    writer_.AddFrame(frame.time_s - session_->start_s(), frame.counts);
  }

  // Volts that the path needs at a current, by what it needed before; at first all there are.
  [[nodiscard]] double VoltsFor(double amps) const {
    const double most = options_.session.limits.max_volts_v;
    if (most_ohm_ <= 0) return most;
    return std::min(most, kHeadroom * most_ohm_ * amps + kHeadroomV);
  }

  void SetLevel(double amps, double now_s) {
    const bool changes = amps != amps_ || !set_;
    amps_ = amps;
    set_ = true;
    if (guardian_) return guardian_->Level(amps, VoltsFor(amps));
    if (changes && view_.turn) view_.turn(amps);
    writer_.AddStep(now_s - session_->start_s(), amps, kByHandWithinS);
  }

  void Look(double now_s) {
    if (auto answer = answers_.Take()) Hear(*answer, now_s);
    // Somebody waits: what flows, and how hot it is.
    if (now_s - said_s_ > options_.answer_every_s + kAnswerTakesS) Say(StateLine(now_s), now_s);
    if (answers_.busy() || now_s - last_answer_s_ < options_.answer_every_s) return;
    if (session_->trip() || session_->enough()) return;
    last_answer_s_ = now_s;
    answers_.Start(writer_.case_file());
  }

  void Hear(const Answer& answer, double now_s) {
    const std::string text = StateLine(now_s);
    if (!answer.result) {
      Say(text + "  " + options_.words.Get("state.nothing"), now_s);
      return;
    }
    const LocateResult& result = *answer.result;
    session_->OnAnswer(now_s, ViewOf(result));
    const double share = (now_s - session_->start_s()) / session_->pattern().end_s();
    Say(text + text_.Lines(result, share), now_s);
    if (session_->enough()) view_.say(EnoughText(result, options_.words));
  }

  void Say(const std::string& text, double now_s) {
    said_s_ = now_s;
    view_.say(text);
  }

  [[nodiscard]] std::string StateLine(double now_s) const {
    const Limits& limits = options_.session.limits;
    const FrameHeat& heat = session_->heat();
    const auto number = [&](const char* format, double value) {
      return NumberText(options_.words, format, value);
    };
    return options_.words.Fill("state.line",
                               {{"now", number("%3.0f", now_s - session_->start_s())},
                                {"all", number("%.0f", session_->pattern().end_s())},
                                {"amps", number("%5.3g", amps_)},
                                {"hottest", number("%.1f", heat.hottest_k - 273.15)},
                                {"most", number("%.0f", limits.max_temperature_c)},
                                {"rise", number("%.1f", heat.rise_k)},
                                {"most_rise", number("%.0f", limits.max_rise_k)}});
  }

  RecordingEnd Finish() {
    if (guardian_) {
      // The trip's own switching off is the one that counts.
      const GuardianReport end = guardian_->End();
      if (!off_ || end.read_back) off_ = end;
      if (end.kind == GuardianReport::Kind::kTrip) session_->OnTrip(end.trip);
      Log({NowSeconds(), 0, 0, 0});
    }
    writer_.Finish();
    RecordingEnd end;
    end.trip = session_->trip();
    end.enough = session_->enough();
    end.off_read_back = off_ && off_->read_back;
    end.off_s = off_ ? off_->off_s : 0;
    end.film = JudgeRate(writer_.times_s());
    return end;
  }

  RecorderOptions options_;
  FrameFeed& feed_;
  Guardian* guardian_;
  FilmWriter& writer_;
  RecorderView view_;
  RunningAnswer answers_;
  Signals signals_;
  std::unique_ptr<LiveKelvin> kelvin_;
  std::unique_ptr<Session> session_;
  cv::Mat last_;
  double amps_ = 0;
  bool set_ = false;
  double beat_s_ = 0;
  double last_answer_s_ = 0;
  double said_s_ = 0;
  double logged_s_ = -1e9;
  double most_ohm_ = 0;
  std::optional<GuardianReport> off_;
  AnswerText text_;
  // What holds up this loop alone the guardian sees; a computer that slept both do.
  Standstill standstill_{std::numeric_limits<double>::infinity()};
};

}  // namespace

RecordingEnd Record(const RecorderOptions& options,
                    const std::filesystem::path& board_file,
                    FrameFeed& feed,
                    Guardian* guardian,
                    FilmWriter& writer,
                    const RecorderView& view) {
  return Run(options, board_file, feed, guardian, writer, view).Go();
}

}  // namespace ohmglow::record
