// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/film_so_far.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow::record {
namespace {

constexpr double kGroupS = 0.2;
constexpr int kEnoughFrames = 16;

}  // namespace

void FilmSoFar::AddFrames(const Case& job) {
  const int count = job.frames->count();
  if (group_ == 0) {
    const double span_s = job.frame_times_s.back() - job.frame_times_s.front();
    group_ = std::max(1, static_cast<int>(kGroupS * (count - 1) / span_s + 1e-6));
  }
  Image kelvin;
  for (int first = num_frames_; first + group_ <= count; first += group_) {
    Image sum(job.frames->size_px(), 0.0F);
    double time_s = 0;
    for (int k = first; k < first + group_; ++k) {
      job.frames->Read(k, kelvin);
      sum += kelvin;
      time_s += job.frame_times_s[static_cast<std::size_t>(k)] / group_;
    }
    means_k_.emplace_back(sum * (1.0 / group_));
    times_s_.push_back(time_s);
    num_frames_ = first + group_;
  }
}

Case FilmSoFar::Read(const std::filesystem::path& case_file, double most_pixels) {
  Case job = LoadCase(case_file);
  if (job.frames->count() < kEnoughFrames) throw DataError("too few frames so far");
  AddFrames(job);
  const double pixels =
      static_cast<double>(job.frames->size_px().area()) * static_cast<double>(means_k_.size());
  const auto step = static_cast<std::size_t>(std::max(1.0, std::ceil(pixels / most_pixels)));
  std::vector<Image> some;
  job.frame_times_s.clear();
  for (std::size_t k = 0; k < means_k_.size(); k += step) {
    some.push_back(means_k_[k]);  // Shares the pixels.
    job.frame_times_s.push_back(times_s_[k]);
  }
  job.frames = std::make_shared<MemoryFrames>(std::move(some));
  return job;
}

}  // namespace ohmglow::record
