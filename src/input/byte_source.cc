// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "byte_source.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <utility>

#include "ohmglow/base/error.h"
#include "text.h"

namespace ohmglow {

// What copies share.
class ByteSource::Store {
 public:
  explicit Store(int descriptor) : descriptor_(descriptor) {
    struct stat state {};
    if (fstat(descriptor, &state) == 0 && S_ISREG(state.st_mode)) {
      size_ = static_cast<std::uint64_t>(state.st_size);
    }
  }
  explicit Store(std::string bytes) : bytes_(std::move(bytes)), size_(bytes_.size()) {}
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;
  ~Store() {
    if (descriptor_ >= 0) close(descriptor_);
  }

  [[nodiscard]] std::uint64_t size() const { return size_; }
  [[nodiscard]] int descriptor() const { return descriptor_; }

  // False where the bytes end before; `offset` + `length` must not overflow.
  [[nodiscard]] bool Read(std::uint64_t offset, std::size_t length, char* to) const {
    if (descriptor_ < 0) {
      if (offset + length > size_) return false;
      std::memcpy(to, bytes_.data() + offset, length);
      return true;
    }
    while (length > 0) {
      const ssize_t got = pread(descriptor_, to, length, static_cast<off_t>(offset));
      if (got < 0 && errno == EINTR) continue;
      if (got <= 0) return false;
      to += got;
      offset += static_cast<std::uint64_t>(got);
      length -= static_cast<std::size_t>(got);
    }
    return true;
  }

 private:
  int descriptor_ = -1;
  std::string bytes_;
  std::uint64_t size_ = 0;
};

ByteSource::ByteSource(const std::filesystem::path& file, std::string_view named_by)
    : name_(file.string()) {
  RequireFile(file, named_by);
  // Should the file have become a pipe since, opening must not wait for a writer.
  const int descriptor = open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) throw InputError(name_ + ": cannot be opened; check its permissions");
  posix_fadvise(descriptor, 0, 0, POSIX_FADV_SEQUENTIAL);
  store_ = std::make_shared<const Store>(descriptor);
  size_ = store_->size();
}

ByteSource::ByteSource(std::shared_ptr<const Store> store,
                       std::uint64_t begin,
                       std::uint64_t size,
                       std::string name)
    : store_(std::move(store)), begin_(begin), size_(size), name_(std::move(name)) {}

ByteSource ByteSource::InMemory(std::string bytes, std::string name) {
  auto store = std::make_shared<const Store>(std::move(bytes));
  const std::uint64_t size = store->size();
  return {std::move(store), 0, size, std::move(name)};
}

ByteSource ByteSource::FromDescriptor(int descriptor, std::string name) {
  auto store = std::make_shared<const Store>(descriptor);
  const std::uint64_t size = store->size();
  return {std::move(store), 0, size, std::move(name)};
}

std::optional<int> ByteSource::descriptor() const {
  if (store_->descriptor() < 0 || begin_ != 0 || size_ != store_->size()) return std::nullopt;
  return store_->descriptor();
}

ByteSource ByteSource::Part(std::uint64_t offset, std::uint64_t size, std::string name) const {
  offset = std::min(offset, size_);
  return {store_, begin_ + offset, std::min(size, size_ - offset), std::move(name)};
}

void ByteSource::Read(std::uint64_t offset,
                      std::size_t length,
                      void* to,
                      const std::string& where) const {
  if (offset > size_ || length > size_ - offset) {
    throw InputError(where + ": the file is cut short here; copy it again");
  }
  if (!store_->Read(begin_ + offset, length, static_cast<char*>(to))) {
    throw InputError(where +
                     ": the file has become shorter, or cannot be read any more; "
                     "start again when it is complete");
  }
}

std::string ByteSource::Peek(std::uint64_t offset, std::size_t length) const {
  if (offset >= size_) return {};
  std::string bytes(static_cast<std::size_t>(std::min<std::uint64_t>(length, size_ - offset)),
                    '\0');
  Read(offset, bytes.size(), bytes.data(), name_);
  return bytes;
}

std::string ByteSource::ReadAll(std::uint64_t most) const {
  if (size_ > most) {
    throw InputError(name_ + ": has " + std::to_string(size_ >> 20U) + " MB, more than the " +
                     std::to_string(most >> 20U) + " MB that one such file may have");
  }
  return Peek(0, static_cast<std::size_t>(size_));
}

}  // namespace ohmglow
