// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <string>
#include <vector>

#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr long long kMostFrames = 10'000'000;

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

int SampleType(const ByteSource& file, std::string_view header) {
  const std::string_view text = After(header, "descr");
  const std::string descr(text.size() > 2 ? text.substr(1, text.find('\'', 1) - 1) : text);
  if (descr == "|u1") return CV_8U;
  if (descr == "<u2") return CV_16U;
  if (descr == "<i2") return CV_16S;
  if (descr == "<f4") return CV_32F;
  Fail(file,
       "holds samples of type " + Quoted(descr) +
           "; save it as little-endian uint16 ('<u2') or float32 ('<f4')");
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
  if (shape.size() != 3) {
    Fail(file,
         "has " + std::to_string(shape.size()) +
             " dimensions; save it as (frames, height, width) or (height, width)");
  }
  return shape;
}

}  // namespace

FlatPages::Layout ReadNpyLayout(const ByteSource& file) {
  const std::string start = file.Peek(0, 12);
  if (start.size() < 12 || !start.starts_with("\x93NUMPY")) Fail(file, "is no NPY file");
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(start[i]); };
  const bool long_length = byte(6) >= 2;
  std::size_t length = byte(8) + 256U * byte(9);
  if (long_length) length += (byte(10) + 256U * byte(11)) * 65536U;
  const std::size_t begin = long_length ? 12 : 10;
  const std::string header = file.Peek(begin, length);
  if (header.size() != length) Fail(file, "its header is cut short; copy it again");
  if (!After(header, "fortran_order").starts_with("False")) {
    Fail(file, "is not in C order; save it with C order (row by row)");
  }
  const std::vector<long long> shape = Shape(file, header);
  CheckSize(file.name(), shape[2], shape[1]);
  FlatPages::Layout layout;
  layout.type = SampleType(file, header);
  layout.size_px = {static_cast<int>(shape[2]), static_cast<int>(shape[1])};
  const std::uint64_t page = static_cast<std::uint64_t>(shape[1] * shape[2]) *
                             static_cast<std::uint64_t>(CV_ELEM_SIZE(layout.type));
  for (long long i = 0; i < shape[0]; ++i) {
    layout.offsets.push_back(begin + length + static_cast<std::uint64_t>(i) * page);
  }
  return layout;
}

}  // namespace ohmglow
