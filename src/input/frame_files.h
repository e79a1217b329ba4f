// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "byte_source.h"

namespace ohmglow {

/// The files of a series in the order of the frames; few bytes are kept of each.
class FrameFiles {
 public:
  virtual ~FrameFiles() = default;

  [[nodiscard]] virtual int count() const = 0;
  [[nodiscard]] virtual std::string Name(int index) const = 0;  ///< Without its folder.
  [[nodiscard]] virtual std::string Path(int index) const = 0;  ///< For messages.
  /// @throws InputError
  [[nodiscard]] virtual ByteSource Open(int index) const = 0;
  /// When it was last written, as seconds since 1970.
  [[nodiscard]] virtual double Date(int index) const = 0;
  /// What was left out, in plain words.
  [[nodiscard]] virtual std::vector<std::string> Notes() const { return {}; }
  /// Whether files are missing at the end.
  [[nodiscard]] virtual bool cut_off() const { return false; }
};

/// The frame files of a folder, or those that fit a pattern such as
/// raw/*.tiff, in natural order. Hidden files are left out.
/// @throws InputError  none found, several kinds in one folder, * or ? in a folder's name.
[[nodiscard]] std::unique_ptr<FrameFiles> FilesOfFolder(const std::filesystem::path& source);

/// Natural order: runs of digits compare as numbers, so f2 comes before f10;
/// letters compare without case, equal names by their bytes.
[[nodiscard]] bool NaturalLess(std::string_view a, std::string_view b);

/// Whether `name` fits a pattern of * (any text) and ? (one byte).
[[nodiscard]] bool MatchesPattern(std::string_view name, std::string_view pattern);

/// Whether a source is a folder or a pattern, not one file.
[[nodiscard]] bool IsSeries(const std::filesystem::path& source);

/// The same files as paths.
/// @throws InputError  as FilesOfFolder
[[nodiscard]] std::vector<std::filesystem::path> ListFrameFiles(
    const std::filesystem::path& source);

/// Of many names those that can be frames: the kind of picture or array by their
/// endings; where there is none of these, tables of numbers, of which the largest
/// group counts whose names differ in digits alone.
/// @param names    in natural order.
/// @param where    opens the message, @param setting  picks one kind.
/// @throws InputError  where there are two kinds.
void KeepFrames(std::vector<std::string>& names,
                const std::string& where,
                const std::string& setting);

}  // namespace ohmglow
