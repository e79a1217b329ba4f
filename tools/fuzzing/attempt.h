// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "ohmglow/base/error.h"

namespace ohmglow::fuzzing {

/// What the message of a refused file has to name.
inline const std::string kFile = "the-file";

/// What every target does: any bytes give a value, or one InputError whose
/// message is a single line that names the file. All else is a finding.
template <typename Reader>
int Attempt(Reader&& read, const std::string& name = kFile) {
  try {
    read();
  } catch (const InputError& error) {
    const std::string_view message = error.what();
    if (message.find(name) == message.npos || message.find('\n') != message.npos) {
      std::fprintf(stderr, "not one line that names the file: %s\n", error.what());
      std::abort();
    }
  }
  return 0;
}

inline std::string Text(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

}  // namespace ohmglow::fuzzing

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);
