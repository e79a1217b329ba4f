// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string>

namespace ohmglow {

/// A file read at given places; every read is complete or an InputError.
class BinaryFile {
 public:
  /// @throws InputError  where it cannot be opened.
  explicit BinaryFile(std::filesystem::path file);

  [[nodiscard]] std::uint64_t size() const { return size_; }
  [[nodiscard]] const std::filesystem::path& file() const { return file_; }
  /// Reads `length` bytes at `offset`; `where` opens the message of a short file.
  void Read(std::uint64_t offset, std::size_t length, void* to, const std::string& where);
  /// At most `length` bytes from `offset` on: fewer at the end of the file.
  [[nodiscard]] std::string Peek(std::uint64_t offset, std::size_t length);

 private:
  std::filesystem::path file_;
  std::ifstream stream_;
  std::uint64_t size_ = 0;
};

}  // namespace ohmglow
