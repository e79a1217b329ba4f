// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "capture.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "march.h"
#include "object.h"
#include "photo.h"
#include "random.h"

namespace ohmglow::simulate {
namespace {

constexpr int kMeterEvery = 4;  // Frames between those in which a fault's signal is measured.

std::vector<double> FrameTimes(const Scenario& s) {
  Random random(s.capture_seed(), "times");
  std::vector<double> times(static_cast<std::size_t>(s.seconds * s.rate_hz) + 1);
  for (std::size_t n = 0; n < times.size(); ++n) {
    const double shake = n == 0 ? 0 : std::clamp(s.jitter * random.Normal(), -0.45, 0.45);
    times[n] = (static_cast<double>(n) + shake) / s.rate_hz;
  }
  Random lost(s.capture_seed(), "lost frames");
  for (int k = 0; k < static_cast<int>(s.lost_frames) && times.size() > 8; ++k) {
    times.erase(times.begin() + lost.Integer(2, static_cast<int>(times.size()) - 3));
  }
  return times;
}

// The first fault (or the middle of the board) lies somewhere near the middle of the frame.
View CameraView(const Scenario& s, const Board& board, const std::vector<HeatSource>& sources) {
  Random random(s.capture_seed(), "view");
  View view;
  view.size_px = {static_cast<int>(s.width_px), static_cast<int>(s.height_px)};
  view.mm_per_pixel = s.mm_per_pixel;
  view.rotation_deg = s.rotation_deg;
  view.tilt_deg = s.tilt_deg;
  view.tilt_direction_deg = random.Uniform(0, 360);
  view.fov_deg = s.fov_deg;
  view.mirrored = !s.top();
  const bool fault = !sources.empty() && sources.front().is_fault;
  const Point about =
      fault ? sources.front().center_mm : Point(0.5 * board.width_mm, 0.5 * board.height_mm);
  const double angle = random.Uniform(0, 2 * std::numbers::pi);
  const double off_px = s.off_center_px * std::sqrt(random.Uniform());
  const double x = std::clamp(off_px * std::cos(angle), -0.4 * s.width_px, 0.4 * s.width_px);
  const double y = std::clamp(off_px * std::sin(angle), -0.4 * s.height_px, 0.4 * s.height_px);
  // Rather look at the board than at the bench beside it.
  view.center_mm = {
      std::clamp(about.x + x * s.mm_per_pixel, 0.2 * board.width_mm, 0.8 * board.width_mm),
      std::clamp(about.y + y * s.mm_per_pixel, 0.2 * board.height_mm, 0.8 * board.height_mm)};
  return view;
}

Reflection MakeReflection(const Scenario& s, const PlaneMap& frame_from_board) {
  Random random(s.capture_seed(), "reflection");
  const PlaneMap board_from_frame = frame_from_board.Inverse();
  const Point start(random.Uniform(0.25, 0.75) * s.width_px,
                    random.Uniform(0.25, 0.75) * s.height_px);
  const Point speed(random.Uniform(-0.02, 0.02) * s.width_px,
                    random.Uniform(-0.02, 0.02) * s.height_px);
  Reflection r;
  r.amplitude_k = s.reflection_k;
  r.start_mm = board_from_frame.Apply(start);
  r.speed_mm_s = board_from_frame.Apply(start + speed) - r.start_mm;
  r.sigma_mm = s.reflection_width * s.width_px * s.mm_per_pixel;
  return r;
}

cv::Matx33d Full(const cv::Matx23d& m) {
  return {m(0, 0), m(0, 1), m(0, 2), m(1, 0), m(1, 1), m(1, 2), 0, 0, 1};
}

// The view with its axis tilted a little more.
PlaneMap Swayed(const View& view, const cv::Vec2d& sway_deg) {
  constexpr double kRadPerDeg = std::numbers::pi / 180;
  const double direction = view.tilt_direction_deg * kRadPerDeg;
  const cv::Vec2d tilt(view.tilt_deg * std::cos(direction) + sway_deg[0],
                       view.tilt_deg * std::sin(direction) + sway_deg[1]);
  View swayed = view;
  swayed.tilt_deg = cv::norm(tilt);
  swayed.tilt_direction_deg = std::atan2(tilt[1], tilt[0]) / kRadPerDeg;
  return FrameFromBoard(swayed);
}

// Where frame 0's board is when the camera moves as `motion` and `sway_deg` say.
PlaneMap Moved(const Setting& set, const Similarity& motion, const cv::Vec2d* sway_deg) {
  const PlaneMap still = sway_deg ? Swayed(set.view, *sway_deg) : set.frame_from_board;
  return PlaneMap{Full(motion.Matrix(set.view.size_px)) * still.matrix};
}

PlaneMap Moved(const Setting& set, std::size_t frame) {
  const bool sways = !set.tilt_sway_deg.empty();
  return Moved(set, set.motion[frame], sways ? &set.tilt_sway_deg[frame] : nullptr);
}

// The frame as the camera sees it, the motion during its exposure included.
void DrawFrame(
    const Setting& set, const Optics& optics, const Image& scene, std::size_t n, Image& frame) {
  constexpr int kParts = 9;
  if (!(set.scenario.exposure_s > 0)) {
    optics.Draw(scene, Moved(set, n), frame);
    return;
  }
  std::vector<double> times_s{set.times_s.front()};
  for (int k = 0; k < kParts; ++k) {
    times_s.push_back(set.times_s[n] + set.scenario.exposure_s * ((k + 0.5) / kParts - 0.5));
  }
  const std::vector<Similarity> motion = MakeMotion(set.scenario, times_s);
  const std::vector<cv::Vec2d> sway_deg = MakeTiltSway(set.scenario, times_s);
  Image sum(set.view.size_px, 0.0F);
  Image part;
  for (std::size_t k = 1; k < times_s.size(); ++k) {
    optics.Draw(scene, Moved(set, motion[k], sway_deg.empty() ? nullptr : &sway_deg[k]), part);
    sum += part;
  }
  frame = sum * (1.0 / kParts);
}

}  // namespace

PlaneMap Setting::FrameFromFirst(std::size_t n) const {
  const cv::Matx33d m = Moved(*this, n).matrix * frame_from_board.Inverse().matrix;
  return PlaneMap{m * (1 / m(2, 2))};
}

std::size_t FaultyTime(const Scenario& s, std::size_t num_frames) {
  if (s.time_fault < 1) return 0;
  Random random(s.capture_seed(), "time fault");
  return static_cast<std::size_t>(random.Integer(2, static_cast<int>(num_frames) - 1));
}

Setting MakeSetting(const Scenario& scenario) {
  Setting set;
  set.scenario = scenario;
  set.board = MakeBoard(scenario);
  set.stack = MakeStack(set.board, scenario);
  set.drive = MakeDrive(scenario);
  set.sources = MakeSources(scenario, set.board, set.stack);
  set.view = CameraView(scenario, set.board, set.sources);
  set.photo_view = PhotoView(set.board, scenario);
  set.frame_from_board = FrameFromBoard(set.view);
  set.photo_from_board = FrameFromBoard(set.photo_view);
  set.times_s = FrameTimes(scenario);
  set.motion = MakeMotion(scenario, set.times_s);
  set.tilt_sway_deg = MakeTiltSway(scenario, set.times_s);
  set.reflection = MakeReflection(scenario, set.frame_from_board);
  return set;
}

namespace {

Drive OffAtFirst(const Drive& drive) {
  Drive off = drive;
  off.levels.clear();
  off.ramp_s = 0;
  return off;
}

}  // namespace

LiveCamera::LiveCamera(const Setting& set)
    : set_(set),
      march_(set.stack, set.sources, OffAtFirst(set.drive)),
      radiance_(set.scenario,
                MakeSurface(set.board, set.scenario, set.sources),
                set.reflection,
                OffAtFirst(set.drive)),
      optics_(set.view.size_px, set.scenario.blur_px),
      sensor_(set.scenario, static_cast<int>(set.times_s.size())) {}

void LiveCamera::Switch(double time_s, double amps) {
  const std::lock_guard lock(mutex_);
  waiting_.push_back({time_s, amps});
}

void LiveCamera::SetFaultPower(double time_s, std::size_t fault, double power_w) {
  const std::lock_guard lock(mutex_);
  waiting_.push_back({time_s, 0, fault, power_w});
}

void LiveCamera::AdvanceTo(double time_s) {
  std::vector<Switched> due;
  {
    const std::lock_guard lock(mutex_);
    const auto later = std::find_if(
        waiting_.begin(), waiting_.end(), [&](const Switched& s) { return s.time_s > time_s; });
    due.assign(waiting_.begin(), later);
    waiting_.erase(waiting_.begin(), later);
  }
  for (const Switched& now : due) {
    march_.AdvanceTo(now.time_s);
    if (now.fault) {
      march_.SetPower(*now.fault, now.power_w);
      continue;
    }
    march_.Switch(now.amps);
    radiance_.Switch(march_.time_s(), now.amps);
  }
  march_.AdvanceTo(time_s);
}

const Counts& LiveCamera::Take(std::size_t n) {
  const Scenario& s = set_.scenario;
  const double time_s = set_.times_s[n];
  AdvanceTo(time_s);
  if (!sensor_.Frozen(static_cast<int>(n))) {
    march_.Rise(s.top(), -1, rise_);
    radiance_.Compose(rise_, time_s, scene_);
    DrawFrame(set_, optics_, scene_, n, frame_);
  }
  if (s.object_k != 0) HoldObject(s, time_s, frame_);
  sensor_.Read(static_cast<int>(n), frame_, counts_);
  return counts_;
}

CaptureTruth MakeFrames(const Setting& set, const std::function<void(const Counts&)>& take) {
  const Scenario& s = set.scenario;
  HeatMarch march(set.stack, set.sources, set.drive);
  Radiance radiance(s, MakeSurface(set.board, s, set.sources), set.reflection, set.drive);
  const Optics optics(set.view.size_px, s.blur_px);
  Sensor sensor(s, static_cast<int>(set.times_s.size()));
  std::vector<SignalMeter> meters(static_cast<std::size_t>(s.fault_count));
  CaptureTruth truth;
  Image rise, scene, frame;
  Counts counts;
  for (std::size_t n = 0; n < set.times_s.size(); ++n) {
    march.AdvanceTo(set.times_s[n]);
    if (n % kMeterEvery == 0 && !sensor.Frozen(static_cast<int>(n))) {
      for (std::size_t k = 0; k < meters.size(); ++k) {
        march.Rise(s.top(), static_cast<int>(k) + 1, rise);
        radiance.Signal(rise, scene);
        optics.Draw(scene, set.frame_from_board, frame);
        meters[k].Add(frame, kMeterEvery);
      }
    }
    if (!sensor.Frozen(static_cast<int>(n))) {
      march.Rise(s.top(), -1, rise);
      radiance.Compose(rise, set.times_s[n], scene);
      DrawFrame(set, optics, scene, n, frame);
    }
    if (s.object_k != 0) {
      truth.object_share.push_back(HoldObject(s, set.times_s[n], frame));
    }
    sensor.Read(static_cast<int>(n), frame, counts);
    take(counts);
  }
  for (const auto& meter : meters) truth.faults.push_back(meter.Limits(s.netd_k));
  truth.shutter_events = sensor.shutter_events();
  truth.bad_pixels = sensor.bad_pixels();
  truth.jumps = sensor.jumps();
  truth.doubled = sensor.doubled();
  truth.wire_paths_mm = radiance.surface().wire_paths_mm;
  return truth;
}

}  // namespace ohmglow::simulate
