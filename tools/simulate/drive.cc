// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "drive.h"

#include <algorithm>
#include <cmath>

#include "random.h"

namespace ohmglow::simulate {

double Drive::Amps(double time_s) const {
  double before = 0;
  for (const auto& level : levels) {
    if (time_s >= level.start_s && time_s < level.end_s) {
      const double since_s = time_s - level.start_s;
      if (level.amps < before || since_s >= ramp_s) return level.amps;
      return before + (level.amps - before) * since_s / ramp_s;
    }
    before = level.amps;
  }
  return 0;
}

void Drive::Switch(double time_s, double amps) {
  constexpr double kForever = 1e18;
  if (!levels.empty()) levels.back().end_s = std::min(levels.back().end_s, time_s);
  levels.push_back({time_s, kForever, amps});
}

Drive MakeDrive(const Scenario& s) {
  Random random(s.capture_seed(), "drive");
  Drive drive;
  drive.ramp_s = s.ramp_s;
  const int count = static_cast<int>(s.levels);
  const double rest = s.seconds - s.end_zero * s.step_s;
  double start = s.baseline_s;
  for (int k = 0; k < count; ++k) {
    const bool last = k == count - 1;
    const double end = last ? rest : start + s.step_s * random.Uniform(0.9, 1.1);
    const double share = (k + 1.0) / count;
    const double exact = s.top_amps * (last ? 1 : share * random.Uniform(0.9, 1.1));
    drive.levels.push_back({start, end, exact * (1 + 0.003 * random.Normal())});
    start = end;
  }
  if (s.end_zero > 0) drive.levels.push_back({rest, s.seconds, 0});
  for (const auto& level : drive.levels) drive.top_amps = std::max(drive.top_amps, level.amps);
  return drive;
}

namespace {

// Whether the log lost its rows at a time: a stretch around one of the steps.
class Gap {
 public:
  Gap(const Drive& drive, const Scenario& s) {
    if (s.log_gap_s <= 0) return;
    Random random(s.capture_seed(), "log gap");
    const int step = random.Integer(0, static_cast<int>(drive.levels.size()) - 1);
    begin_s_ = drive.levels[static_cast<std::size_t>(step)].start_s -
               s.log_gap_s * random.Uniform(0.1, 0.9);
    end_s_ = begin_s_ + s.log_gap_s;
  }
  [[nodiscard]] bool Has(double time_s) const { return time_s > begin_s_ && time_s < end_s_; }

 private:
  double begin_s_ = 0;
  double end_s_ = 0;
};

}  // namespace

std::vector<LogRow> MakeLog(const Drive& drive,
                            const Scenario& s,
                            double rail_ohm,
                            double junction_v) {
  Random random(s.capture_seed(), "log");
  std::vector<LogRow> rows;
  const double step = 1 / s.log_hz;
  const double clock_rate = 1 - 1e-6 * s.clock_rate_ppm;
  const Gap gap(drive, s);
  for (double t = -random.Uniform(0.2, 1.0); t < s.seconds + 1; t += step) {
    // The supply holds its last level until somebody switches it off.
    const double true_amps = drive.Amps(std::min(t, s.seconds - 1e-6));
    double amps = 0;
    double volts = 0;
    if (true_amps > 0) {
      amps = std::max(0.0, true_amps + 0.001 * random.Normal());
      volts =
          junction_v + true_amps * (rail_ohm + s.load_ohm + s.lead_ohm) + 0.003 * random.Normal();
    }
    if (gap.Has(t)) continue;
    rows.push_back({clock_rate * t + s.time_origin_s - s.clock_offset_s,
                    std::round(volts * 100) / 100,
                    std::round(amps * 1000) / 1000});
  }
  return rows;
}

}  // namespace ohmglow::simulate
