// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/still.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::desk {
namespace {

constexpr int kFirstFrames = 8;

// Mean of frames, pixel by pixel, of those that were read.
class Mean {
 public:
  void Add(const Image& frame) {
    if (sum_.empty()) {
      sum_ = cv::Mat_<double>(frame.size(), 0.0);
      count_ = cv::Mat_<int>(frame.size(), 0);
    }
    for (int y = 0; y < frame.rows; ++y) {
      for (int x = 0; x < frame.cols; ++x) {
        if (!std::isfinite(frame(y, x))) continue;
        sum_(y, x) += static_cast<double>(frame(y, x));
        ++count_(y, x);
      }
    }
  }
  [[nodiscard]] Image Value() const {
    Image mean(sum_.size(), std::nanf(""));
    for (int y = 0; y < mean.rows; ++y) {
      for (int x = 0; x < mean.cols; ++x) {
        if (count_(y, x) > 0) mean(y, x) = static_cast<float>(sum_(y, x) / count_(y, x));
      }
    }
    return mean;
  }
  [[nodiscard]] bool empty() const { return sum_.empty(); }

 private:
  cv::Mat_<double> sum_;
  cv::Mat_<int> count_;
};

double MeanOf(const Image& frame) {
  double sum = 0;
  int count = 0;
  for (const float value : frame) {
    if (!std::isfinite(value)) continue;
    sum += static_cast<double>(value);
    ++count;
  }
  return count > 0 ? sum / count : std::nan("");
}

// Which frames show the heat: those at nearly the highest current by the log; where its clock
// is not known, as if log and frames had begun together. Without a log, the last tenth.
std::vector<bool> HotFrames(const Case& job) {
  const std::vector<double>& times_s = job.frame_times_s;
  std::vector<bool> hot(times_s.size(), false);
  const std::size_t tenth = std::max<std::size_t>(1, hot.size() / 10);
  if (job.supply && !job.supply->time_s.empty()) {
    const SupplyLog& log = *job.supply;
    const double offset_s = job.clock_offset_s.value_or(times_s.front() - log.time_s.front());
    const double top = *std::max_element(log.amps_a.begin(), log.amps_a.end());
    for (std::size_t i = 0; i < hot.size(); ++i) {
      const auto row =
          std::upper_bound(log.time_s.begin(), log.time_s.end(), times_s[i] - offset_s) -
          log.time_s.begin();
      if (row == 0) continue;
      hot[i] = top > 0 && log.amps_a[static_cast<std::size_t>(row - 1)] > 0.9 * top;
    }
  }
  if (std::none_of(hot.begin(), hot.end(), [](bool is) { return is; })) {
    std::fill(hot.end() - static_cast<std::ptrdiff_t>(tenth), hot.end(), true);
  }
  return hot;
}

}  // namespace

void Stills::Renew(const std::string& stamp) {
  if (stamp == stamp_) return;
  still_ = {};
  stamp_ = stamp;
}

const Image& Stills::RestOf(const Case& job) {
  if (!still_.rest.empty()) return still_.rest;
  Mean mean;
  Image frame;
  for (int i = 0; i < std::min(kFirstFrames, job.frames->count()); ++i) {
    job.frames->Read(i, frame);
    mean.Add(frame);
  }
  return still_.rest = mean.Value();
}

Image Stills::Rest(const Case& job, const std::string& stamp) {
  const std::lock_guard lock(mutex_);
  Renew(stamp);
  return RestOf(job);
}

Still Stills::Whole(const Case& job, const std::string& stamp) {
  const std::lock_guard lock(mutex_);
  Renew(stamp);
  if (!still_.means.empty()) return still_;
  const Image rest = RestOf(job);
  const std::vector<bool> hot = HotFrames(job);
  Mean mean;
  Image frame;
  std::vector<double> means;
  for (int i = 0; i < job.frames->count(); ++i) {
    job.frames->Read(i, frame);
    means.push_back(MeanOf(frame));
    if (hot[static_cast<std::size_t>(i)]) mean.Add(frame);
  }
  still_.rise = mean.Value() - rest;
  still_.means = std::move(means);
  return still_;
}

}  // namespace ohmglow::desk
