// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "batch/case_list.h"
#include "cli/command_line.h"

namespace ohmglow::cli {

/// `ohmglow batch`, as asked for. One of `root`, `list` and `merge` is set.
struct BatchRequest {
  std::filesystem::path root;
  std::string list;  ///< A file, or "-" for standard input.
  std::vector<std::filesystem::path> merge;
  std::filesystem::path out;
  batch::Shard shard;
  int jobs = 0;       ///< 0: one a core.
  int memory_mb = 0;  ///< 0: what is free.
  bool again = false;
  std::string language = "en";  ///< Of index.html and of what is printed.
  Settings settings;
};

/// @throws OptionError  one line.
[[nodiscard]] BatchRequest ReadBatchRequest(const Arguments& arguments);

/// Locates in every case of a shelf, or joins the folders of such runs.
[[nodiscard]] Command BatchCommand();

}  // namespace ohmglow::cli
