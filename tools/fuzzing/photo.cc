// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Photo of the board: PNG, JPEG or TIFF.
#include "attempt.h"
#include "input/picture_file.h"
#include "png_checksums.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  return Attempt([&] {
    std::string bytes = Text(data, size);
    if (bytes.starts_with("\x89PNG")) MendPngChecksums(bytes);
    const ByteSource file = ByteSource::InMemory(std::move(bytes), kFile);
    if (ReadPicture(file, "board.photo").empty()) std::abort();
  });
}
