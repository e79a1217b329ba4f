// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "ohmglow/base/error.h"

namespace ohmglow::desk {

/// Another program has changed a file since it was last looked at.
class ChangedMeanwhile : public DataError {
 public:
  using DataError::DataError;
};

/// The bytes of a file of the case; nothing where it is not there.
/// @throws InputError  where it cannot be read or is too large for what it should be.
[[nodiscard]] std::optional<std::string> BytesOf(const std::filesystem::path& file);

/// A short name of what a file holds; another one once it changes.
[[nodiscard]] std::string VersionOf(const std::optional<std::string>& bytes);

/// Puts `text` in the place of a file in one step: whoever reads it finds the old or the new,
/// and it is on the disk before this returns.
/// @param version  what it must still be, as VersionOf().
/// @throws ChangedMeanwhile  it is another: nothing is written.
/// @throws OutputError
void ReplaceFile(const std::filesystem::path& file,
                 const std::string& version,
                 const std::string& text);

}  // namespace ohmglow::desk
