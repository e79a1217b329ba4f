// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/what_if.h"

#include <algorithm>
#include <memory>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

constexpr std::size_t kFewestFrames = 24;

// Some frames of a source, in their order.
class SomeFrames final : public FrameSource {
 public:
  SomeFrames(std::shared_ptr<FrameSource> all, std::vector<int> kept)
      : all_(std::move(all)), kept_(std::move(kept)) {}
  [[nodiscard]] int count() const override { return static_cast<int>(kept_.size()); }
  [[nodiscard]] cv::Size size_px() const override { return all_->size_px(); }
  [[nodiscard]] FrameValues values() const override { return all_->values(); }
  [[nodiscard]] std::optional<ValueRange> range() const override { return all_->range(); }
  void Read(int index, Image& kelvin) override { all_->Read(At(index), kelvin); }
  [[nodiscard]] std::string Problem(int index) const override { return all_->Problem(At(index)); }

 private:
  [[nodiscard]] int At(int index) const { return kept_[static_cast<std::size_t>(index)]; }

  std::shared_ptr<FrameSource> all_;
  std::vector<int> kept_;
};

bool Inside(const std::vector<LeftOut::Span>& spans, double time_s) {
  return std::any_of(spans.begin(), spans.end(), [&](const LeftOut::Span& span) {
    return time_s >= span.from_s && time_s <= span.to_s;
  });
}

}  // namespace

Case Without(Case job, const LeftOut& out) {
  std::vector<Contact> contacts;
  for (std::size_t i = 0; i < job.contacts.size(); ++i) {
    if (!out.contacts.contains(i)) contacts.push_back(job.contacts[i]);
  }
  job.contacts = std::move(contacts);
  std::erase_if(job.parts, [&](const Part& part) { return out.parts.contains(part.ref); });
  if (out.spans.empty()) return job;
  std::vector<int> kept;
  std::vector<double> times_s;
  for (std::size_t i = 0; i < job.frame_times_s.size(); ++i) {
    if (Inside(out.spans, job.frame_times_s[i])) continue;
    kept.push_back(static_cast<int>(i));
    times_s.push_back(job.frame_times_s[i]);
  }
  if (kept.size() < kFewestFrames)
    throw OptionError("too few frames would be left; leave out less");
  job.frames = std::make_shared<SomeFrames>(job.frames, std::move(kept));
  job.frame_times_s = std::move(times_s);
  return job;
}

}  // namespace ohmglow::desk
