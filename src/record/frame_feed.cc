// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/frame_feed.h"

#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstring>
#include <utility>

#include "ohmglow/base/error.h"
#include "record/link.h"

namespace ohmglow::record {
namespace {

bool ReadWhole(const std::string& text, int low, int& value) {
  const auto [rest, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  return code == std::errc() && rest == text.data() + text.size() && value >= low &&
         value <= kLargestSidePx;
}

std::vector<std::string> Split(const std::string& text, char at) {
  std::vector<std::string> pieces(1);
  for (const char c : text) {
    if (c == at) {
      pieces.emplace_back();
    } else {
      pieces.back() += c;
    }
  }
  return pieces;
}

class DescriptorFeed final : public FrameFeed {
 public:
  DescriptorFeed(int fd, FrameFormat format)
      : fd_(fd),
        format_(std::move(format)),
        frame_bytes_(static_cast<std::size_t>(format_.width_px) *
                     static_cast<std::size_t>(format_.height_px) *
                     SampleBytes(format_.sample.type)) {
    // Room for a second of frames, where the system grants it: a short stop here drops none.
    ::fcntl(fd_, F_SETPIPE_SZ, 1 << 20);
    static_cast<void>(Cropped(cv::Mat(format_.height_px, format_.width_px, CV_8U), format_));
  }

  std::vector<ArrivedFrame> Take() override {
    std::vector<ArrivedFrame> frames;
    char bytes[65536];
    for (pollfd in{fd_, POLLIN, 0}; !ended_ && ::poll(&in, 1, 0) > 0;) {
      const ssize_t got = ::read(fd_, bytes, sizeof bytes);
      if (got < 0 && errno == EINTR) continue;
      if (got <= 0) {
        ended_ = true;
        break;
      }
      waiting_.append(bytes, static_cast<std::size_t>(got));
      while (waiting_.size() >= frame_bytes_) frames.push_back(Next());
    }
    return frames;
  }

  [[nodiscard]] int fd() const override { return ended_ ? -1 : fd_; }
  [[nodiscard]] bool ended() const override { return ended_; }
  [[nodiscard]] std::string Incomplete() const override {
    return std::to_string(waiting_.size()) + " of the " + std::to_string(frame_bytes_) +
           " bytes that --format asks for";
  }

 private:
  ArrivedFrame Next() {
    cv::Mat counts(format_.height_px, format_.width_px, CountType(format_.sample.type));
    ToCounts(waiting_.data(), format_.sample, counts);
    waiting_.erase(0, frame_bytes_);
    last_s_ = std::max(NowSeconds(), last_s_ + kLeastStepS);
    return {last_s_, Cropped(std::move(counts), format_)};
  }

  int fd_;
  FrameFormat format_;
  std::size_t frame_bytes_;
  std::string waiting_;
  double last_s_ = 0;
  bool ended_ = false;
};

}  // namespace

cv::Mat Cropped(cv::Mat counts, const FrameFormat& format) {
  if (format.crop_px.area() == 0) return counts;
  const cv::Rect whole({0, 0}, counts.size());
  if ((format.crop_px & whole) != format.crop_px) {
    throw OptionError("--crop reaches beyond frames of " + std::to_string(whole.width) + " x " +
                      std::to_string(whole.height) + " px");
  }
  return counts(format.crop_px).clone();
}

FrameFormat ParseRawFormat(const std::string& text) {
  FrameFormat format;
  const auto colon = text.find(':');
  const auto sides = Split(text.substr(0, colon), 'x');
  const auto sample =
      ParseSampleFormat(colon == std::string::npos ? "u16le" : text.substr(colon + 1));
  if (sides.size() != 2 || !ReadWhole(sides[0], 1, format.width_px) ||
      !ReadWhole(sides[1], 1, format.height_px) || !sample) {
    throw OptionError("--format '" + text +
                      "': give WIDTHxHEIGHT:TYPE, such as 256x192:u16le (u8, u16le, u16be, i16le, "
                      "f32le ...)");
  }
  format.sample = *sample;
  return format;
}

cv::Rect ParseCrop(const std::string& text) {
  const auto numbers = Split(text, ',');
  int values[4] = {0, 0, 0, 0};
  bool good = numbers.size() == 4;
  for (std::size_t k = 0; good && k < 4; ++k)
    good = ReadWhole(numbers[k], k < 2 ? 0 : 1, values[k]);
  if (!good) throw OptionError("--crop '" + text + "': give X,Y,WIDTH,HEIGHT in pixels");
  return {values[0], values[1], values[2], values[3]};
}

std::unique_ptr<FrameFeed> FeedFromDescriptor(int fd, const FrameFormat& format) {
  return std::make_unique<DescriptorFeed>(fd, format);
}

FilmRate JudgeRate(const std::vector<double>& times_s) {
  FilmRate rate;
  rate.frames = static_cast<int>(times_s.size());
  if (times_s.size() < 3) return rate;
  std::vector<double> steps;
  for (std::size_t i = 1; i < times_s.size(); ++i) steps.push_back(times_s[i] - times_s[i - 1]);
  std::vector<double> sorted = steps;
  std::sort(sorted.begin(), sorted.end());
  const double usual_s = sorted[sorted.size() / 2];
  if (!(usual_s > 0)) return rate;
  rate.rate_hz = 1 / usual_s;
  rate.latest_s = sorted.back() - usual_s;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    // A late frame is made up for by the next; what is not is missing.
    const double both = i + 1 < steps.size() ? steps[i] + steps[i + 1] - usual_s : steps[i];
    if (steps[i] > 1.6 * usual_s) {
      rate.dropped += std::max(0, static_cast<int>(std::lround(both / usual_s)) - 1);
    }
  }
  return rate;
}

}  // namespace ohmglow::record
