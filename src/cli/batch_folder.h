// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "batch/summary.h"
#include "cli/result_folder.h"

namespace ohmglow::cli {

/// What `batch` writes for a case: what `locate` does and a thumbnail, or
/// error.json alone; inputs.json tells which, and what it came from.
inline const FolderKind kBatchCaseFolder{{"motion.csv",
                                          "overlay.png",
                                          "map.png",
                                          "response.tiff",
                                          "static.tiff",
                                          "power.png",
                                          "power.tiff",
                                          "limit.tiff",
                                          "board_photo.png",
                                          "thumbnail.jpg",
                                          "result.json",
                                          "error.json",
                                          "inputs.json"}};

/// The output folder of a batch, held against other batches while this object
/// and all processes that were started meanwhile live.
class BatchFolder {
 public:
  /// Makes the folder where need be.
  /// @throws OutputError  where it cannot be made or written to, where its
  ///         parent is missing, where another batch holds it, or where a file
  ///         that is not ours stands under a name of ours.
  explicit BatchFolder(const std::filesystem::path& folder);
  ~BatchFolder();
  BatchFolder(const BatchFolder&) = delete;
  BatchFolder& operator=(const BatchFolder&) = delete;

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }  ///< Absolute.

  /// Removes index.html, summary.csv and summary.json: where they stand, they
  /// speak of the folders beside them.
  void RemoveSummary() const;
  /// Writes the three, summary.json last, each of them whole or not at all.
  /// @throws OutputError
  void WriteSummary(const batch::Summary& summary, const std::string& language) const;

 private:
  void Lock();

  std::filesystem::path path_;
  int descriptor_ = -1;
};

/// Puts a case's files and its inputs.json into the case's folder below `out`.
/// @param inputs  as batch::DescribeInputs() tells them.
/// @throws OutputError
void WriteCaseFolder(const std::filesystem::path& folder,
                     const nlohmann::ordered_json& inputs,
                     std::vector<ResultFile> files);

/// The bytes of a file.
/// @throws InputError  where it cannot be read.
[[nodiscard]] std::string ReadBytes(const std::filesystem::path& file);

}  // namespace ohmglow::cli
