// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "jpeg_codec.h"

#include <csetjmp>
#include <cstdio>
#include <cstdlib>
// jpeglib.h needs the types of <cstdio> before it.
#include <jpeglib.h>

#include <memory>
#include <stdexcept>

#include "count_pages.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

using std::string_view_literals::operator""sv;

constexpr std::string_view kExifMark = "Exif\0\0"sv;
// A block of 8 x 8 pixels takes a bit at least, ITU-T T.81, F.1.2.
constexpr std::uint64_t kMostPixelsPerByte = 8 * 64;

// libjpeg's one way back out of an error is a jump, so that no object with a
// destructor may live in the functions that call it.
struct Errors {
  jpeg_error_mgr base{};
  std::jmp_buf back{};
};

void JumpBack(j_common_ptr codec) {
  std::longjmp(reinterpret_cast<Errors*>(codec->err)->back, 1);  // NOLINT(cert-err52-cpp)
}

void DropMessage(j_common_ptr /*codec*/) {}

void SetErrors(Errors& errors) {
  jpeg_std_error(&errors.base);
  errors.base.error_exit = JumpBack;
  errors.base.output_message = DropMessage;
}

struct Reader {
  Reader() { jpeg.err = &errors.base; }
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;
  ~Reader() { jpeg_destroy_decompress(&jpeg); }
  Errors errors;
  jpeg_decompress_struct jpeg{};
};

bool StartReading(Reader& reader, std::string_view bytes) {
  SetErrors(reader.errors);
  if (setjmp(reader.errors.back) != 0) return false;  // NOLINT(cert-err52-cpp)
  jpeg_create_decompress(&reader.jpeg);
  jpeg_mem_src(&reader.jpeg,
               reinterpret_cast<const unsigned char*>(bytes.data()),
               static_cast<unsigned long>(bytes.size()));  // NOLINT(google-runtime-int)
  jpeg_save_markers(&reader.jpeg, JPEG_APP0 + 1, 0xFFFF);
  return jpeg_read_header(&reader.jpeg, TRUE) == JPEG_HEADER_OK;
}

bool ReadRows(Reader& reader, cv::Mat& image) {
  if (setjmp(reader.errors.back) != 0) return false;  // NOLINT(cert-err52-cpp)
  reader.jpeg.out_color_space = image.channels() == 1 ? JCS_GRAYSCALE : JCS_EXT_BGR;
  jpeg_start_decompress(&reader.jpeg);
  while (reader.jpeg.output_scanline < reader.jpeg.output_height) {
    JSAMPROW row = image.ptr<JSAMPLE>(static_cast<int>(reader.jpeg.output_scanline));
    jpeg_read_scanlines(&reader.jpeg, &row, 1);
  }
  jpeg_finish_decompress(&reader.jpeg);
  return reader.errors.base.num_warnings == 0;
}

int OrientationOf(const jpeg_decompress_struct& jpeg) {
  for (auto* mark = jpeg.marker_list; mark != nullptr; mark = mark->next) {
    const std::string_view data(reinterpret_cast<const char*>(mark->data), mark->data_length);
    if (data.starts_with(kExifMark)) return ExifOrientation(data.substr(kExifMark.size()));
  }
  return 1;
}

// libjpeg writes into memory that it allocates.
struct Writer {
  Writer() { jpeg.err = &errors.base; }
  Writer(const Writer&) = delete;
  Writer& operator=(const Writer&) = delete;
  ~Writer() {
    jpeg_destroy_compress(&jpeg);
    std::free(bytes);  // NOLINT(cppcoreguidelines-no-malloc)
  }
  Errors errors;
  jpeg_compress_struct jpeg{};
  unsigned char* bytes = nullptr;
  unsigned long size = 0;  // NOLINT(google-runtime-int)
};

bool WriteAll(Writer& writer, const cv::Mat& image, int quality) {
  SetErrors(writer.errors);
  if (setjmp(writer.errors.back) != 0) return false;  // NOLINT(cert-err52-cpp)
  jpeg_create_compress(&writer.jpeg);
  jpeg_mem_dest(&writer.jpeg, &writer.bytes, &writer.size);
  writer.jpeg.image_width = static_cast<JDIMENSION>(image.cols);
  writer.jpeg.image_height = static_cast<JDIMENSION>(image.rows);
  writer.jpeg.input_components = image.channels();
  writer.jpeg.in_color_space = image.channels() == 1 ? JCS_GRAYSCALE : JCS_EXT_BGR;
  jpeg_set_defaults(&writer.jpeg);
  jpeg_set_quality(&writer.jpeg, quality, TRUE);
  jpeg_start_compress(&writer.jpeg, TRUE);
  while (writer.jpeg.next_scanline < writer.jpeg.image_height) {
    auto* row =
        const_cast<JSAMPLE*>(image.ptr<JSAMPLE>(static_cast<int>(writer.jpeg.next_scanline)));
    jpeg_write_scanlines(&writer.jpeg, &row, 1);
  }
  jpeg_finish_compress(&writer.jpeg);
  return true;
}

// Numbers of a TIFF structure in either byte order; 0 beyond its end.
class Block {
 public:
  explicit Block(std::string_view bytes) : bytes_(bytes), little_(bytes.starts_with("II")) {}

  [[nodiscard]] std::uint32_t Number(std::size_t at, std::size_t size) const {
    if (at > bytes_.size() || size > bytes_.size() - at) return 0;
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < size; ++i) {
      value = (value << 8U) | static_cast<unsigned char>(bytes_[at + (little_ ? size - 1 - i : i)]);
    }
    return value;
  }

 private:
  std::string_view bytes_;
  bool little_;
};

}  // namespace

cv::Mat DecodeJpeg(std::string_view bytes, const std::string& name) {
  const std::string damaged = name + ": the picture is cut short or damaged; copy it again";
  const auto reader = std::make_unique<Reader>();
  if (!StartReading(*reader, bytes)) throw InputError(damaged);
  const jpeg_decompress_struct& jpeg = reader->jpeg;
  CheckSize(name, jpeg.image_width, jpeg.image_height);
  if (std::uint64_t{jpeg.image_width} * jpeg.image_height > bytes.size() * kMostPixelsPerByte) {
    throw InputError(damaged);
  }
  if (jpeg.num_components != 1 && jpeg.num_components != 3) {
    throw InputError(name + ": has " + std::to_string(jpeg.num_components) +
                     " colours (made for print?); save it as an ordinary colour picture");
  }
  cv::Mat image(static_cast<int>(jpeg.image_height),
                static_cast<int>(jpeg.image_width),
                jpeg.num_components == 1 ? CV_8UC1 : CV_8UC3);
  const int orientation = OrientationOf(jpeg);  // libjpeg forgets it with the last row.
  if (!ReadRows(*reader, image)) throw InputError(damaged);
  return Upright(image, orientation);
}

std::string EncodeJpeg(const cv::Mat& image, int quality) {
  if (image.empty() || (image.type() != CV_8UC1 && image.type() != CV_8UC3)) {
    throw std::logic_error("EncodeJpeg: type " + std::to_string(image.type()));
  }
  const auto writer = std::make_unique<Writer>();
  if (!WriteAll(*writer, image, quality)) {
    throw OutputError("a picture cannot be encoded as JPEG");
  }
  return {reinterpret_cast<const char*>(writer->bytes), writer->size};
}

int ExifOrientation(std::string_view bytes) {
  constexpr std::uint32_t kOrientation = 0x0112;
  constexpr std::uint32_t kShort = 3;
  const Block block(bytes);
  const std::size_t directory = block.Number(4, 4);
  const std::uint32_t entries = block.Number(directory, 2);
  for (std::uint32_t i = 0; i < entries; ++i) {
    const std::size_t at = directory + 2 + std::size_t{12} * i;
    if (at > bytes.size()) break;
    if (block.Number(at, 2) != kOrientation || block.Number(at + 2, 2) != kShort) continue;
    const std::uint32_t value = block.Number(at + 8, 2);
    return value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
  }
  return 1;
}

cv::Mat Upright(const cv::Mat& stored, int orientation) {
  cv::Mat turned = stored;
  // 5 .. 8: the stored rows are columns of the picture.
  if (orientation >= 5) cv::transpose(stored, turned);
  const bool mirror_x =
      orientation == 2 || orientation == 3 || orientation == 6 || orientation == 7;
  const bool mirror_y =
      orientation == 3 || orientation == 4 || orientation == 7 || orientation == 8;
  if (!mirror_x && !mirror_y) return turned;
  cv::Mat upright;
  cv::flip(turned, upright, mirror_x && mirror_y ? -1 : mirror_x ? 1 : 0);
  return upright;
}

}  // namespace ohmglow
