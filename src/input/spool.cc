// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "spool.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {

Spool::Spool(std::string owner) : owner_(std::move(owner)) {
  std::error_code error;
  const std::filesystem::path folder = std::filesystem::temp_directory_path(error);
  std::string name = (folder / "ohmglow-XXXXXX").string();
  if (!error) descriptor_ = mkostemp(name.data(), O_CLOEXEC);
  if (descriptor_ < 0) {
    throw InputError(owner_ + ": its frames need a temporary file, and none can be made in " +
                     folder.string() + "; set TMPDIR to a folder with free space");
  }
  unlink(name.c_str());
  struct statvfs state {};
  if (fstatvfs(descriptor_, &state) == 0) most_ = state.f_frsize * state.f_bavail / 2;
}

Spool::~Spool() {
  if (descriptor_ >= 0) close(descriptor_);
}

void Spool::Write(std::uint64_t offset, const void* bytes, std::size_t length) {
  const auto* from = static_cast<const char*>(bytes);
  bool room = offset + length <= most_;
  while (room && length > 0) {
    const ssize_t put = pwrite(descriptor_, from, length, static_cast<off_t>(offset));
    if (put < 0 && errno == EINTR) continue;
    room = put > 0;
    if (!room) break;
    from += put;
    offset += static_cast<std::uint64_t>(put);
    length -= static_cast<std::size_t>(put);
  }
  if (!room) {
    throw InputError(owner_ +
                     ": there is too little free space to unpack it for the time of this "
                     "run; unpack it yourself, or set TMPDIR to a larger folder");
  }
  size_ = std::max(size_, offset);
}

ByteSource Spool::Finish(std::string name) {
  return ByteSource::FromDescriptor(std::exchange(descriptor_, -1), std::move(name));
}

}  // namespace ohmglow
