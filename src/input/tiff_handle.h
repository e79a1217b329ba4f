// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "byte_source.h"

struct tiff;

namespace ohmglow {

/// Whether libtiff sees the chain of a file's directories. Sent to one by its offset, it walks
/// the whole chain first and keeps some 100 bytes of each; hidden, it knows that one alone.
enum class TiffChain { kSeen, kHidden };

/// A TIFF file opened by libtiff over a ByteSource. What libtiff has to say is
/// kept here, never printed; its handlers are set for this handle alone.
class TiffHandle {
 public:
  /// Opens the file without reading a page. Where that fails, `get` is null.
  explicit TiffHandle(ByteSource source, TiffChain chain = TiffChain::kSeen);
  TiffHandle(TiffHandle&&) noexcept;
  TiffHandle& operator=(TiffHandle&&) noexcept;
  ~TiffHandle();

  [[nodiscard]] tiff* get() const { return handle_; }
  /// libtiff's first complaint since `Forget`: later ones are its consequences.
  [[nodiscard]] const std::string& complaint() const;
  void Forget();

 private:
  struct State;  // libtiff holds its address, so it must not move with the object.
  std::unique_ptr<State> state_;
  tiff* handle_ = nullptr;
};

/// Whether a file starts as a TIFF does, classic or BigTIFF, either byte order:
/// TIFF 6.0, section 2; BigTIFF: version 43.
[[nodiscard]] bool IsTiff(std::string_view start);

}  // namespace ohmglow
