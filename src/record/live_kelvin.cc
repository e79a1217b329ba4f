// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/live_kelvin.h"

#include <string>

#include "input/case_keys.h"
#include "input/load_case.h"
#include "ohmglow/base/error.h"

namespace ohmglow::record {

// One page that changes.
class NewestPage final : public CountPages {
 public:
  explicit NewestPage(const cv::Mat& first) { first.copyTo(counts_); }
  [[nodiscard]] int count() const override { return 1; }
  [[nodiscard]] cv::Size size_px() const override { return counts_.size(); }
  [[nodiscard]] int type() const override { return counts_.type(); }
  void Read(int, cv::Mat& counts) override { counts_.copyTo(counts); }
  void Put(const cv::Mat& counts) { counts.copyTo(counts_); }

 private:
  cv::Mat counts_;
};

LiveKelvin::LiveKelvin(const std::string& text,
                       const std::filesystem::path& folder,
                       const cv::Mat& first) {
  auto page = std::make_unique<NewestPage>(first);
  page_ = page.get();
  job_ = ReadCase(IniFile(folder / "board", text, CaseKeys()), folder, std::move(page));
  if (job_.frames->values() != FrameValues::kKelvin) {
    throw InputError(
        "the frames hold no temperatures, so that no limit of temperature could be kept; let the "
        "camera give counts of known scale, and name it as scale and zero under [frames]");
  }
}

LiveKelvin::~LiveKelvin() = default;

const Image& LiveKelvin::Convert(const cv::Mat& counts) {
  page_->Put(counts);
  job_.frames->Read(0, kelvin_);
  return kelvin_;
}

}  // namespace ohmglow::record
