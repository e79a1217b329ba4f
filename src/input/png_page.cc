// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "png_page.h"

#include <opencv2/imgcodecs.hpp>
#include <utility>

#include "binary_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Signature, length and name of the first chunk, its 13 bytes.
constexpr std::size_t kHeaderLength = 8 + 8 + 13;

// Most significant byte first: PNG Specification 1.2, section 2.1.
std::uint32_t Number(const std::string& bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    value = (value << 8U) | static_cast<unsigned char>(bytes[at + i]);
  }
  return value;
}

[[noreturn]] void CutShort(const std::filesystem::path& file) {
  throw InputError(file.string() + ": the picture is cut short or damaged; copy it again");
}

}  // namespace

PngPage::PngPage(std::filesystem::path file) : file_(std::move(file)) {
  const std::string header = BinaryFile(file_).Peek(0, kHeaderLength);
  if (header.size() < kHeaderLength || header.substr(12, 4) != "IHDR") CutShort(file_);
  const std::uint32_t width = Number(header, 16);
  const std::uint32_t height = Number(header, 20);
  const int depth = header[24];
  const int colour = header[25];
  CheckSize(file_.string(), width, height);
  if (colour != 0 || (depth != 8 && depth != 16)) {
    throw InputError(file_.string() + ": is not a grey picture of 8 or 16 bits (colour type " +
                     std::to_string(colour) + ", " + std::to_string(depth) +
                     " bits); save the measured values, not the picture");
  }
  size_px_ = {static_cast<int>(width), static_cast<int>(height)};
  type_ = depth == 16 ? CV_16U : CV_8U;
}

void PngPage::Read(int /*page*/, cv::Mat& counts) {
  RequireWholePng(file_);
  try {
    counts = cv::imread(file_.string(), cv::IMREAD_UNCHANGED);
  } catch (const cv::Exception&) {
    CutShort(file_);
  }
  if (counts.size() != size_px_ || counts.type() != type_) CutShort(file_);
}

void RequireWholePng(const std::filesystem::path& file) {
  BinaryFile stream(file);
  for (std::uint64_t at = 8;;) {
    const std::string chunk = stream.Peek(at, 8);
    if (chunk.size() < 8) CutShort(file);
    at += 12 + static_cast<std::uint64_t>(Number(chunk, 0));
    if (at > stream.size()) CutShort(file);
    if (chunk.substr(4) == "IEND") return;
  }
}

}  // namespace ohmglow
