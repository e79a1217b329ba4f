// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace ohmglow::desk {

/// One file that a change replaces.
struct Edit {
  std::filesystem::path file;
  std::string version;  ///< What it must still be, as VersionOf().
  std::string before;   ///< What it held; of a new file what an undo leaves.
  std::string text;     ///< What it holds then.
};

/// The page's changes to the files of a case, each of one file or of several that belong
/// together, and the way back. For one thread at a time.
class Changes {
 public:
  /// Replaces all files of a change, or none.
  /// @param root  files beside it, or behind links, are refused.
  /// @throws ChangedMeanwhile, OutputError
  void Make(const std::filesystem::path& root, std::vector<Edit> edits);
  /// Takes the last change back, all of its files or none.
  /// @throws OptionError       where there is none.
  /// @throws ChangedMeanwhile  where another program has changed one of them since.
  void TakeBack(const std::filesystem::path& root);
  [[nodiscard]] std::size_t size() const { return past_.size(); }
  void Clear() { past_.clear(); }

 private:
  std::vector<std::vector<Edit>> past_;
};

}  // namespace ohmglow::desk
