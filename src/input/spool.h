// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "byte_source.h"

namespace ohmglow {

/// A file without a name in the folder for temporary files (TMPDIR, else /tmp):
/// for frames that cannot be read where they lie. It is gone with its last reader,
/// however the program ends.
class Spool {
 public:
  /// @param owner  the file whose contents go here, for messages.
  /// @throws InputError  where none can be made.
  explicit Spool(std::string owner);
  Spool(const Spool&) = delete;
  Spool& operator=(const Spool&) = delete;
  ~Spool();

  /// @throws InputError  where more than half of what is free there would be taken.
  void Write(std::uint64_t offset, const void* bytes, std::size_t length);
  [[nodiscard]] std::uint64_t size() const { return size_; }
  /// What was written, to be read. Nothing may be written after.
  [[nodiscard]] ByteSource Finish(std::string name);

 private:
  std::string owner_;
  int descriptor_ = -1;
  std::uint64_t size_ = 0;
  std::uint64_t most_ = 0;
};

}  // namespace ohmglow
