// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sample_type.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <string>

#include "text.h"

namespace ohmglow {
namespace {

struct Known {
  SampleType type;
  char kind;
  std::size_t bytes;
  int count_type;
};

constexpr std::array<Known, 11> kKnown = {{{SampleType::kU8, 'u', 1, CV_8U},
                                           {SampleType::kI8, 'i', 1, CV_16S},
                                           {SampleType::kU16, 'u', 2, CV_16U},
                                           {SampleType::kI16, 'i', 2, CV_16S},
                                           {SampleType::kU32, 'u', 4, CV_32F},
                                           {SampleType::kI32, 'i', 4, CV_32F},
                                           {SampleType::kU64, 'u', 8, CV_32F},
                                           {SampleType::kI64, 'i', 8, CV_32F},
                                           {SampleType::kF16, 'f', 2, CV_32F},
                                           {SampleType::kF32, 'f', 4, CV_32F},
                                           {SampleType::kF64, 'f', 8, CV_32F}}};

const Known& Find(SampleType type) { return kKnown[static_cast<std::size_t>(type)]; }

template <typename T>
T Loaded(const unsigned char* at, bool swap) {
  std::array<unsigned char, sizeof(T)> bytes{};
  std::memcpy(bytes.data(), at, sizeof(T));
  if (swap) std::reverse(bytes.begin(), bytes.end());
  return std::bit_cast<T>(bytes);
}

template <typename From, typename To>
void Convert(const unsigned char* from, bool swap, std::size_t count, To* to) {
  if (swap) {
    for (std::size_t i = 0; i < count; ++i, from += sizeof(From)) {
      to[i] = static_cast<To>(Loaded<From>(from, true));
    }
  } else {
    for (std::size_t i = 0; i < count; ++i, from += sizeof(From)) {
      to[i] = static_cast<To>(Loaded<From>(from, false));
    }
  }
}

void ConvertHalf(const unsigned char* from, bool swap, std::size_t count, float* to) {
  for (std::size_t i = 0; i < count; ++i, from += 2) {
    to[i] = static_cast<float>(cv::float16_t::fromBits(Loaded<std::uint16_t>(from, swap)));
  }
}

}  // namespace

std::size_t SampleBytes(SampleType type) { return Find(type).bytes; }

int CountType(SampleType type) { return Find(type).count_type; }

std::optional<SampleType> FindSampleType(char kind, std::size_t bytes) {
  for (const Known& known : kKnown) {
    if (known.kind == kind && known.bytes == bytes) return known.type;
  }
  return std::nullopt;
}

std::optional<SampleFormat> ParseSampleFormat(std::string_view word) {
  const std::string lower = ToLower(word);
  for (const Known& known : kKnown) {
    const std::string name = known.kind + std::to_string(8 * known.bytes);
    if (lower == name + "le" || (known.bytes == 1 && lower == name))
      return SampleFormat{known.type};
    if (lower == name + "be") return SampleFormat{known.type, true};
  }
  return std::nullopt;
}

void ToCounts(const void* samples, SampleFormat format, cv::Mat& counts) {
  const auto* from = static_cast<const unsigned char*>(samples);
  const std::size_t count = counts.total();
  const bool swap = format.big_endian != (std::endian::native == std::endian::big);
  switch (format.type) {
    case SampleType::kU8:
      return Convert<std::uint8_t>(from, swap, count, counts.ptr<std::uint8_t>());
    case SampleType::kI8:
      return Convert<std::int8_t>(from, swap, count, counts.ptr<std::int16_t>());
    case SampleType::kU16:
      return Convert<std::uint16_t>(from, swap, count, counts.ptr<std::uint16_t>());
    case SampleType::kI16:
      return Convert<std::int16_t>(from, swap, count, counts.ptr<std::int16_t>());
    case SampleType::kU32:
      return Convert<std::uint32_t>(from, swap, count, counts.ptr<float>());
    case SampleType::kI32:
      return Convert<std::int32_t>(from, swap, count, counts.ptr<float>());
    case SampleType::kU64:
      return Convert<std::uint64_t>(from, swap, count, counts.ptr<float>());
    case SampleType::kI64:
      return Convert<std::int64_t>(from, swap, count, counts.ptr<float>());
    case SampleType::kF16:
      return ConvertHalf(from, swap, count, counts.ptr<float>());
    case SampleType::kF32:
      return Convert<float>(from, swap, count, counts.ptr<float>());
    case SampleType::kF64:
      return Convert<double>(from, swap, count, counts.ptr<float>());
  }
}

}  // namespace ohmglow
