// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "march.h"

#include <algorithm>

namespace ohmglow::simulate {
namespace {

constexpr double kPastStep = 0.5;     // s, before the first frame.
constexpr double kPresentStep = 0.2;  // s, at most, once frames are taken.

}  // namespace

HeatMarch::HeatMarch(const BoardStack& stack, std::vector<HeatSource> sources, Drive drive)
    : stack_(stack), solver_(stack.plate), sources_(std::move(sources)), drive_(std::move(drive)) {
  for (const auto& level : drive_.levels) {
    edges_s_.push_back(level.start_s);
    edges_s_.push_back(level.end_s);
  }
  for (const auto& source : sources_) {
    if (source.when != HeatSource::When::kWindow) continue;
    edges_s_.push_back(source.begin_s);
    edges_s_.push_back(source.end_s);
    time_s_ = std::min(time_s_, source.begin_s);
  }
  std::sort(edges_s_.begin(), edges_s_.end());
}

void HeatMarch::Switch(double amps) { drive_.Switch(time_s_, amps); }

double HeatMarch::NextEdge(double after_s) const {
  const auto next = std::upper_bound(edges_s_.begin(), edges_s_.end(), after_s + 1e-9);
  return next == edges_s_.end() ? 1e18 : *next;
}

void HeatMarch::AdvanceTo(double time_s) {
  while (time_s_ < time_s - 1e-9) {
    const double longest = time_s_ < -1e-9 ? kPastStep : kPresentStep;
    const double end = std::min({time_s, NextEdge(time_s_), time_s_ + longest});
    heat_.clear();
    for (const auto& source : sources_) {
      const double power = source.Power(drive_, 0.5 * (time_s_ + end));
      if (power == 0) continue;
      for (const auto& [cell, share] : source.cells) {
        heat_.push_back({cell, source.lane, power * share});
      }
    }
    solver_.Step(end - time_s_, heat_);
    time_s_ = end;
  }
}

void HeatMarch::Rise(bool top, int lane, Image& rise_k) const {
  rise_k.create(stack_.plate.ny, stack_.plate.nx);
  for (int y = 0; y < rise_k.rows; ++y) {
    for (int x = 0; x < rise_k.cols; ++x) {
      const Lanes t = solver_.rise_k()[stack_.Visible(x, y, top)];
      rise_k(y, x) = lane >= 0 ? t[lane] : t[0] + t[1] + t[2] + t[3];
    }
  }
}

}  // namespace ohmglow::simulate
