// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

namespace ohmglow::cli {

/// A folder that appears whole or not at all: filled beside its place (<folder>.partial-
/// <process>) and renamed at the end. Never takes the place of a folder with files in it.
class NewFolder {
 public:
  /// @throws OutputError  where `folder` is there and not empty, or its parent is missing
  ///         or not writable.
  explicit NewFolder(const std::filesystem::path& folder);
  /// Removes what was not placed.
  ~NewFolder();
  NewFolder(const NewFolder&) = delete;
  NewFolder& operator=(const NewFolder&) = delete;

  /// Where to write; made by the first call.
  /// @throws OutputError
  [[nodiscard]] const std::filesystem::path& Fresh();
  /// @throws OutputError  where something has come to stand there meanwhile.
  void Place();

 private:
  std::filesystem::path folder_;
  std::filesystem::path fresh_;
  bool made_ = false;
};

}  // namespace ohmglow::cli
