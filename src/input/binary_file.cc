// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binary_file.h"

#include <algorithm>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {

BinaryFile::BinaryFile(std::filesystem::path file)
    : file_(std::move(file)), stream_(file_, std::ios::binary) {
  std::error_code error;
  size_ = std::filesystem::file_size(file_, error);
  if (!stream_ || error) {
    throw InputError(file_.string() + ": cannot be opened; check its permissions");
  }
}

void BinaryFile::Read(std::uint64_t offset,
                      std::size_t length,
                      void* to,
                      const std::string& where) {
  stream_.clear();
  stream_.seekg(static_cast<std::streamoff>(offset));
  stream_.read(static_cast<char*>(to), static_cast<std::streamsize>(length));
  if (!stream_) throw InputError(where + ": the file is cut short here; copy it again");
}

std::string BinaryFile::Peek(std::uint64_t offset, std::size_t length) {
  if (offset >= size_) return {};
  std::string bytes(static_cast<std::size_t>(std::min<std::uint64_t>(length, size_ - offset)),
                    '\0');
  Read(offset, bytes.size(), bytes.data(), file_.string());
  return bytes;
}

}  // namespace ohmglow
