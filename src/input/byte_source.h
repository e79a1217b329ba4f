// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace ohmglow {

/// Bytes that can be read at any place: an ordinary file, a part of one, or
/// memory. A value: copies share the open file, which is never written and has
/// no position, so that several readers may use it at once.
class ByteSource {
 public:
  /// Opens a file. @param named_by  the setting that named it, for messages.
  /// @throws InputError  missing, a folder, a pipe or a device, not readable.
  explicit ByteSource(const std::filesystem::path& file, std::string_view named_by = {});
  /// Bytes in memory, `name` for messages.
  [[nodiscard]] static ByteSource InMemory(std::string bytes, std::string name);
  /// An open file without a name in the file system; closes it in the end.
  [[nodiscard]] static ByteSource FromDescriptor(int descriptor, std::string name);

  [[nodiscard]] std::uint64_t size() const { return size_; }
  [[nodiscard]] const std::string& name() const { return name_; }
  /// The open file, where these are all of its bytes; owned by the source.
  [[nodiscard]] std::optional<int> descriptor() const;

  /// A part of these bytes under a name of its own; may not reach beyond them.
  [[nodiscard]] ByteSource Part(std::uint64_t offset, std::uint64_t size, std::string name) const;

  /// Reads `length` bytes at `offset`; `where` opens the message.
  /// @throws InputError  where the bytes end before, or the file has shrunk.
  void Read(std::uint64_t offset, std::size_t length, void* to, const std::string& where) const;
  /// At most `length` bytes from `offset` on: fewer at the end.
  [[nodiscard]] std::string Peek(std::uint64_t offset, std::size_t length) const;
  /// All bytes. @throws InputError  where there are more than `most`.
  [[nodiscard]] std::string ReadAll(std::uint64_t most) const;

 private:
  class Store;
  ByteSource(std::shared_ptr<const Store> store,
             std::uint64_t begin,
             std::uint64_t size,
             std::string name);

  std::shared_ptr<const Store> store_;
  std::uint64_t begin_ = 0;
  std::uint64_t size_ = 0;
  std::string name_;
};

}  // namespace ohmglow
