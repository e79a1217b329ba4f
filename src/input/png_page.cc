// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "png_page.h"

#include <utility>

#include "ohmglow/base/error.h"
#include "png_codec.h"

namespace ohmglow {
namespace {

constexpr std::size_t kHeaderBytes = 29;
constexpr std::uint64_t kMostPageBytes = std::uint64_t{1} << 30U;

}  // namespace

PngPage::PngPage(ByteSource file) : file_(std::move(file)) {
  const PngHeader header = ReadPngHeader(file_.Peek(0, kHeaderBytes), file_.name());
  if (header.colour_type != 0 || (header.bits != 8 && header.bits != 16)) {
    throw InputError(file_.name() + ": is not a grey picture of 8 or 16 bits (colour type " +
                     std::to_string(header.colour_type) + ", " + std::to_string(header.bits) +
                     " bits); save the measured values, not the picture");
  }
  size_px_ = header.size_px;
  type_ = header.bits == 16 ? CV_16U : CV_8U;
}

void PngPage::Read(int /*page*/, cv::Mat& counts) {
  counts = DecodePng(file_.ReadAll(kMostPageBytes), file_.name());
  if (counts.size() != size_px_ || counts.type() != type_) {
    throw InputError(file_.name() +
                     ": has transparent values or is damaged; save it as plain grey");
  }
}

}  // namespace ohmglow
