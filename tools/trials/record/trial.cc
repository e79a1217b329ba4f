// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "trials/record/trial.h"

#include <algorithm>
#include <atomic>
#include <charconv>
#include <cmath>

#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "record/film_writer.h"
#include "record/live_kelvin.h"
#include "record/record_words.h"
#include "record/running_answer.h"
#include "record/session.h"
#include "simulate/bench.h"
#include "simulate/case_writer.h"

namespace ohmglow::trial {
namespace {

constexpr double kTickS = 0.02;
constexpr double kReadingS = 0.08;
constexpr double kAnswerS = 3;
constexpr double kFirstAnswerS = 12;
constexpr double kRightPx = 3;

// The place of the fault is named where its part is, or where it lies so near.
void Judge(const LocateResult& result, const simulate::Setting& set, Trial& trial) {
  const simulate::HeatSource* const fault =
      !set.sources.empty() && set.sources.front().is_fault ? &set.sources.front() : nullptr;
  if (result.candidates.empty()) return;
  const Candidate& first = result.candidates.front();
  const bool called = result.verdict != Verdict::kNone;
  if (fault != nullptr) {
    const Point truth = set.frame_from_board.Apply(fault->center_mm);
    const double off_px = std::hypot(first.frame_px.x - truth.x, first.frame_px.y - truth.y);
    const bool part = !first.parts.empty() && first.parts.front().ref == fault->ref;
    trial.named = part || off_px <= kRightPx;
    if (trial.named) {
      trial.off_mm = off_px * set.scenario.mm_per_pixel;
      trial.log_power_ratio = std::log(first.power_w / fault->power_w);
    }
  }
  trial.verdict = trial.named && called;
  trial.false_alarm = !trial.named && called;
}

double ToNumber(const std::string& text) {
  double value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

class Player {
 public:
  Player(const simulate::Setting& set,
         const TrialOptions& options,
         const std::filesystem::path& folder)
      : bench_(set, std::nullopt, 0),
        writer_(folder / "case", Board(set, folder), record::FilmKind::kOneClock) {
    record::SessionOptions session;
    session.limits = {5, set.drive.top_amps, options.max_rise_k, 60, set.scenario.seconds};
    session.pattern.top_amps_a = set.drive.top_amps;
    session.pattern.seconds_s = set.scenario.seconds - 0.5;
    if (!options.halves_s.empty()) session.pattern.halves_s = options.halves_s;
    session.rate_hz = set.scenario.rate_hz;
    session.until = options.until;
    options_ = options;
    session_ = std::make_unique<record::Session>(session, 0);
  }

  Trial Play(const simulate::Setting& set) {
    std::size_t frame = 0;
    for (double now_s = 0; !session_->Over(now_s); now_s += kTickS) {
      while (frame < bench_.num_frames() && bench_.FrameTime(frame) <= now_s) TakeFrame(frame++);
      if (frame == bench_.num_frames()) break;
      Command(now_s);
      Measure(now_s);
      Ask(now_s);
    }
    writer_.Finish();
    Trial trial;
    trial.enough = session_->enough();
    trial.seconds_s = trial.enough ? enough_s_ : set.scenario.seconds;
    if (session_->trip()) {
      trial.tripped = record::TripText(*session_->trip(), record::RecordWords());
      return trial;
    }
    Judge(Locate(LoadCase(writer_.case_file()), {}), set, trial);
    return trial;
  }

 private:
  static record::BoardText Board(const simulate::Setting& set,
                                 const std::filesystem::path& folder) {
    simulate::WriteBoard(set, folder);
    return record::ReadBoardText(folder / "board/board.ini");
  }

  void TakeFrame(std::size_t n) {
    bench_.Advance(bench_.FrameTime(n));
    const simulate::Counts& counts = bench_.Frame(n);
    if (!kelvin_) {
      kelvin_ = std::make_unique<record::LiveKelvin>(
          record::ReadBoardText(writer_.case_file().parent_path().parent_path() / "board/board.ini")
              .text,
          writer_.case_file().parent_path(),
          counts);
    }
    const double time_s = std::max(0.0, bench_.FrameTime(n));
    const bool repeats = !last_.empty() && cv::norm(last_, counts, cv::NORM_INF) == 0;
    counts.copyTo(last_);
    session_->OnFrame(time_s, kelvin_->Convert(counts), repeats);
    writer_.AddFrame(time_s, counts);
  }

  void Tell(const std::string& line, double now_s) { (void)bench_.Take(line, now_s); }

  void Command(double now_s) {
    const double amps = session_->Amps(now_s);
    if (amps == amps_) return;
    Log(now_s);
    Tell("VOLT 5", now_s);
    Tell("CURR " + std::to_string(amps), now_s);
    Tell(amps > 0 ? "OUTP ON" : "OUTP OFF", now_s);
    amps_ = amps;
    Log(now_s + 1e-3);
  }

  void Measure(double now_s) {
    if (now_s - measured_s_ < kReadingS) return;
    measured_s_ = now_s;
    Log(now_s + 2e-3);
  }

  void Log(double time_s) {
    if (time_s <= logged_s_) return;
    logged_s_ = time_s;
    const double volts = ToNumber(bench_.Take("MEAS:VOLT?", time_s));
    writer_.AddReading(time_s, volts, ToNumber(bench_.Take("MEAS:CURR?", time_s)));
  }

  void Ask(double now_s) {
    if (!options_.until || now_s < kFirstAnswerS || now_s - asked_s_ < kAnswerS) return;
    if (session_->enough()) return;
    asked_s_ = now_s;
    writer_.Flush();
    const record::Answer answer = record::LookAt(writer_.case_file(), {}, film_, never_);
    if (!answer.result) return;
    session_->OnAnswer(now_s, record::ViewOf(*answer.result));
    if (session_->enough()) enough_s_ = now_s;
  }

  simulate::Bench bench_;
  record::FilmWriter writer_;
  record::FilmSoFar film_;
  TrialOptions options_;
  std::unique_ptr<record::Session> session_;
  std::unique_ptr<record::LiveKelvin> kelvin_;
  cv::Mat last_;
  double amps_ = 0;
  double measured_s_ = -1;
  double logged_s_ = -1;
  double asked_s_ = 0;
  double enough_s_ = 0;
  const std::atomic<bool> never_{false};
};

}  // namespace

Trial PlayRecord(const simulate::Setting& set,
                 const TrialOptions& options,
                 const std::filesystem::path& folder) {
  return Player(set, options, folder).Play(set);
}

Trial PlayStairs(const simulate::Scenario& scenario, const std::filesystem::path& folder) {
  simulate::WriteCase(scenario, folder);
  Trial trial;
  trial.seconds_s = scenario.seconds;
  const simulate::Setting set = simulate::MakeSetting(scenario);
  Judge(Locate(LoadCase(folder / "case/case.ini"), {}), set, trial);
  return trial;
}

}  // namespace ohmglow::trial
