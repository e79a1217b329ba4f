// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "filmed_pages.h"

#include <algorithm>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr std::uint64_t kMostTableBytes = 64ULL << 20;

class FilmedPages final : public CountPages {
 public:
  FilmedPages(std::unique_ptr<CountPages> frames, std::vector<double> times_s)
      : frames_(std::move(frames)), times_s_(std::move(times_s)) {}

  [[nodiscard]] int count() const override { return frames_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return frames_->size_px(); }
  [[nodiscard]] int type() const override { return frames_->type(); }
  void Read(int page, cv::Mat& counts) override { frames_->Read(page, counts); }
  [[nodiscard]] std::vector<double> times_s() const override { return times_s_; }

 private:
  std::unique_ptr<CountPages> frames_;
  std::vector<double> times_s_;
};

// The times of all whole rows, up to the first that is none.
std::vector<double> WholeRows(const std::string& text) {
  std::vector<double> times_s;
  std::size_t begin = text.find('\n') + 1;  // After the header.
  while (begin != 0 && begin < text.size()) {
    const auto end = text.find('\n', begin);
    if (end == std::string::npos) break;  // Torn.
    const auto comma = text.find(',', begin);
    if (comma >= end) break;
    const auto time_s =
        ParseNumber(Trim(std::string_view(text).substr(comma + 1, end - comma - 1)));
    if (!time_s || (!times_s.empty() && *time_s <= times_s.back())) break;
    times_s.push_back(*time_s);
    begin = end + 1;
  }
  return times_s;
}

}  // namespace

std::unique_ptr<CountPages> OpenFilmed(const std::filesystem::path& source,
                                       const std::filesystem::path& times,
                                       const FrameFormat& format) {
  std::vector<double> times_s =
      WholeRows(ByteSource(times, "frames.growing").ReadAll(kMostTableBytes));
  const ByteSource file(source, "frames.source");
  if (format.width_px < 1 || format.height_px < 1) {
    throw InputError(source.string() +
                     ": a growing recording needs frames.width_px and frames.height_px");
  }
  const std::uint64_t frame = static_cast<std::uint64_t>(format.width_px) *
                              static_cast<std::uint64_t>(format.height_px) *
                              SampleBytes(format.sample.type);
  const std::uint64_t whole = std::min<std::uint64_t>(file.size() / frame, times_s.size());
  if (whole == 0) {
    throw InputError(source.string() + ": holds no whole frame that has a time in " +
                     times.string() + "; the recording broke off at once, film again");
  }
  times_s.resize(whole);
  const ByteSource part = file.Part(0, whole * frame, source.string());
  FrameFormat plain = format;
  plain.offset_bytes = 0;
  plain.gap_bytes = 0;
  auto frames = std::make_unique<FlatPages>(part, ReadRawLayout(part, plain));
  return std::make_unique<FilmedPages>(std::move(frames), std::move(times_s));
}

}  // namespace ohmglow
