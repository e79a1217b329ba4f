// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "png_codec.h"

#include <libdeflate.h>
#include <png.h>

#include <algorithm>
#include <bit>
#include <csetjmp>
#include <cstring>
#include <memory>
#include <stdexcept>
#include <utility>
#include <vector>

#include "count_pages.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

// Signature, length and name of the first chunk, its 13 bytes.
constexpr std::size_t kHeaderLength = 8 + 8 + 13;

// Most significant byte first: PNG Specification 1.2, section 2.1.
std::uint32_t Number(std::string_view bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    value = (value << 8U) | static_cast<unsigned char>(bytes[at + i]);
  }
  return value;
}

[[noreturn]] void CutShort(const std::string& name) {
  throw InputError(name + ": the picture is cut short or damaged; copy it again");
}

// libpng's one way back out of an error is a jump, so that no object with a
// destructor may live in the functions that call it.
void JumpBack(png_structp png, png_const_charp /*message*/) { png_longjmp(png, 1); }
void DropWarning(png_structp /*png*/, png_const_charp /*message*/) {}

void ReadBytes(png_structp png, png_bytep to, std::size_t length) {
  auto& left = *static_cast<std::string_view*>(png_get_io_ptr(png));
  if (length > left.size()) png_error(png, "end");
  std::memcpy(to, left.data(), length);
  left.remove_prefix(length);
}

void WriteBytes(png_structp png, png_bytep from, std::size_t length) {
  auto& bytes = *static_cast<std::string*>(png_get_io_ptr(png));
  bytes.append(reinterpret_cast<const char*>(from), length);
}

void DropFlush(png_structp /*png*/) {}

// Reads up to the pixels and sets the conversions; false on an error.
bool StartReading(png_structp png, png_infop info, std::string_view* left) {
  if (setjmp(png_jmpbuf(png)) != 0) return false;  // NOLINT(cert-err52-cpp)
  png_set_read_fn(png, left, ReadBytes);
  png_set_user_limits(png, kLargestSidePx, kLargestSidePx);
  png_set_chunk_malloc_max(png, png_alloc_size_t{8} << 20U);
  png_read_info(png, info);
  png_set_expand(png);  // Palettes, few bits and transparency become plain samples.
  if (std::endian::native == std::endian::little) png_set_swap(png);
  png_set_bgr(png);
  if (png_get_color_type(png, info) == PNG_COLOR_TYPE_GRAY_ALPHA) png_set_gray_to_rgb(png);
  png_set_interlace_handling(png);
  png_read_update_info(png, info);
  return true;
}

bool ReadRows(png_structp png, png_infop info, png_bytepp rows) {
  if (setjmp(png_jmpbuf(png)) != 0) return false;  // NOLINT(cert-err52-cpp)
  png_read_image(png, rows);
  png_read_end(png, info);
  return true;
}

// Owns the two structures of a reader.
struct Reader {
  Reader() {
    png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, JumpBack, DropWarning);
    if (png != nullptr) info = png_create_info_struct(png);
    if (info == nullptr) throw std::bad_alloc();
  }
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;
  ~Reader() { png_destroy_read_struct(&png, &info, nullptr); }
  png_structp png = nullptr;
  png_infop info = nullptr;
};

struct Writer {
  Writer() {
    png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, JumpBack, DropWarning);
    if (png != nullptr) info = png_create_info_struct(png);
    if (info == nullptr) throw std::bad_alloc();
  }
  Writer(const Writer&) = delete;
  Writer& operator=(const Writer&) = delete;
  ~Writer() { png_destroy_write_struct(&png, &info); }
  png_structp png = nullptr;
  png_infop info = nullptr;
};

std::vector<png_bytep> Rows(const cv::Mat& image) {
  std::vector<png_bytep> rows;
  for (int y = 0; y < image.rows; ++y) {
    rows.push_back(const_cast<png_bytep>(image.ptr<png_byte>(y)));
  }
  return rows;
}

int ColourType(const cv::Mat& image) {
  switch (image.type()) {
    case CV_8UC1:
    case CV_16UC1:
      return PNG_COLOR_TYPE_GRAY;
    case CV_8UC3:
      return PNG_COLOR_TYPE_RGB;
    case CV_8UC4:
      return PNG_COLOR_TYPE_RGBA;
    default:
      throw std::logic_error("EncodePng: type " + std::to_string(image.type()));
  }
}

// One row as it is stored: the most significant byte first, red first.
void StoreRow(const cv::Mat& image, int y, unsigned char* to) {
  if (image.depth() == CV_16U) {
    const auto* from = image.ptr<std::uint16_t>(y);
    for (int x = 0; x < image.cols; ++x) {
      to[2 * x] = static_cast<unsigned char>(from[x] >> 8U);
      to[2 * x + 1] = static_cast<unsigned char>(from[x] & 0xFFU);
    }
    return;
  }
  const auto* from = image.ptr<unsigned char>(y);
  const int channels = image.channels();
  std::copy_n(from, image.cols * channels, to);
  if (channels < 3) return;
  for (int x = 0; x < image.cols * channels; x += channels) {
    to[x] = from[x + 2];
    to[x + 2] = from[x];
  }
}

// All rows, each as its difference from the one above (PNG Specification 1.2, section 6.4).
// One fixed filter: choosing the best one for each row takes as long as packing.
struct Filtered {
  explicit Filtered(const cv::Mat& image) {
    const std::size_t row = static_cast<std::size_t>(image.cols) * image.elemSize();
    length = (row + 1) * static_cast<std::size_t>(image.rows);
    bytes = std::make_unique_for_overwrite<unsigned char[]>(length);
    std::vector<unsigned char> above(row);
    std::vector<unsigned char> own(row);
    unsigned char* to = bytes.get();
    for (int y = 0; y < image.rows; ++y) {
      StoreRow(image, y, own.data());
      *to++ = PNG_FILTER_VALUE_UP;
      for (std::size_t i = 0; i < row; ++i) to[i] = static_cast<unsigned char>(own[i] - above[i]);
      to += row;
      std::swap(own, above);
    }
  }
  std::unique_ptr<unsigned char[]> bytes;
  std::size_t length = 0;
};

// As a zlib stream, which is what the pixels of a PNG are.
std::string Packed(const Filtered& filtered, int level) {
  const std::unique_ptr<libdeflate_compressor, decltype(&libdeflate_free_compressor)> compressor(
      libdeflate_alloc_compressor(level), libdeflate_free_compressor);
  if (!compressor) throw std::bad_alloc();
  const std::size_t most = libdeflate_zlib_compress_bound(compressor.get(), filtered.length);
  const auto packed = std::make_unique_for_overwrite<char[]>(most);
  const std::size_t length = libdeflate_zlib_compress(
      compressor.get(), filtered.bytes.get(), filtered.length, packed.get(), most);
  return {packed.get(), length};
}

std::string FirstChunk(const cv::Mat& image) {
  std::string chunk;
  for (const int number : {image.cols, image.rows}) {
    for (int shift = 24; shift >= 0; shift -= 8) chunk += static_cast<char>(number >> shift);
  }
  chunk += static_cast<char>(image.depth() == CV_16U ? 16 : 8);
  chunk += static_cast<char>(ColourType(image));
  return chunk + std::string(3, '\0');  // The only ways to pack and to filter; not interlaced.
}

bool WriteAll(png_structp png, const std::string& first, const std::string& packed) {
  if (setjmp(png_jmpbuf(png)) != 0) return false;  // NOLINT(cert-err52-cpp)
  const auto write = [png](const char* name, std::string_view data) {
    png_write_chunk(png,
                    reinterpret_cast<png_const_bytep>(name),
                    reinterpret_cast<png_const_bytep>(data.data()),
                    data.size());
  };
  png_write_sig(png);
  write("IHDR", first);
  write("IDAT", packed);
  write("IEND", {});
  return true;
}

}  // namespace

PngHeader ReadPngHeader(std::string_view start, const std::string& name) {
  if (start.size() < kHeaderLength || start.substr(12, 4) != "IHDR") CutShort(name);
  const std::uint32_t width = Number(start, 16);
  const std::uint32_t height = Number(start, 20);
  CheckSize(name, width, height);
  return {{static_cast<int>(width), static_cast<int>(height)}, start[24], start[25]};
}

cv::Mat DecodePng(std::string_view bytes, const std::string& name) {
  const PngHeader header = ReadPngHeader(bytes.substr(0, kHeaderLength), name);
  const Reader reader;
  std::string_view left = bytes;
  if (!StartReading(reader.png, reader.info, &left)) CutShort(name);
  const std::size_t row_bytes = png_get_rowbytes(reader.png, reader.info);
  CheckPageBytes(name, row_bytes * static_cast<std::uint64_t>(header.size_px.height), bytes.size());
  const int depth = png_get_bit_depth(reader.png, reader.info) == 16 ? CV_16U : CV_8U;
  cv::Mat image(header.size_px, CV_MAKETYPE(depth, png_get_channels(reader.png, reader.info)));
  if (row_bytes != image.elemSize() * static_cast<std::size_t>(image.cols)) CutShort(name);
  std::vector<png_bytep> rows = Rows(image);
  if (!ReadRows(reader.png, reader.info, rows.data())) CutShort(name);
  return image;
}

std::string EncodePng(const cv::Mat& image, int level) {
  (void)ColourType(image);
  if (image.empty()) throw std::logic_error("EncodePng: empty image");
  std::string bytes;
  const Writer writer;
  png_set_write_fn(writer.png, &bytes, WriteBytes, DropFlush);
  if (!WriteAll(writer.png, FirstChunk(image), Packed(Filtered(image), level))) {
    throw OutputError("a picture cannot be encoded as PNG");
  }
  return bytes;
}

}  // namespace ohmglow
