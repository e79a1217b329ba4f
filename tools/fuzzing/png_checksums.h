// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <zlib.h>

#include <string>

namespace ohmglow::fuzzing {

inline std::size_t BigEndian(const std::string& bytes, std::size_t at) {
  std::size_t value = 0;
  for (std::size_t i = 0; i < 4; ++i)
    value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

/// Sets the checksum of each chunk, without which changed bytes would never get
/// past it. Source: PNG Specification 1.2, 3.2.
inline void MendPngChecksums(std::string& bytes) {
  constexpr std::size_t kSignature = 8;
  constexpr std::size_t kAround = 12;  // Length, name, checksum.
  std::size_t at = kSignature;
  while (at + kAround <= bytes.size()) {
    const std::size_t length = BigEndian(bytes, at);
    if (length > bytes.size() - at - kAround) return;
    const auto* from = reinterpret_cast<const Bytef*>(bytes.data() + at + 4);
    const auto sum = static_cast<std::size_t>(crc32(0, from, static_cast<uInt>(length + 4)));
    for (std::size_t i = 0; i < 4; ++i) {
      bytes[at + 8 + length + i] = static_cast<char>(sum >> (24 - 8 * i) & 0xFFU);
    }
    at += length + kAround;
  }
}

}  // namespace ohmglow::fuzzing
