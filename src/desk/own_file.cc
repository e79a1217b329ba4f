// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/own_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <functional>

#include "input/text.h"

namespace ohmglow::desk {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void Refuse(const fs::path& file, const std::string& why) {
  throw OutputError(file.string() + ": cannot be written (" + why + "); check rights and space");
}

bool WriteAll(int descriptor, const std::string& text) {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t size = write(descriptor, text.data() + done, text.size() - done);
    if (size <= 0) return false;
    done += static_cast<std::size_t>(size);
  }
  return fsync(descriptor) == 0;
}

}  // namespace

std::optional<std::string> BytesOf(const fs::path& file) {
  std::error_code code;
  const auto status = fs::symlink_status(file, code);
  if (!fs::exists(status)) return std::nullopt;
  if (!fs::is_regular_file(status)) throw InputError(file.string() + ": is no ordinary file");
  return ReadFileBytes(file);
}

std::string VersionOf(const std::optional<std::string>& bytes) {
  return bytes ? std::to_string(std::hash<std::string>{}(*bytes)) : "none";
}

namespace {

void RequireVersion(const fs::path& file, const std::string& version) {
  if (VersionOf(BytesOf(file)) == version) return;
  throw ChangedMeanwhile(file.filename().string() +
                         " was changed by another program; look at it again before you change it");
}

}  // namespace

void ReplaceFile(const fs::path& file, const std::string& version, const std::string& text) {
  RequireVersion(file, version);
  mode_t mode = 0644;
  struct stat there {};
  if (stat(file.c_str(), &there) == 0) mode = there.st_mode & 07777;
  const fs::path fresh = file.string() + ".partial-" + std::to_string(getpid());
  const int descriptor =
      open(fresh.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, mode);
  if (descriptor < 0) Refuse(file, std::strerror(errno));
  const bool written = WriteAll(descriptor, text);
  const int cause = errno;
  close(descriptor);
  try {
    RequireVersion(file, version);  // Once more: the writing took its time.
  } catch (const Error&) {
    unlink(fresh.c_str());
    throw;
  }
  if (!written || rename(fresh.c_str(), file.c_str()) != 0) {
    const std::string why = std::strerror(written ? errno : cause);
    unlink(fresh.c_str());
    Refuse(file, why);
  }
}

}  // namespace ohmglow::desk
