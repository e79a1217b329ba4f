// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <opencv2/core.hpp>
#include <optional>
#include <string_view>

namespace ohmglow {

/// The numbers of a frame as a file may store them.
enum class SampleType { kU8, kI8, kU16, kI16, kU32, kI32, kU64, kI64, kF16, kF32, kF64 };

struct SampleFormat {
  SampleType type = SampleType::kU16;
  bool big_endian = false;
};

[[nodiscard]] std::size_t SampleBytes(SampleType type);

/// What they become: CV_8U, CV_16U or CV_16S where these hold them, else CV_32F.
/// The 24 bits of a float step by 0.03 mK at 300 K, whatever the count's unit.
[[nodiscard]] int CountType(SampleType type);

/// @param kind  'u', 'i' or 'f'. @return  nothing where there is no such type.
[[nodiscard]] std::optional<SampleType> FindSampleType(char kind, std::size_t bytes);

/// "u16le", "f32be", "u8": kind, bits and byte order; nothing for other words.
[[nodiscard]] std::optional<SampleFormat> ParseSampleFormat(std::string_view word);

/// Fills `counts`, continuous and of `CountType`, from as many stored samples.
void ToCounts(const void* samples, SampleFormat format, cv::Mat& counts);

}  // namespace ohmglow
