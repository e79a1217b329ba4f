// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture_file.h"

#include <tiffio.h>

#include <cstring>
#include <string>
#include <utility>

#include "count_pages.h"
#include "jpeg_codec.h"
#include "ohmglow/base/error.h"
#include "png_codec.h"
#include "tiff_handle.h"

namespace ohmglow {
namespace {

constexpr std::uint64_t kMostBytes = std::uint64_t{512} << 20U;

[[noreturn]] void Damaged(const std::string& name) {
  throw InputError(name + ": the picture is cut short or damaged; copy it again");
}

// The first page, with libtiff's own conversion to colours of 8 bits.
cv::Mat ReadTiffPicture(const ByteSource& file) {
  const TiffHandle handle(file);
  if (handle.get() == nullptr || TIFFSetDirectory(handle.get(), 0) != 1) Damaged(file.name());
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  TIFFGetField(handle.get(), TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(handle.get(), TIFFTAG_IMAGELENGTH, &height);
  CheckSize(file.name(), width, height);
  CheckPageBytes(file.name(), std::uint64_t{4} * width * height, file.size());
  // Packed as red in the lowest byte, then green, blue and alpha.
  cv::Mat_<cv::Vec4b> rgba(static_cast<int>(height), static_cast<int>(width));
  if (TIFFReadRGBAImageOriented(
          handle.get(), width, height, rgba.ptr<std::uint32_t>(), ORIENTATION_TOPLEFT, 1) != 1) {
    Damaged(file.name());
  }
  for (cv::Vec4b& pixel : rgba) {
    std::uint32_t packed = 0;
    std::memcpy(&packed, pixel.val, sizeof packed);
    pixel = {static_cast<unsigned char>(TIFFGetB(packed)),
             static_cast<unsigned char>(TIFFGetG(packed)),
             static_cast<unsigned char>(TIFFGetR(packed)),
             static_cast<unsigned char>(TIFFGetA(packed))};
  }
  return rgba;
}

}  // namespace

cv::Mat ReadPicture(const ByteSource& file, std::string_view named_by) {
  const std::string start = file.Peek(0, 4);
  if (IsTiff(start)) return ReadTiffPicture(file);
  if (start == "\x89PNG") return DecodePng(file.ReadAll(kMostBytes), file.name());
  if (start.starts_with("\xFF\xD8\xFF")) return DecodeJpeg(file.ReadAll(kMostBytes), file.name());
  if (start.empty()) throw InputError(file.name() + ": is empty; copy it again");
  throw InputError(file.name() + ": is no picture that can be read (named by " +
                   std::string(named_by) + "); save it as PNG or JPEG");
}

}  // namespace ohmglow
