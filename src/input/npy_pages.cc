// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstring>
#include <string>
#include <vector>

#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "spool.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr long long kMostFrames = 10'000'000;
constexpr std::size_t kLongestHeader = std::size_t{1} << 20U;

[[noreturn]] void Fail(const ByteSource& file, const std::string& what) {
  throw InputError(file.name() + ": " + what);
}

// What follows 'key': in the header's dictionary.
std::string_view After(std::string_view header, std::string_view key) {
  const std::size_t at = header.find(Quoted(key));
  if (at == std::string_view::npos) return {};
  const std::size_t colon = header.find(':', at);
  return colon == std::string_view::npos ? std::string_view() : Trim(header.substr(colon + 1));
}

SampleFormat Samples(const ByteSource& file, std::string_view header) {
  const std::string_view text = After(header, "descr");
  const std::size_t end = text.find('\'', 1);
  const std::string descr(text.starts_with('\'') && end != std::string_view::npos
                              ? text.substr(1, end - 1)
                              : text.substr(0, 20));
  if (descr.size() == 3 && descr[2] >= '1' && descr[2] <= '8') {
    const auto type = FindSampleType(descr[1], static_cast<std::size_t>(descr[2] - '0'));
    const std::string_view order = "<>|=";
    if (type && order.find(descr[0]) != std::string_view::npos) {
      return {*type, descr[0] == '>'};
    }
  }
  Fail(file,
       "holds samples of type " + Quoted(descr) +
           "; save it as whole numbers or floats ('<u2', '<f4', ...)");
}

std::vector<long long> Shape(const ByteSource& file, std::string_view header) {
  std::string_view text = After(header, "shape");
  const std::size_t end = text.find(')');
  if (!text.starts_with('(') || end == std::string_view::npos) Fail(file, "has no shape");
  text = text.substr(1, end - 1);
  std::vector<long long> shape;
  while (!Trim(text).empty()) {
    const std::size_t comma = std::min(text.find(','), text.size());
    const auto side = ParseNumber(text.substr(0, comma));
    if (!side || *side < 1 || *side > kMostFrames) Fail(file, "has an empty or damaged shape");
    shape.push_back(static_cast<long long>(*side));
    text.remove_prefix(std::min(comma + 1, text.size()));
  }
  if (shape.size() == 2) shape.insert(shape.begin(), 1);
  // Axes of length one say nothing: (frames, height, width, 1).
  while (shape.size() > 3) {
    const auto one = std::find(shape.begin() + 1, shape.end(), 1);
    if (one == shape.end()) break;
    shape.erase(one);
  }
  if (shape.size() != 3) {
    Fail(file,
         "has " + std::to_string(shape.size()) +
             " dimensions; save it as (frames, height, width) or (height, width)");
  }
  return shape;
}

struct Header {
  SampleFormat sample;
  bool fortran = false;
  std::vector<long long> shape;  // Frames, height, width.
  std::uint64_t length = 0;      // Bytes up to the numbers.
};

Header ReadHeader(const ByteSource& file) {
  const std::string start = file.Peek(0, 12);
  if (start.size() < 12 || !start.starts_with("\x93NUMPY")) Fail(file, "is no NPY file");
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(start[i]); };
  const bool long_length = byte(6) >= 2;
  std::size_t length = byte(8) + 256U * byte(9);
  if (long_length) length += (byte(10) + 256U * byte(11)) * 65536U;
  const std::size_t begin = long_length ? 12 : 10;
  const std::string text = file.Peek(begin, std::min(length, kLongestHeader));
  if (text.size() != length) Fail(file, "its header is cut short; copy it again");
  Header header;
  header.fortran = After(text, "fortran_order").starts_with("True");
  header.shape = Shape(file, text);
  CheckSize(file.name(), header.shape[2], header.shape[1]);
  header.sample = Samples(file, text);
  header.length = begin + length;
  return header;
}

// In Fortran order the values of one pixel in all frames lie together. Makes a
// copy of frames one after the other, pixels still column after column.
ByteSource WithFramesTogether(const ByteSource& file, const Header& header) {
  constexpr std::size_t kBlock = std::size_t{8} << 20U;
  const std::size_t bytes = SampleBytes(header.sample.type);
  const auto frames = static_cast<std::size_t>(header.shape[0]);
  const auto pixels = static_cast<std::size_t>(header.shape[1] * header.shape[2]);
  const std::size_t at_once = std::clamp<std::size_t>(kBlock / (frames * bytes), 1, pixels);
  Spool spool(file.name());
  std::vector<char> run(at_once * bytes);
  for (std::size_t first = 0; first < pixels; first += at_once) {
    const std::size_t now = std::min(at_once, pixels - first);
    const std::string block =
        file.Peek(header.length + first * frames * bytes, now * frames * bytes);
    if (block.size() < now * frames * bytes) Fail(file, "is cut short; copy it again");
    for (std::size_t frame = 0; frame < frames; ++frame) {
      for (std::size_t p = 0; p < now; ++p) {
        std::memcpy(&run[p * bytes], &block[(p * frames + frame) * bytes], bytes);
      }
      spool.Write((frame * pixels + first) * bytes, run.data(), now * bytes);
    }
  }
  return spool.Finish(file.name());
}

}  // namespace

std::unique_ptr<CountPages> OpenNpy(const ByteSource& file) {
  const Header header = ReadHeader(file);
  FlatPages::Layout layout;
  layout.sample = header.sample;
  layout.size_px = {static_cast<int>(header.shape[2]), static_cast<int>(header.shape[1])};
  layout.count = static_cast<int>(header.shape[0]);
  layout.columns = header.fortran;
  layout.first_offset = header.length;
  layout.stride_bytes = static_cast<std::uint64_t>(header.shape[1] * header.shape[2]) *
                        SampleBytes(header.sample.type);
  if (!header.fortran || layout.count == 1) return std::make_unique<FlatPages>(file, layout);
  layout.first_offset = 0;
  return std::make_unique<FlatPages>(WithFramesTogether(file, header), layout);
}

}  // namespace ohmglow
