// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "align/robust.h"
#include "input/nothing.h"
#include "tone/tone.h"

namespace ohmglow {
namespace {

constexpr int kReweighted = 5;
constexpr std::size_t kLeastPlaces = 50;
constexpr std::size_t kFirstFrames = 8;
// The scene is learned from the first part of the capture, before most of the heat.
constexpr double kFirstShare = 0.12;
constexpr std::size_t kHeatBlocks = 12;

// A place against its surroundings.
Image Detail(const Image& values, int around) {
  Image weight(values.size()), filled(values.size()), out(values.size());
  for (int y = 0; y < values.rows; ++y) {
    for (int x = 0; x < values.cols; ++x) {
      const bool known = std::isfinite(values(y, x));
      weight(y, x) = known ? 1.0F : 0.0F;
      filled(y, x) = known ? values(y, x) : 0.0F;
    }
  }
  cv::boxFilter(filled, filled, CV_32F, {around, around});
  cv::boxFilter(weight, weight, CV_32F, {around, around});
  for (int y = 0; y < values.rows; ++y) {
    for (int x = 0; x < values.cols; ++x) {
      out(y, x) = weight(y, x) > 0.5F ? values(y, x) - filled(y, x) / weight(y, x) : kNothing;
    }
  }
  return out;
}

class Solver {
 public:
  Solver(const std::vector<ToneSample>& samples, Tones start, const ToneOptions& options)
      : samples_(samples), options_(options), tones_(std::move(start)), start_(tones_) {
    scene_.create(samples.front().shown.size());
  }

  Tones Run() {
    calm_ = Image(scene_.size(), 1.0F);
    for (int round = 0; round < options_.rounds; ++round) {
      LearnScene();
      FitFrames();
      LearnCalm();
      Normalise();
    }
    return tones_;
  }

 private:
  Tone& ToneOf(std::size_t i) {
    return tones_.of_frame[static_cast<std::size_t>(samples_[i].frame)];
  }

  void LearnScene() {
    const auto share = static_cast<std::size_t>(kFirstShare * static_cast<double>(samples_.size()));
    scene_ = MeanOf(0, std::min(samples_.size(), std::max(kFirstFrames, share)));
    detail_ = Detail(scene_, options_.around);
  }

  // How little a place has warmed or cooled against the scene: 1 at most.
  void LearnCalm() {
    Image square(scene_.size(), 0.0F);
    const std::size_t blocks = std::min(kHeatBlocks, samples_.size());
    for (std::size_t b = 0; b < blocks; ++b) {
      const Image mean = MeanOf(samples_.size() * b / blocks, samples_.size() * (b + 1) / blocks);
      const Image change = Detail(Image(mean - scene_), options_.around);
      square += change.mul(change);
    }
    std::vector<float> sizes;
    for (const float s : square) {
      if (std::isfinite(s)) sizes.push_back(s);
    }
    if (sizes.empty()) return;
    const float usual = std::max(1e-12F, internal::MedianInPlace(sizes));
    for (int y = 0; y < calm_.rows; ++y) {
      for (int x = 0; x < calm_.cols; ++x) {
        const float ratio = square(y, x) / (2 * usual);
        calm_(y, x) = std::isfinite(ratio) ? 1 / (1 + ratio * ratio) : 0.0F;
      }
    }
  }

  // Mean of some of the samples on the common scale; NaN where too few saw a place.
  Image MeanOf(std::size_t begin, std::size_t end) {
    cv::Mat_<double> sum(scene_.size(), 0.0), num(scene_.size(), 0.0);
    for (std::size_t i = begin; i < end; ++i) {
      const Tone& tone = ToneOf(i);
      for (int y = 0; y < sum.rows; ++y) {
        for (int x = 0; x < sum.cols; ++x) {
          const auto v = static_cast<double>(samples_[i].shown(y, x));
          if (!std::isfinite(v)) continue;
          sum(y, x) += (v - tone.zero) / tone.gain;
          num(y, x) += 1;
        }
      }
    }
    Image mean(scene_.size());
    for (int y = 0; y < sum.rows; ++y) {
      for (int x = 0; x < sum.cols; ++x) {
        const bool seen = num(y, x) > 0.9 * static_cast<double>(end - begin);
        mean(y, x) = seen ? static_cast<float>(sum(y, x) / num(y, x)) : kNothing;
      }
    }
    return mean;
  }

  // Slope of a frame's detail over the scene's; the zero from the levels themselves.
  void FitFrames() {
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      Tone& tone = ToneOf(i);
      const Image own = Detail(samples_[i].shown, options_.around);
      std::vector<double> x, y, calm;
      for (int r = 0; r < own.rows; ++r) {
        for (int c = 0; c < own.cols; ++c) {
          if (!std::isfinite(own(r, c)) || !std::isfinite(detail_(r, c))) continue;
          x.push_back(static_cast<double>(detail_(r, c)));
          y.push_back(static_cast<double>(own(r, c)));
          calm.push_back(static_cast<double>(calm_(r, c)));
        }
      }
      if (x.size() < kLeastPlaces) continue;
      tone.gain = Slope(x, y, calm, tone.gain);
      std::vector<double> rest;
      for (int r = 0; r < own.rows; ++r) {
        for (int c = 0; c < own.cols; ++c) {
          const auto v = static_cast<double>(samples_[i].shown(r, c));
          const auto s = static_cast<double>(scene_(r, c));
          const bool counts = std::isfinite(v) && std::isfinite(s) && calm_(r, c) > 0.5F;
          if (counts) rest.push_back(v - tone.gain * s);
        }
      }
      tone.zero = internal::MedianInPlace(rest);
    }
  }

  static double Slope(const std::vector<double>& x,
                      const std::vector<double>& y,
                      const std::vector<double>& calm,
                      double slope) {
    std::vector<double> rest(x.size());
    for (int round = 0; round < kReweighted; ++round) {
      for (std::size_t i = 0; i < x.size(); ++i) rest[i] = std::abs(y[i] - slope * x[i]);
      std::vector<double> sizes = rest;
      const double sigma = internal::kSigmasPerMad * internal::MedianInPlace(sizes) + 1e-12;
      double xx = 0, xy = 0;
      for (std::size_t i = 0; i < x.size(); ++i) {
        const double w = calm[i] * internal::TukeyWeight(rest[i], sigma);
        xx += w * x[i] * x[i];
        xy += w * x[i] * y[i];
      }
      if (xx > 0 && xy > 0) slope = xy / xx;
    }
    return slope;
  }

  // Scene and tones share a scale and a zero: those of the first frames stay.
  void Normalise() {
    const std::size_t num = std::min(kFirstFrames, samples_.size());
    double gain = 0, before = 0;
    for (std::size_t i = 0; i < num; ++i) {
      gain += ToneOf(i).gain;
      before += start_.of_frame[static_cast<std::size_t>(samples_[i].frame)].gain;
    }
    const double factor = before / gain;
    for (std::size_t i = 0; i < samples_.size(); ++i) ToneOf(i).gain *= factor;
    double moved = 0;
    for (std::size_t i = 0; i < num; ++i) {
      const Tone& was = start_.of_frame[static_cast<std::size_t>(samples_[i].frame)];
      moved += (ToneOf(i).zero - was.zero) / ToneOf(i).gain / static_cast<double>(num);
    }
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      ToneOf(i).zero -= moved * ToneOf(i).gain;
    }
  }

  const std::vector<ToneSample>& samples_;
  const ToneOptions& options_;
  Tones tones_;
  Tones start_;
  Image scene_;   // Before the heat, on the common scale.
  Image detail_;  // Of the scene.
  Image calm_;    // How much each place is trusted not to warm.
};

}  // namespace

Tones SolveTones(const std::vector<ToneSample>& samples, Tones start, const ToneOptions& options) {
  options.Validate();
  if (samples.empty()) return start;
  return Solver(samples, std::move(start), options).Run();
}

}  // namespace ohmglow
