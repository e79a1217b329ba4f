// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/pattern.h"

#include <algorithm>
#include <cstddef>

namespace ohmglow::record {
namespace {

// A half period shorter than this is left to its neighbour: nothing warms in it.
constexpr double kShortestS = 2;

void Add(std::vector<PatternStep>& steps, double seconds_s, double amps_a, Phase phase) {
  const double start_s = steps.empty() ? 0 : steps.back().end_s;
  steps.push_back({start_s, start_s + seconds_s, amps_a, phase});
}

// Top and zero in turns from the last step's end on, then zero up to `end_s`.
void AddTurns(const PatternOptions& options, double end_s, std::vector<PatternStep>& steps) {
  const double turns_end_s = end_s - options.end_s;
  bool on = true;
  for (std::size_t k = 0;; ++k) {
    const double left_s = turns_end_s - steps.back().end_s;
    double half_s = options.halves_s[k % options.halves_s.size()];
    // Zero comes last anyway: there it joins the end.
    if (left_s < (on ? kShortestS : half_s)) break;
    if (left_s < half_s + kShortestS) half_s = left_s;
    Add(steps, half_s, on ? options.top_amps_a : 0, Phase::kTurns);
    on = !on;
  }
  Add(steps, end_s - steps.back().end_s, 0, Phase::kEnd);
}

}  // namespace

std::vector<PatternStep> PlanSteps(const PatternOptions& options) {
  std::vector<PatternStep> steps;
  Add(steps, options.rest_s, 0, Phase::kRest);
  for (const double share : options.approach) {
    Add(steps, options.approach_s, share * options.top_amps_a, Phase::kApproach);
  }
  AddTurns(options, options.seconds_s, steps);
  return steps;
}

Pattern::Pattern(const PatternOptions& options) : options_(options), steps_(PlanSteps(options)) {}

PatternStep Pattern::At(double now_s) const {
  for (const PatternStep& step : steps_) {
    if (now_s < step.end_s) return step;
  }
  return {steps_.back().end_s, steps_.back().end_s, 0, Phase::kOver};
}

void Pattern::ShowsAt(double now_s) {
  const PatternStep now = At(now_s);
  if (now.phase != Phase::kApproach || now.amps_a <= 0) return;
  const double end_s = steps_.back().end_s;
  options_.top_amps_a = now.amps_a;
  std::erase_if(steps_, [&](const PatternStep& step) { return step.start_s >= now.end_s; });
  // The first turn goes on at the same current: the step is then as long as the others.
  AddTurns(options_, end_s, steps_);
}

void Pattern::Finish(double now_s) {
  const PatternStep now = At(now_s);
  if (now.phase == Phase::kEnd || now.phase == Phase::kOver) return;
  std::erase_if(steps_, [&](const PatternStep& step) { return step.start_s > now.start_s; });
  steps_.back().end_s = now_s;
  Add(steps_, options_.end_s, 0, Phase::kEnd);
}

}  // namespace ohmglow::record
