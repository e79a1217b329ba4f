// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/screening_cover.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "align/screening_events.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow::internal {
namespace {

constexpr double kLeastStep_k = 1.0;   // A skin or tool differs by more where it covers a block.
constexpr double kLeastSigmas = 12;    // And by this many times a pixel's noise.
constexpr double kGoneShare = 0.3;     // Of the least step and of its own: looks as before.
constexpr std::size_t kLag = 6;        // Frames within which it has come.
constexpr std::size_t kRest = 3;       // Frames averaged into the level before.
constexpr int kLeastBlocks = 2;        // Of 48: 4 % of the picture.
constexpr double kSudden = 0.6;        // Share of the later change that has come by then.
constexpr double kLongestShare = 0.3;  // Of the capture; more than that is another scene.

class Cover {
 public:
  Cover(const std::vector<FrameProfile>& profiles, double noise_k)
      : p_(profiles), limit_k_(std::max(kLeastStep_k, kLeastSigmas * noise_k)) {}

  struct Span {
    std::size_t begin = 0, end = 0;  // Profiles; end is one past.
    int most_blocks = 0;
    double step_k = 0;
    bool left = false;  // It went away again.
  };

  [[nodiscard]] std::vector<Span> Find() const {
    std::vector<Span> spans;
    Blocks rest_k{};
    std::size_t clear_from = 0;
    for (std::size_t i = 1; i < p_.size(); ++i) {
      // While it is away for a moment only, what was before it is the level to compare with.
      if (spans.empty() || i >= clear_from + kLag + kRest) {
        rest_k = LevelBefore(std::max(clear_from, i > kLag ? i - kLag : 0) + 1);
      }
      if (!Comes(i, rest_k)) continue;
      const Span span = Follow(i, rest_k);
      spans.push_back(span);
      if (!span.left) break;
      clear_from = span.end;
      i = std::max(i, span.end);
    }
    return spans;
  }

 private:
  // Mean of the last frames before profile `end`.
  [[nodiscard]] Blocks LevelBefore(std::size_t end) const {
    Blocks level{};
    const std::size_t begin = end > kRest ? end - kRest : 0;
    for (std::size_t i = begin; i < end; ++i) {
      for (std::size_t b = 0; b < kBlocks; ++b) {
        level[b] += static_cast<double>(p_[i].block_k[b]) / static_cast<double>(end - begin);
      }
    }
    return level;
  }

  [[nodiscard]] double Off(std::size_t i, std::size_t b, const Blocks& rest_k) const {
    return static_cast<double>(p_[i].block_k[b]) - rest_k[b];
  }

  // Beyond everything that was seen in and around the block before.
  [[nodiscard]] bool IsForeign(std::size_t i, std::size_t b, const Blocks& rest_k) const {
    double low = rest_k[b], high = rest_k[b];
    const int row = static_cast<int>(b) / kBlockColumns,
              column = static_cast<int>(b) % kBlockColumns;
    for (int r = std::max(0, row - 1); r <= std::min(kBlockRows - 1, row + 1); ++r) {
      for (int c = std::max(0, column - 1); c <= std::min(kBlockColumns - 1, column + 1); ++c) {
        const double level = rest_k[static_cast<std::size_t>(r * kBlockColumns + c)];
        low = std::min(low, level);
        high = std::max(high, level);
      }
    }
    const double now = static_cast<double>(p_[i].block_k[b]);
    return now > high + limit_k_ || now < low - limit_k_;
  }

  [[nodiscard]] bool IsSudden(std::size_t i, std::size_t b, const Blocks& rest_k) const {
    const double now = std::abs(Off(i, b, rest_k));
    const std::size_t later = std::min(i + 3 * kLag, p_.size() - 1);
    return now > kSudden * std::abs(Off(later, b, rest_k));
  }

  [[nodiscard]] static bool AtRim(std::size_t b) {
    const int row = static_cast<int>(b) / kBlockColumns,
              column = static_cast<int>(b) % kBlockColumns;
    return row == 0 || row == kBlockRows - 1 || column == 0 || column == kBlockColumns - 1;
  }

  [[nodiscard]] bool Comes(std::size_t i, const Blocks& rest_k) const {
    int blocks = 0;
    bool rim = false;
    for (std::size_t b = 0; b < kBlocks; ++b) {
      if (!IsForeign(i, b, rest_k) || !IsSudden(i, b, rest_k)) continue;
      ++blocks;
      rim = rim || AtRim(b);
    }
    return blocks >= kLeastBlocks && rim;
  }

  [[nodiscard]] int Covered(std::size_t i, const Blocks& rest_k, double limit_k) const {
    int blocks = 0;
    for (std::size_t b = 0; b < kBlocks; ++b) blocks += std::abs(Off(i, b, rest_k)) > limit_k;
    return blocks;
  }

  // Whether a block still differs by a good part of the most that it did. A
  // fault that warms or a camera that drifts meanwhile is no reason to go on.
  [[nodiscard]] bool StillThere(std::size_t i, const Blocks& rest_k, const Blocks& most_k) const {
    for (std::size_t b = 0; b < kBlocks; ++b) {
      if (most_k[b] < limit_k_) continue;
      if (std::abs(Off(i, b, rest_k)) > std::max(kGoneShare * limit_k_, kGoneShare * most_k[b])) {
        return true;
      }
    }
    return false;
  }

  // From where it is first seen to where all looks as before.
  [[nodiscard]] Span Follow(std::size_t i, const Blocks& rest_k) const {
    Span span;
    const std::size_t earliest = i > kLag + 1 ? i - kLag - 1 : 0;
    span.begin = i;
    while (span.begin > earliest && Covered(span.begin - 1, rest_k, kGoneShare * limit_k_) > 0) {
      --span.begin;
    }
    span.begin -= span.begin > 0 ? 1 : 0;  // Its tip may cover less than shows in a block's mean.
    Blocks most_k{};
    std::size_t k = i;
    for (; k < p_.size(); ++k) {
      span.most_blocks = std::max(span.most_blocks, Covered(k, rest_k, limit_k_));
      for (std::size_t b = 0; b < kBlocks; ++b) {
        const double off = Off(k, b, rest_k);
        most_k[b] = std::max(most_k[b], std::abs(off));
        if (std::abs(off) > std::abs(span.step_k)) span.step_k = off;
      }
      if (!StillThere(k, rest_k, most_k)) break;
    }
    span.left = k < p_.size();
    span.end = span.left ? k + 1 : k;
    const auto longest = static_cast<std::size_t>(kLongestShare * static_cast<double>(p_.size()));
    if (span.end - span.begin > std::max<std::size_t>(longest, 2 * kLag)) span.left = false;
    return span;
  }

  const std::vector<FrameProfile>& p_;
  double limit_k_;
};

Remark Describe(const Cover::Span& span) {
  return Remark(span.step_k > 0 ? RemarkKind::kCoveredWarmer : RemarkKind::kCoveredColder)
      .With("step_k", std::abs(span.step_k))
      .With("percent", std::ceil(100.0 * span.most_blocks / kBlocks));
}

}  // namespace

void FindCovered(const std::vector<FrameProfile>& profiles, Screening& result) {
  for (const Cover::Span& span : Cover(profiles, result.noise_k).Find()) {
    const bool short_end =
        span.end == profiles.size() &&
        span.end - span.begin <
            static_cast<std::size_t>(kLongestShare / 2 * static_cast<double>(profiles.size()));
    const bool exclude = span.left || short_end;
    ScreeningEvent event;
    event.kind = ScreeningEvent::Kind::kCovered;
    event.frame = profiles[span.begin].index;
    event.length = profiles[span.end - 1].index - event.frame + 1;
    event.step_k = span.step_k;
    event.what = Describe(span);
    if (!exclude) event.what = Remark(RemarkKind::kStaysCovered).With("what", event.what);
    result.report.events.push_back(event);
    if (!exclude) continue;
    for (std::size_t i = span.begin; i < span.end; ++i) {
      Exclude(profiles[i].index,
              ExcludedFrame::Kind::kCovered,
              Remark(RemarkKind::kFrameCovered),
              result);
    }
  }
}

}  // namespace ohmglow::internal
