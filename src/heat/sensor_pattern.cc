// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "base/decompose.h"
#include "base/in_parallel.h"
#include "heat/directions.h"
#include "heat/frame_warp.h"
#include "heat/row_mix.h"
#include "heat/stack.h"

namespace ohmglow {
namespace {

// Below this spread of the motion the pattern stays put and is part of the
// static scene.
constexpr double kLeastMotionPx = 0.05;
// Bins are taken together to about this many groups: it sets the cost.
constexpr int kMostGroups = 48;
// Blocks whose courses tell how the scene as a whole changes.
constexpr int kBlockPx = 4;
constexpr int kCommonCourses = 2;
// ... unless the view moves further than this meanwhile.
constexpr double kSteadyGroupPx = 0.15;
constexpr int kStripRows = 4;
// Parts of the picture that are summed up apart, on as many threads as there are.
constexpr int kZones = 4;

double Spread(const Similarity& a, const Similarity& b, cv::Size size) {
  const double turn_px =
      std::abs(a.rotation_deg - b.rotation_deg) * std::numbers::pi / 180 * 0.5 * size.width;
  const double zoom_px = std::abs(a.scale - b.scale) * 0.5 * size.width;
  return std::hypot(a.dx_px - b.dx_px, a.dy_px - b.dy_px) + turn_px + zoom_px;
}

// Some neighbouring bins taken together: the pattern does not change, and in
// so short a time the camera hardly moves.
struct Group {
  Image mean_k;
  double num_frames = 0;
  double time_s = 0;
  int segment = 0;
  std::vector<Warp> warps;  // sensor from reference, one or a few
};

std::vector<Group> MakeGroups(const Stack& stack) {
  const int per_group = (stack.size() + kMostGroups - 1) / kMostGroups;
  std::vector<Group> groups;
  for (int begin = 0; begin < stack.size();) {
    Group group;
    group.segment = stack.segment[static_cast<std::size_t>(begin)];
    group.mean_k = Image(stack.size_px(), 0.0F);
    int end = begin;
    const Similarity& first = stack.poses[static_cast<std::size_t>(begin)].front();
    while (end < stack.size() && end - begin < per_group &&
           stack.segment[static_cast<std::size_t>(end)] == group.segment &&
           (end == begin ||
            Spread(stack.poses[static_cast<std::size_t>(end)].back(), first, stack.size_px()) <
                kSteadyGroupPx)) {
      const auto b = static_cast<std::size_t>(end++);
      const double frames = stack.num_frames[b];
      group.mean_k += frames * (stack.bins_k[b] - cv::mean(stack.bins_k[b])[0]);
      group.time_s += frames * stack.time_s[b];
      group.num_frames += frames;
    }
    group.mean_k /= group.num_frames;
    group.time_s /= group.num_frames;
    std::vector<Similarity> poses = stack.poses[static_cast<std::size_t>((begin + end) / 2)];
    if (Spread(poses.front(), poses.back(), stack.size_px()) < kSteadyGroupPx) {
      poses = {poses[poses.size() / 2]};
    }
    for (const Similarity& pose : poses) {
      group.warps.emplace_back(pose.Matrix(stack.size_px()), stack.size_px());
    }
    groups.push_back(std::move(group));
    begin = end;
  }
  return groups;
}

// Adds `factor` times the mean of what some warps make of a picture.
void AddMean(
    const Image& from, const std::vector<Warp>& warps, float factor, cv::Range rows, float* onto) {
  const float each = factor / static_cast<float>(warps.size());
  for (const Warp& warp : warps) warp.AddLinear(from, each, rows.start, rows.size(), onto);
}

// The normal equations of the pattern after the scene has been eliminated.
class PatternSystem {
 public:
  PatternSystem(const std::vector<Group>& groups, const Mask& seen, const HeatOptions& options)
      : groups_(groups), unseen_(Mask(seen == 0)), ridge_(options.pattern_ridge) {
    BuildScene(options.pattern_modes);
    AddCommonCourses();
  }

  [[nodiscard]] Image RightSide() const {
    return Adjoint([&](const Group& group, float weight, cv::Range rows, float* out) {
      const float* values = group.mean_k[rows.start];
      for (int i = 0; i < rows.size() * unseen_.cols; ++i) out[i] = weight * values[i];
    });
  }

  [[nodiscard]] Image Apply(const Image& pattern) const {
    const Image sum = Adjoint([&](const Group& group, float weight, cv::Range rows, float* out) {
      std::fill_n(out, rows.size() * unseen_.cols, 0.0F);
      AddMean(pattern, group.warps, weight, rows, out);
    });
    return Image(sum + ridge_ * pattern);
  }

 private:
  // Sum_b W_b^T n_b (I - scene) bins, per frame; a strip of rows after the
  // other, so that a strip of all bins stays in the cache.
  // @param fill  writes some rows of a bin times a weight.
  template <typename Fill>
  [[nodiscard]] Image Adjoint(const Fill& fill) const {
    const cv::Size size = unseen_.size();
    const auto num = static_cast<Eigen::Index>(groups_.size());
    const Eigen::MatrixXf into_scene = scene_.transpose();
    const Eigen::MatrixXf out_of_scene = -scene_;
    // A zone of strips after the other, the same whatever the number of threads.
    const int num_strips = (size.height + kStripRows - 1) / kStripRows;
    const auto add_zone = [&](int zone, Image& sum) {
      PixelRows z;
      for (int strip = num_strips * zone / kZones; strip < num_strips * (zone + 1) / kZones;
           ++strip) {
        const int first = strip * kStripRows;
        const cv::Range rows(first, std::min(first + kStripRows, size.height));
        z.resize(num, static_cast<Eigen::Index>(rows.size()) * size.width);
        for (Eigen::Index b = 0; b < num; ++b) {
          fill(groups_[static_cast<std::size_t>(b)], weight_(b), rows, z.row(b).data());
        }
        const PixelRows scene = Mixed(into_scene, z);
        MixRows(out_of_scene, scene.data(), scene.cols(), scene.cols(), true, z.data(), z.cols());
        const std::vector<Eigen::Index> gaps = UnseenIn(first, z.cols());
        for (Eigen::Index b = 0; b < num; ++b) {
          float* own = z.row(b).data();
          for (const Eigen::Index i : gaps) own[i] = 0;
          const std::vector<Warp>& warps = groups_[static_cast<std::size_t>(b)].warps;
          const float each = weight_(b) / static_cast<float>(warps.size());
          for (const Warp& warp : warps) warp.SpreadLinear(own, each, first, rows.size(), sum);
        }
      }
    };
    std::array<Image, kZones> sums;
    internal::InParallel(kZones, [&](int zone) {
      Image& sum = sums[static_cast<std::size_t>(zone)];
      sum = Image(size, 0.0F);
      add_zone(zone, sum);
    });
    for (std::size_t zone = 1; zone < kZones; ++zone) sums[0] += sums[zone];
    return Image(sums[0] * (1.0 / total_frames_));
  }

  // Places, from the begin of a row on, that were not seen.
  [[nodiscard]] std::vector<Eigen::Index> UnseenIn(int row, Eigen::Index count) const {
    std::vector<Eigen::Index> gaps;
    const unsigned char* unseen = unseen_[row];
    for (Eigen::Index i = 0; i < count; ++i) {
      if (unseen[i] != 0) gaps.push_back(i);
    }
    return gaps;
  }

  // Orthonormal weighted basis of the scene's course in time: slow cosines
  // and an offset per shutter segment.
  void BuildScene(int num_cosines) {
    const auto num = static_cast<Eigen::Index>(groups_.size());
    const int num_segments = groups_.back().segment - groups_.front().segment + 1;
    Eigen::MatrixXd basis(num, num_cosines + num_segments - 1);
    weight_.resize(num);
    const double first_s = groups_.front().time_s;
    const double span_s = std::max(groups_.back().time_s - first_s, 1e-9);
    for (Eigen::Index b = 0; b < num; ++b) {
      const Group& group = groups_[static_cast<std::size_t>(b)];
      const double w = std::sqrt(group.num_frames);
      weight_(b) = static_cast<float>(w);
      total_frames_ += group.num_frames;
      const double phase = std::numbers::pi * (group.time_s - first_s) / span_s;
      for (int j = 0; j < num_cosines; ++j) basis(b, j) = w * std::cos(j * phase);
      for (int s = 1; s < num_segments; ++s) {
        basis(b, num_cosines + s - 1) = group.segment - groups_.front().segment == s ? w : 0.0;
      }
    }
    scene_ = Orthonormal(basis).cast<float>();
  }

  // What the cosines leave of the strongest courses in the picture: steps of
  // the heating. Without them a strong spot's steps would be laid to the
  // pattern, by as much as a third of the spot where the view moves little.
  void AddCommonCourses() {
    const auto num = static_cast<Eigen::Index>(groups_.size());
    const cv::Size coarse(std::max(1, unseen_.cols / kBlockPx),
                          std::max(1, unseen_.rows / kBlockPx));
    Eigen::MatrixXf courses(num, static_cast<Eigen::Index>(coarse.area()));
    for (Eigen::Index b = 0; b < num; ++b) {
      Image seen_k = groups_[static_cast<std::size_t>(b)].mean_k.clone();
      seen_k.setTo(0, unseen_);
      Image blocks;
      cv::resize(seen_k, blocks, coarse, 0, 0, cv::INTER_AREA);
      courses.row(b) =
          weight_(b) * Eigen::Map<const Eigen::RowVectorXf>(blocks.ptr<float>(), coarse.area());
    }
    courses -= scene_ * (scene_.transpose() * courses).eval();
    const SymmetricModes<float> modes = ModesOf(Eigen::MatrixXf(courses * courses.transpose()));
    const Eigen::Index room = std::min<Eigen::Index>(kCommonCourses, num - scene_.cols() - 2);
    if (room <= 0) return;
    Eigen::MatrixXf larger(num, scene_.cols() + room);
    larger << scene_, modes.vectors.rightCols(room);
    scene_ = std::move(larger);
  }

  const std::vector<Group>& groups_;
  Mask unseen_;
  double ridge_;
  double total_frames_ = 0;
  Eigen::VectorXf weight_;
  Eigen::MatrixXf scene_;
};

bool Moves(const Stack& stack) {
  for (const std::vector<Similarity>& poses : stack.poses) {
    if (Spread(poses.front(), stack.poses.front().front(), stack.size_px()) > kLeastMotionPx) {
      return true;
    }
  }
  return false;
}

}  // namespace

Image RemoveSensorPattern(Stack& stack, const HeatOptions& options) {
  const cv::Size size = stack.size_px();
  Image pattern(size, 0.0F);
  if (!Moves(stack) || stack.size() < 8) return pattern;
  const std::vector<Group> groups = MakeGroups(stack);
  const PatternSystem system(groups, stack.seen, options);
  Image residual = system.RightSide();
  Image direction = residual.clone();
  double energy = residual.dot(residual);
  const double enough = 1e-8 * energy;
  for (int i = 0; i < options.pattern_iterations && energy > enough; ++i) {
    const Image product = system.Apply(direction);
    const double step = energy / direction.dot(product);
    if (!(step > 0)) break;  // rounding alone is left
    pattern += step * direction;
    residual -= step * product;
    const double next = residual.dot(residual);
    direction = Image(residual + (next / energy) * direction);
    energy = next;
  }
  internal::InParallel(stack.size(), [&](int bin) {
    const auto b = static_cast<std::size_t>(bin);
    std::vector<Warp> warps;
    for (const Similarity& pose : stack.poses[b]) warps.emplace_back(pose.Matrix(size), size);
    AddMean(pattern, warps, -1, {0, size.height}, stack.bins_k[b].ptr<float>());
  });
  return pattern;
}

}  // namespace ohmglow
