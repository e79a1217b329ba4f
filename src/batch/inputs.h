// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <utility>
#include <vector>

namespace ohmglow::batch {

/// Name and value of each option that changes the outcome.
using OptionValues = std::vector<std::pair<std::string, double>>;

/// What a result depends on: program version, options, and of the case file
/// and each file it names the name, size and XXH3 hash (128 bits) of the
/// content. The same text on any machine: names as the case file has them.
/// Files that are missing or cannot be read count as that; a case file that
/// is malformed stands alone. Never throws for what is in the files.
[[nodiscard]] nlohmann::ordered_json DescribeInputs(const std::filesystem::path& case_file,
                                                    const OptionValues& options);

/// In place of these for a case that must be tried again whatever it came from:
/// equal to no inputs of any case.
[[nodiscard]] nlohmann::ordered_json NoInputs();

/// File names and sizes of a case's folder.
using FileSizes = std::vector<std::pair<std::string, std::uint64_t>>;

/// inputs.json: `inputs` and what was written beside it.
[[nodiscard]] std::string ToInputsJson(const nlohmann::ordered_json& inputs,
                                       const FileSizes& written);

/// Whether `folder` holds what came from the same inputs, complete: inputs.json
/// says so, and every file that it lists is there in its size.
[[nodiscard]] bool IsUpToDate(const std::filesystem::path& folder,
                              const nlohmann::ordered_json& inputs);

/// The names of the files that belong to the case in `folder`, inputs.json
/// last; empty where there is no complete case.
[[nodiscard]] std::vector<std::string> FilesOf(const std::filesystem::path& folder);

}  // namespace ohmglow::batch
