// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "paths_outside.h"

#include <string>
#include <string_view>
#include <system_error>

#include "case_keys.h"

namespace ohmglow {
namespace {

std::filesystem::path Whole(const std::filesystem::path& path) {
  std::error_code code;
  return std::filesystem::weakly_canonical(absolute(path.empty() ? "." : path, code), code);
}

}  // namespace

std::vector<Assumption> ListPathsOutside(const IniFile& ini, const std::filesystem::path& folder) {
  std::vector<Assumption> outside;
  for (const std::string_view key : kCasePathKeys) {
    const auto entry = ini.Find(std::string(key));
    if (!entry || entry->value.empty()) continue;
    const auto inside = Whole(folder / entry->value).lexically_relative(Whole(folder));
    if (!inside.empty() && *inside.begin() != "..") continue;
    outside.push_back(
        {std::string(key), entry->value, AssumedHow::kDefault, "outside the case's folder"});
  }
  return outside;
}

}  // namespace ohmglow
